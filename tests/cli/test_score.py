"""Scoring from the command line: what is stopped half-way keeps what it has."""

import signal
import subprocess
import sys
import time
from pathlib import Path

import pandas as pd
import pytest


@pytest.mark.slow
def test_stopped_half_way_it_ends_at_once_and_keeps_its_rows(tmp_path: Path) -> None:
    rows = tmp_path / "rows.csv"
    with subprocess.Popen(
        [sys.executable, "-m", "advisor", "score", "--cases", "5000", "--planned", "0", "--rows", str(rows)],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        start_new_session=True,
    ) as run:
        time.sleep(10)  # some batches by then, on a slow machine too
        run.send_signal(signal.SIGINT)
        _, said = run.communicate(timeout=30)
    assert run.returncode == 1  # what it has is whole, and it says so
    assert "Traceback" not in said
    assert f"of 5000 bikes; their rows are in {rows}" in " ".join(said.split())
    kept = pd.read_csv(rows)
    assert 0 < len(kept) < 5000
    assert f"stopped after {len(kept)} of" in said
