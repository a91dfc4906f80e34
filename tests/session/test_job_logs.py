"""Logs as they are drawn: no blip is lost, a pause breaks the line, and a shake is set against the revs."""

from pathlib import Path

import numpy as np
import pytest

from advisor.case import Bike, LogFile
from advisor.rulebase import Rulebase
from advisor.session.job_logs import FEWEST_REVS, MOST_POINTS, idle_drawn, shake_drawn
from tests.pages.jobs import shake_csv


def idle(path: Path, time: np.ndarray, revs: np.ndarray) -> LogFile:
    rows = "".join(f"{at:.2f},{speed:.1f}\n" for at, speed in zip(time, revs, strict=True))
    path.write_text("time s,revs rpm\n" + rows, encoding="utf-8")
    return LogFile(kind="idle", path=str(path), starts="warm", how="measured")


def test_the_line_keeps_its_highest_and_lowest_point(base: Rulebase, tmp_path: Path) -> None:
    time = np.arange(0.0, 300.0, 0.1)
    revs = 1000 + 10 * np.sin(time)
    revs[1234], revs[2345] = 1900.0, 700.0
    found = idle_drawn(idle(tmp_path / "a.csv", time, revs), Bike(), base)
    (line,) = found.line
    assert len(line) <= MOST_POINTS
    assert (123.4, 1900.0) in [(round(at, 2), speed) for at, speed in line]
    assert (234.5, 700.0) in [(round(at, 2), speed) for at, speed in line]
    assert [at for at, _ in line] == sorted(at for at, _ in line)
    figure = base.figures["idle-speed"]
    assert found.wanted == (figure.low, figure.high)


def test_a_pause_breaks_the_line_and_the_bikes_own_idle_counts(base: Rulebase, tmp_path: Path) -> None:
    time = np.concatenate([np.arange(0.0, 60.0, 0.2), np.arange(100.0, 160.0, 0.2)])
    one = idle(tmp_path / "a.csv", time, np.full(len(time), 1000.0))
    found = idle_drawn(one, Bike(figures={"idle-speed": (950.0, 1050.0)}), base)
    assert len(found.line) == 2
    assert found.line[0][-1][0] == pytest.approx(59.8, abs=1.0)
    assert found.line[1][0][0] == pytest.approx(100.0)
    assert found.wanted == (950.0, 1050.0)


def test_a_shake_over_changing_revs_is_set_against_them(base: Rulebase, tmp_path: Path) -> None:
    one = LogFile(kind="shake", path=str(shake_csv(tmp_path / "a.csv", 2500, 4500)), how="measured")
    found = shake_drawn(one, Bike(), base).by_revs
    assert len(found) >= FEWEST_REVS
    assert [revs for revs, _ in found] == sorted(revs for revs, _ in found)
    # Two sines of 3 and 0.3 m/s2: half of their squares, and its root.
    assert [shake for _, shake in found] == pytest.approx([((9 + 0.09) / 2) ** 0.5] * len(found), rel=0.03)


def test_steady_revs_say_nothing_of_that(base: Rulebase, tmp_path: Path) -> None:
    one = LogFile(kind="shake", path=str(shake_csv(tmp_path / "a.csv", 3000, 3100)), how="measured")
    assert shake_drawn(one, Bike(), base).by_revs == ()
