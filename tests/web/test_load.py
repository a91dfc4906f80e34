"""Fifty technicians at once. On a machine that does nothing else: pytest -m load -n 0 -s; killed meanwhile: -m slow."""

from pathlib import Path

import pytest

from tests.bench.test_figures import say
from tests.web.crowd import PROCESSORS, Figures, crowd

PEOPLE, SECONDS = 50, 60.0
QUICK = (2.0, 6.0)  # s between two answers, far quicker than anybody works: judgement
AT_ONCE = (0.0, 0.0)
P95 = 0.3  # s, asked for; on two processors of 2024


def nothing_failed(found: Figures) -> None:
    """Every press had its page, and every answer that was acknowledged is in the store."""
    assert found.lost == []
    assert found.wrong == []
    assert found.orphans == []
    assert found.errors == ""
    assert found.answers > 0


@pytest.mark.load
def test_fifty_who_pause_between_their_answers(tmp_path: Path) -> None:
    found = crowd(tmp_path / "s.sqlite", PEOPLE, SECONDS, QUICK)
    say(f"{PEOPLE} people, {QUICK[0]:g} to {QUICK[1]:g} s between answers: {found}")
    nothing_failed(found)
    assert found.p95 < P95


@pytest.mark.load
def test_fifty_who_never_pause_wait_for_the_processors_alone(tmp_path: Path) -> None:
    """With nobody reading, an answer takes as long as the work of all fifty: nothing else may hold it up."""
    found = crowd(tmp_path / "s.sqlite", PEOPLE, SECONDS, AT_ONCE)
    work = PEOPLE * (found.pages + found.workers + found.driver) / PROCESSORS
    say(f"{PEOPLE} people without a pause: {found}; the work of all on {PROCESSORS} processors: {work:.2f} s")
    nothing_failed(found)
    assert found.p50 < 1.3 * work


@pytest.mark.slow
@pytest.mark.skipif(not Path("/proc/self/task").exists(), reason="looks at processes as Linux shows them")
@pytest.mark.parametrize("pause", [AT_ONCE, (0.0, 1.0)])
def test_killed_in_the_middle_it_has_every_answer_that_it_acknowledged(
    tmp_path: Path, pause: tuple[float, float]
) -> None:
    found = crowd(tmp_path / "s.sqlite", 16, 40.0, pause, kills=4)
    nothing_failed(found)
    assert found.cut > 0
