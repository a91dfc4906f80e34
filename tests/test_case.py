"""Which side comes first where both are level."""

import random

from msgspec.structs import replace

from advisor.case import first_side
from advisor.rulebase import Rulebase
from advisor.sides import other
from tests.cases import case, figure, report
from tests.drawn import drawn, mirror


def test_the_side_of_which_more_is_told_comes_first_and_left_if_nothing_is() -> None:
    assert first_side(case()) == "left"
    assert first_side(case(report("idle-hangs"))) == "left"
    right = report("misfires-idle", "right")
    assert first_side(case(right)) == "right"
    assert first_side(case(report("plug-pale", "left"), right, report("plug-pale", "right"))) == "right"
    assert first_side(case(report("misfires-idle", "left"), right)) == "left"


def test_the_other_side_comes_first_once_left_and_right_are_exchanged(base: Rulebase) -> None:
    """Whatever is told of a side counts: signs, figures, what was left last time, repairs, checks and covers."""
    everything = case(report("misfires-idle", "right"), measured=(figure("drop-idle", "right", 90.0, base),))
    assert first_side(everything) == "right"
    for field in ("before", "put_right", "ruled_out", "not_again", "opened"):
        value = everything.measured if field == "before" else (("plug-dead", "right"),)
        assert first_side(replace(case(), **{field: value})) == "right", field
        assert first_side(mirror(replace(case(), **{field: value}))) == "left", field
    for seed in range(200):
        told = drawn(seed, base)
        if first_side(told) == first_side(mirror(told)):
            assert first_side(told) == "left"
        else:
            assert first_side(mirror(told)) == other(first_side(told))


def test_the_order_in_which_it_is_told_is_of_no_matter(base: Rulebase) -> None:
    for seed in range(50):
        told = drawn(seed, base)
        shuffled = random.Random(seed).sample(told.seen, len(told.seen))
        assert first_side(replace(told, seen=tuple(shuffled))) == first_side(told)
