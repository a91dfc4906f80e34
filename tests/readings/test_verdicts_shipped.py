"""Readings against limits: the bike's own figures, near misses, and what to measure again."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.case import Bike, Measured
from advisor.intake.spoken import spoken
from advisor.readings.measure_again import again
from advisor.readings.reduce import reduce
from advisor.readings.verdicts import judge, unknown_figures
from advisor.rulebase import Rulebase
from advisor.sides import Side, Sided

THOU = 0.0254


def _one(
    reading: str, side: Side, *values: float, give: float = 0.0, bounds: tuple[float, float] | None = None
) -> Measured:
    return Measured(reading=reading, side=side, values=values, give=give, given="x", unit="mm", bounds=bounds)


def _held(base: Rulebase, *given: Measured, bike: Bike | None = None) -> dict[Sided, bool | None]:
    judged = judge(reduce(given, (), base), bike or Bike(), base)
    return {(one.name, one.side): one.held for one in judged}


def test_feeler_pairs_of_the_trade(base: Rulebase) -> None:
    """Inlet 0.006 in enters and hangs, 0.007 does not; exhaust 0.008 in: both right (common practice, no source)."""
    pairs = [
        _one("clearance-inlet", "left", bounds=(6 * THOU, 7 * THOU)),
        _one("clearance-exhaust", "left", bounds=(8 * THOU, 9 * THOU)),
    ]
    held = _held(base, *pairs)
    for valve in ("inlet", "exhaust"):
        assert held[f"clearance-{valve} below clearance-{valve}-least", "left"] is False
        assert held[f"clearance-{valve} above clearance-{valve}-most", "left"] is False


@pytest.mark.parametrize(("slack", "right"), [(1.0, False), (3.0, True), (6.0, False)])
def test_slack_before_balancing_is_2_to_4_mm(base: Rulebase, slack: float, right: bool) -> None:
    """Common practice, no source."""
    held = _held(base, _one("cable-slack", "left", slack, give=0.3))
    ok = (
        held["cable-slack below slack-least", "left"] is False and held["cable-slack above slack-most", "left"] is False
    )
    assert ok == right


@pytest.mark.parametrize(("float_thou", "right"), [(0.2, False), (2.0, True), (6.0, False)])
def test_rocker_end_float_is_1_to_3_thou(base: Rulebase, float_thou: float, right: bool) -> None:
    """Common practice, no source."""
    held = _held(base, _one("rocker-end-float", "left", float_thou * THOU, give=0.005))
    low, high = (
        held["rocker-end-float below end-float-least", "left"],
        held["rocker-end-float above end-float-most", "left"],
    )
    assert (low is False and high is False) == right


@pytest.mark.parametrize(("rpm", "fast", "slow"), [(1000, False, False), (1200, True, False), (800, False, True)])
def test_warm_idle_is_900_to_1100_rpm(base: Rulebase, rpm: float, fast: bool, slow: bool) -> None:
    """Common practice, no source."""
    held = _held(base, _one("idle-speed", None, float(rpm), give=20))
    assert held["idle-speed above idle-fastest", None] is fast
    assert held["idle-speed below idle-slowest", None] is slow


def test_the_bikes_own_figure_goes_before_the_default(base: Rulebase) -> None:
    reading = _one("clearance-inlet", "left", 0.07, give=0.01)
    name: Sided = ("clearance-inlet below clearance-inlet-least", "left")
    own = Bike(figures={"clearance-inlet": (0.04, 0.10)})
    assert _held(base, reading)[name] is True
    assert _held(base, reading, bike=own)[name] is False
    judged = judge(reduce([reading], (), base), own, base)
    assert unknown_figures(judged, own, base) == []
    assert unknown_figures(judged, Bike(), base) == ["clearance-inlet"]


@given(st.floats(0, 0.5), st.floats(0, 0.1))
def test_above_and_below_are_never_both_held(base: Rulebase, value: float, give: float) -> None:
    held = _held(base, _one("clearance-inlet", "left", value, give=give))
    assert not (
        held["clearance-inlet below clearance-inlet-least", "left"]
        and held["clearance-inlet above clearance-inlet-most", "left"]
    )


def _again(base: Rulebase, left: float, right: float) -> list[int]:
    pair = [_one("drop-idle", "left", left, give=20.0), _one("drop-idle", "right", right, give=20.0)]
    reduced = reduce(pair, (), base)
    return [one.repeats for one in again(judge(reduced, Bike(), base), reduced, Bike(), base)]


def test_too_close_asks_for_more_readings_the_closer_the_more(base: Rulebase) -> None:
    limit = base.limits["drop-apart"].value
    assert _again(base, 300 - limit - 60, 300) == []
    nearer = [_again(base, 300 - limit - gap, 300)[0] for gap in (25, 15, 12)]
    assert nearer == sorted(nearer)
    assert nearer[0] >= 2
    assert _again(base, 300 - limit - 1, 300) == [0]  # nearer than the tachometer can tell


def test_sides_clearly_apart_need_not_be_read_again_to_tell_how_far(base: Rulebase) -> None:
    share = base.limits["drop-far-apart"].value / 100
    assert _again(base, 300 * (1 - share) + 10, 300) == []


def test_a_tube_answers_what_gauges_are_not_asked(base: Rulebase) -> None:
    """Gauges that agree to 3 mmHg each cannot tell 3 mmHg; a tube read to 10 mm of water can."""
    fine, coarse = "column-idle lead above column-leads-idle", "column-idle lead above column-apart-idle"

    def asked(words: str) -> dict[str, bool | None]:
        reduced = reduce(spoken("column-idle", words, base), (), base)
        judged = judge(reduced, Bike(), base)
        assert again(judged, reduced, Bike(), base) == ()
        return {one.name: one.held for one in judged if one.side == "left" and one.name in {fine, coarse}}

    assert asked("left 221 mmHg right 222 mmHg") == {coarse: False}
    assert asked("left 240 mmHg right 205 mmHg") == {coarse: True, fine: True}
    assert asked("left more by 60 mm of water") == {coarse: False, fine: True}
    assert asked("left more by 15 mm of water") == {coarse: False, fine: False}


def test_so_many_readings_would_decide_it(base: Rulebase) -> None:
    """Take the number it asked for, at the same figure: then it is decided."""
    limit = base.limits["drop-apart"].value
    [repeats] = _again(base, 300 - limit - 20, 300)
    many = [_one("drop-idle", "left", *[280 - limit] * repeats, give=20.0)]
    many.append(_one("drop-idle", "right", *[300.0] * repeats, give=20.0))
    assert _held(base, *many)["drop-idle lead below drop-apart", "left"] is True
