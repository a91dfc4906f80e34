"""What to measure again, and how often."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Bike, Measured
from advisor.readings.measure_again import MOST_REPEATS, again
from advisor.readings.reduce import reduce
from advisor.readings.verdicts import judge
from advisor.report import Again
from advisor.sides import OPPOSITE, Side
from tests.small import limit, over, reading, rule, rulebase, sign

GIVE = 4.0
BASE = rulebase(
    reading("column", "kPa", instrument=3.0),
    reading("idle", "rpm", sided=False, instrument=0.0),
    limit("apart", 10.0, "kPa"),
    limit("far-apart", 30.0, "kPa"),
    limit("fastest", 1100.0, "rpm"),
    limit("slowest", 900.0, "rpm"),
    rule("higher", over("column", "apart", of="lead"), shows=["higher this"]),
    rule("lower", over("column", "apart", of="lead", above=False), shows=["lower this"]),
    rule("far", over("column", "far-apart", of="lead"), shows=["far this"]),
    rule("fast", over("idle", "fastest", bearing="none"), shows=["fast"]),
    rule("slow", over("idle", "slowest", bearing="none", above=False), shows=["slow"]),
    *(sign(name, sided=True) for name in ("higher", "lower", "far")),
    sign("fast"),
    sign("slow"),
)


def read(name: str, side: Side, value: float, give: float = GIVE, count: int = 1) -> Measured:
    unit = BASE.readings[name].unit
    values = (value,) * count
    return Measured(reading=name, side=side, values=values, give=give, given=f"{value:g} {unit}", unit=unit)


def asked(*given: Measured, bike: Bike | None = None) -> tuple[Again, ...]:
    bike, reduced = bike or Bike(), reduce(given, (), BASE)
    return again(judge(reduced, bike, BASE), reduced, bike, BASE)


def test_what_was_decided_is_not_measured_again() -> None:
    assert asked(read("idle", None, 1000.0)) == ()
    assert asked(read("idle", None, 1200.0)) == ()
    assert asked() == ()


def test_a_figure_near_its_limit_is_asked_for_once_with_its_words() -> None:
    (one,) = asked(read("idle", None, 1102.0, give=8.0))
    assert one == Again(reading="idle", said="idle: 1102 rpm; 1102 rpm against 1100 rpm", repeats=17)


@pytest.mark.parametrize(("gap", "repeats"), [(2.0, 17), (4.0, 5), (7.9, 3)])
def test_the_mean_of_so_many_lies_clear_of_the_limit(gap: float, repeats: int) -> None:
    """The half-width of a mean falls with the root of their number (JCGM 100:2008, 4.2.3), and one more to be clear."""
    for at in (1100.0 + gap, 1100.0 - gap):
        (one,) = asked(read("idle", None, at, give=8.0))
        assert one.repeats == repeats
        assert 8.0 / math.sqrt(repeats) < gap


def test_more_than_anybody_takes_are_not_asked_for() -> None:
    """Twenty: judgement, written here once more."""
    assert MOST_REPEATS == 20
    (most,) = asked(read("idle", None, 1100 + 8 / math.sqrt(18.5), give=8.0))
    assert most.repeats == 20
    (too_many,) = asked(read("idle", None, 1100 + 8 / math.sqrt(19.5), give=8.0))
    assert too_many.repeats == 0


def test_no_repeats_take_away_what_the_instrument_leaves() -> None:
    def column(lead: float) -> int:
        (one, *_) = asked(read("column", "left", 50.0 + lead), read("column", "right", 50.0))
        return one.repeats

    assert column(12.9) == 0
    assert column(13.0) == 0
    assert column(13.7) == 6  # 32 less 9 are 23 of chance, 13.7 less 9 are 4.7 of room: 4.9 readings, and one more


def test_a_fine_instrument_is_measured_by_its_own_small_unit() -> None:
    """0.4 mm of which 0.3 stay: 0.07 of chance; 0.35 over the limit leave 0.0325 of room (arithmetic)."""
    base = rulebase(
        reading("gap", "mm", sided=False, instrument=0.3),
        limit("widest", 2.0, "mm"),
        rule("wide", over("gap", "widest", bearing="none"), shows=["wide"]),
        sign("wide"),
    )
    read_ = Measured(reading="gap", side=None, values=(2.35,), give=0.4, given="2.35 mm", unit="mm")
    reduced = reduce([read_], (), base)
    (one,) = again(judge(reduced, Bike(), base), reduced, Bike(), base)
    assert one.repeats == 4


def test_each_figure_is_asked_for_by_itself() -> None:
    told = read("idle", None, 1102.0, give=8.0), read("column", "left", 63.0), read("column", "right", 50.0)
    assert sorted(one.reading for one in asked(*told)) == ["column", "idle"]


def test_a_figure_without_bounds_is_not_repeated() -> None:
    wild = read("idle", None, 1000.0, give=math.inf)
    assert [one.repeats for one in asked(wild)] == [0]


@given(st.floats(3.1, 5.5), st.sampled_from(["left", "right"]))
def test_left_and_right_swap(gap: float, side: Side) -> None:
    def column(at: Side) -> tuple[Again, ...]:
        return asked(read("column", at, 60.0 + gap), read("column", OPPOSITE[at], 50.0))

    assert [one.repeats for one in column(side)] == [one.repeats for one in column(OPPOSITE[side])]
    assert len(column(side)) == 1  # a lead is one thing to measure again, whatever asks of it


def test_over_and_under_by_as_much_are_as_hard_to_tell() -> None:
    """The same lead held against 'above the other side by' and 'below it by' asks for the same repeats."""
    only = {name: page for name, page in BASE.rules.items() if name == "lower"}
    base = replace(BASE, rules=only)

    def column(left: float) -> list[int]:
        reduced = reduce([read("column", "left", left), read("column", "right", 50.0)], (), base)
        return [one.repeats for one in again(judge(reduced, Bike(), base), reduced, Bike(), base)]

    assert column(63.7) == column(36.3) != []
    assert column(63.7)[0] > 0


def test_sides_clearly_apart_are_not_measured_again_to_tell_how_far() -> None:
    near_far = read("column", "left", 80.0), read("column", "right", 50.0)
    assert asked(*near_far) == ()  # 30 apart, near the far limit, and clearly over the first
    assert len(asked(*near_far, read("idle", None, 1102.0, give=8.0))) == 1


def test_the_bikes_own_limit_is_the_one_to_keep_clear_of() -> None:
    own = replace(BASE.limits["fastest"], figure="idle", end="high")
    base = replace(BASE, limits=BASE.limits | {"fastest": own})
    reduced = reduce([read("idle", None, 1304.0, give=8.0)], (), base)
    bike = Bike(figures={"idle": (1200.0, 1300.0)})
    found = again(judge(reduced, bike, base), reduced, bike, base)
    assert [one.repeats for one in found] == [5]
