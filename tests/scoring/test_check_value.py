"""What each check tells by itself: its deciding check raises a fault, and what misleads is shown with its words."""

import io

import pytest
from rich.console import Console

from advisor.places import shipped
from advisor.plan.candidates import feasible
from advisor.scoring.check_value import CheckValue, batch
from advisor.scoring.score import Task, opened
from advisor.show.score import frame, told

TASK = Task(start=5, count=1, seed=5, folders=(str(shipped("rules")),), planned=0)


@pytest.fixture(scope="module")
def lessons() -> list[CheckValue]:
    return batch(TASK)


def test_every_check_that_can_be_done_is_asked_by_itself(lessons: list[CheckValue]) -> None:
    ((stand, _),) = opened(TASK)
    asked = [one.check for one in lessons]
    assert len(asked) == len(set(asked)) > 100
    here, base = stand.scene(), stand.advisor.base
    for one in lessons:
        check = base.checks[one.check]
        assert any(feasible(check, side, here, base) for side in (("left", "right") if check.sided else (None,)))
    assert len(stand.events) < 10  # nothing of it stays on the stand


def test_the_deciding_check_raises_the_fault(lessons: list[CheckValue]) -> None:
    ((stand, _),) = opened(TASK)
    bits = {one.check: one.bits for one in lessons}
    fault = lessons[0].fault
    settles = stand.advisor.base.causes[fault].settled_by
    assert bits[settles] > 1
    assert all(one.fault == fault for one in lessons)


def test_the_same_seed_tells_the_same(lessons: list[CheckValue]) -> None:
    assert batch(TASK) == lessons


def test_what_leads_away_is_shown_with_what_it_said_at_worst() -> None:
    rows = [
        CheckValue(n, check, bits, "plug-dead", says)
        for n in range(9)
        for check, bits, says in (
            ("sure", 3.0 + n / 9, "It moved over."),
            ("odd", -1.0 - n / 99, "It is steady." if n else "It hunts."),
            ("empty", (-1.0) ** n, "Neither."),
        )
    ]
    out = io.StringIO()
    for part in told(frame(rows)):
        Console(file=out, width=80).print(part)
    away, most = out.getvalue().split("TELLS MOST")
    assert "odd: of plug-dead, “It is steady.”" in " ".join(away.split())
    assert "sure" not in away
    assert "empty" not in away
    assert most.index("sure") < most.index("empty")
    assert max(map(len, out.getvalue().splitlines())) <= 80
