"""The steps of a balance, and what comes next, as they are kept."""

import msgspec
import pytest

from advisor.balance.course_steps import (
    COLUMNS,
    IDLE,
    Blipped,
    Done,
    Next,
    Ridden,
    Seen,
    Step,
    Turned,
    Unhooked,
    WontCome,
)
from advisor.balance.turns import STOP, Turn


@pytest.mark.parametrize(
    "step",
    [
        Seen(where=IDLE, by=COLUMNS, behind=12.5, behind_half=4.0, revs=1010.0, sides=(212.5, 200.0)),
        Turned(turns=(Turn("left", STOP, 3),)),
        Blipped(),
        Ridden(),
        Unhooked(revs=1020.0),
    ],
)
def test_a_step_is_read_back_as_it_was_written(step: Step) -> None:
    kinds = Seen | Turned | Blipped | Ridden | Unhooked
    assert msgspec.json.decode(msgspec.json.encode(step), type=kinds) == step


def test_what_comes_next_is_read_back_too() -> None:
    for what in (Done(closely=True), WontCome(why="far turn", side="left")):
        found: Next = msgspec.json.decode(msgspec.json.encode(what), type=Done | WontCome)
        assert found == what
