"""What a rider says of a shake: what it belongs to, and what stays open."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Bike, ShakeReport
from advisor.readings import shake_reports
from advisor.readings.shake_reports import ENGINE, ONE_SPEED, ROAD, THROTTLE, belongs_to, rides, signs

GEARS = (15.0, 10.0, 7.5, 5.0)
BIKE = Bike(gears=GEARS, tyre="120/90-18")
KMH = 1 / 3.6


def at(
    speed: float | None, gear: int = 0, *, shakes: bool = True, clutch: bool = False, throttle: str = ""
) -> ShakeReport:
    return ShakeReport(
        shakes=shakes,
        speed=None if speed is None else speed * KMH,
        gear=gear,
        clutch_in=clutch,
        throttle=throttle,
        how="told",
    )


def turning(revs: float, *, shakes: bool = True, throttle: str = "", speed: float | None = None) -> ShakeReport:
    return replace(at(speed, shakes=shakes, throttle=throttle), revs=revs)


def said(*told: ShakeReport, bike: Bike = BIKE) -> dict[str, bool]:
    return belongs_to(told, bike)


# Engine speeds.


def test_revs_come_from_gear_and_tyre_where_none_were_told() -> None:
    """100 km/h in a gear of 5.0 on a 120/90-18 (673.2 mm: ISO 5751-1) is 3,940 rpm."""
    (one,) = rides([at(100, 4)], BIKE)
    assert one.revs == pytest.approx(3940, abs=1)
    assert (one.speed, one.clutch_in, one.throttle, one.shakes) == (100 * KMH, False, "", True)
    assert rides([at(100, 1)], BIKE)[0].revs == pytest.approx(3 * 3940, abs=3)
    assert rides([replace(at(100, 4), revs=3000.0)], BIKE)[0].revs == 3000.0


@pytest.mark.parametrize(
    ("told", "bike"),
    [
        (at(100, 0), BIKE),
        (at(100, 5), BIKE),
        (at(None, 4), BIKE),
        (at(100, 4), Bike(gears=GEARS)),
        (at(100, 4), Bike(tyre="120/90-18")),
        (at(100, 4, clutch=True), BIKE),
        (replace(at(100, 4, clutch=True), revs=3000.0), BIKE),  # the engine does not turn with the wheel
    ],
)
def test_revs_that_nobody_knows_are_not_made_up(told: ShakeReport, bike: Bike) -> None:
    assert rides([told], bike)[0].revs is None


# The road.


def test_the_same_speed_in_two_gears_is_the_road() -> None:
    assert said(at(90, 3), at(90, 4)) == {ROAD: True, ENGINE: False, ONE_SPEED: False}


def test_the_same_speed_with_the_clutch_in_is_the_road() -> None:
    assert said(at(90, 4), at(90, clutch=True))[ROAD] is True


def test_the_same_speed_in_one_gear_leaves_it_open() -> None:
    assert said(at(90, 4), at(90, 4)) == {}
    assert said(at(90), at(90)) == {}
    assert said(at(90, clutch=True), at(90, clutch=True)) == {}


def test_smooth_and_shaking_at_one_speed_is_not_the_road() -> None:
    assert said(at(90, 4), at(90, 3, shakes=False))[ROAD] is False
    both = said(at(90, 4), at(90, 3), at(90, shakes=False))
    assert both[ROAD] is False


@pytest.mark.parametrize(("other", "same"), [(94.7, True), (94.8, False), (85.5, True), (85.4, False)])
def test_within_a_twentieth_it_is_the_same_speed(other: float, same: bool) -> None:
    """A speedometer and a memory agree within 5 %: judgement, written here once more."""
    assert (ROAD in said(at(90, 4), at(other, 4, shakes=False))) is same


@pytest.mark.parametrize(("ratio", "apart"), [(5.8, True), (5.7, False)])
def test_gears_must_lie_apart(ratio: float, apart: bool) -> None:
    """By 15 %: judgement, written here once more."""
    bike = Bike(gears=(ratio, 5.0), tyre="120/90-18")
    assert (ROAD in said(at(90, 1), at(90, 2), bike=bike)) is apart


# The engine.


def test_gone_with_the_clutch_in_is_the_engine() -> None:
    found = said(at(90, 4), at(90, clutch=True, shakes=False))
    assert found == {ROAD: False, ENGINE: True}


def test_the_same_revs_at_two_speeds_is_the_engine() -> None:
    """90 km/h in fourth and 60 in third turn the engine alike."""
    assert said(at(90, 4), at(60, 3)) == {ENGINE: True}


def test_it_follows_the_engine_over_a_range_and_is_not_at_one_speed() -> None:
    found = said(at(90, 4), at(60, 3), at(120, 4))
    assert found == {ENGINE: True, ONE_SPEED: False}


def test_smooth_and_shaking_at_the_same_revs_is_not_the_engine() -> None:
    found = said(at(90, 4), at(60, 3, shakes=False))
    assert found == {ENGINE: False, ONE_SPEED: False}
    with_road = said(turning(3500), turning(3500, shakes=False))
    assert with_road == {ENGINE: False, ONE_SPEED: False}


def test_smooth_below_and_above_is_one_engine_speed() -> None:
    found = said(turning(2500, shakes=False), turning(3500), turning(4500, shakes=False))
    assert found == {ENGINE: False, ONE_SPEED: True}
    wide = said(turning(2500, shakes=False), turning(3500), turning(4100), turning(5500, shakes=False))
    assert wide == {}  # over too wide a range for one speed, and smooth above


def test_smooth_at_the_same_revs_on_another_throttle_is_neither_below_nor_above() -> None:
    part, shut = turning(3500, throttle="part"), turning(3500, throttle="shut", shakes=False)
    for other in (turning(4500, shakes=False), turning(2500, shakes=False)):
        assert said(part, shut, other) == {THROTTLE: True}


def test_smooth_above_alone_needs_two_gears_to_be_one_speed() -> None:
    assert said(turning(3500), turning(4500, shakes=False)) == {}
    found = said(at(90, 4), at(60, 3), at(150, 4, shakes=False))
    assert found == {ENGINE: False, ONE_SPEED: True}


def test_smooth_below_alone_leaves_it_open() -> None:
    assert said(turning(2500, shakes=False), turning(3500)) == {}


@pytest.mark.parametrize(("most", "one_speed"), [(4024.0, True), (4026.0, False)])
def test_one_speed_is_no_wider_than_a_memory(most: float, one_speed: bool) -> None:
    found = said(turning(2500, shakes=False), turning(3500), turning(most), turning(5500, shakes=False))
    assert found == ({ENGINE: False, ONE_SPEED: True} if one_speed else {})


def test_a_shake_whose_revs_nobody_knows_says_nothing_of_the_engine() -> None:
    assert said(at(90), at(90, clutch=True, shakes=False)) == {ROAD: False}
    assert said(at(90, shakes=False)) == {}
    assert said() == {}


# The throttle.


@pytest.mark.parametrize("other", ["shut", "wide"])
def test_gone_once_the_throttle_moves_is_the_throttle(other: str) -> None:
    for told in (
        (at(90, throttle="part"), at(90, throttle=other, shakes=False)),
        (at(90, 4, throttle="part"), at(90, 4, throttle=other, shakes=False)),
        (turning(3500, throttle="part"), turning(3500, throttle=other, shakes=False)),
    ):
        assert said(*told) == {THROTTLE: True}


@pytest.mark.parametrize("other", ["shut", "wide"])
def test_there_whatever_the_throttle_does_is_not_the_throttle(other: str) -> None:
    assert said(at(90, throttle="part"), at(90, throttle=other)) == {THROTTLE: False}


def test_at_another_speed_or_another_gear_the_throttle_says_nothing() -> None:
    assert THROTTLE not in said(at(90, throttle="part"), at(60, throttle="shut", shakes=False))
    assert THROTTLE not in said(at(90, 4, throttle="part"), at(90, 3, throttle="shut", shakes=False))
    assert THROTTLE not in said(at(90, throttle="wide"), at(90, throttle="shut", shakes=False))
    assert THROTTLE not in said(at(90, throttle="part"), at(90, throttle="part", shakes=False))
    assert THROTTLE not in said(at(90, throttle="part"), at(90, shakes=False))
    assert THROTTLE not in said(at(None, throttle="part"), at(None, throttle="shut", shakes=False))


def test_another_throttle_explains_why_it_is_smooth_at_one_speed() -> None:
    assert ROAD not in said(at(90, 4, throttle="part"), at(90, 4, throttle="shut", shakes=False))
    assert said(at(90, 4, throttle="part"), at(90, 4, throttle="part", shakes=False))[ROAD] is False
    assert said(at(90, 4, throttle="part"), at(90, 4, shakes=False))[ROAD] is False


REPORTS = st.lists(
    st.builds(
        at,
        st.sampled_from([None, 60.0, 90.0, 120.0]),
        st.integers(0, 4),
        shakes=st.booleans(),
        clutch=st.booleans(),
        throttle=st.sampled_from(["", "shut", "part", "wide"]),
    ),
    max_size=6,
)


@given(REPORTS, st.randoms(use_true_random=False))
def test_the_order_of_what_is_told_changes_nothing_and_road_is_never_engine(
    told: list[ShakeReport], rng: object
) -> None:
    found = said(*told)
    assert not (found.get(ROAD) and found.get(ENGINE))
    assert not (found.get(ONE_SPEED) and found.get(ENGINE))
    rng.shuffle(told)  # type: ignore[attr-defined]  # a source of random numbers
    assert said(*told) == found


# As signs.


def test_signs_are_known_as_the_reports_are_but_for_those_told_outright() -> None:
    told = replace(at(90, 3), how="told", line=7), replace(at(90, 4), how="seen", line=8)
    found = signs(told, BIKE, lambda name: name == ENGINE)
    assert [(one.sign, one.seen) for one in found] == [(ROAD, True), (ONE_SPEED, False)]
    assert {(one.side, one.how, one.line) for one in found} == {(None, "told", 7)}
    assert signs((), BIKE, lambda _: False) == []


# Many reports.


FIGURES = st.one_of(st.none(), st.floats(50.0, 80.0))


def same(one: float | None, two: float | None) -> bool:
    """Within 5 %: written here once more."""
    return one is not None and two is not None and abs(one - two) <= 0.05 * max(one, two)


@given(st.lists(FIGURES, max_size=8), st.lists(FIGURES, max_size=8))
def test_two_figures_are_near_if_any_pair_of_them_is(ones: list[float | None], twos: list[float | None]) -> None:
    assert shake_reports._near(ones, twos) is any(same(one, two) for one in ones for two in twos)


@given(st.lists(st.tuples(FIGURES, FIGURES), max_size=12))
def test_pairs_differ_if_any_two_of_them_do(pairs: list[tuple[float | None, float | None]]) -> None:
    """The second figures by 15 %, where the first are the same."""
    apart = [
        one is not None and two is not None and same(first, other) and abs(one - two) > 0.15 * min(one, two)
        for first, one in pairs
        for other, two in pairs
    ]
    assert shake_reports._differ(pairs) is any(apart)


@pytest.mark.parametrize("kind", ["alike", "all apart", "no two alike", "by revs"])
def test_a_thousand_reports_take_no_million_comparisons(monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    count, real = 0, shake_reports._same

    def counts(one: float, two: float) -> bool:
        nonlocal count
        count += 1
        return real(one, two)

    monkeypatch.setattr(shake_reports, "_same", counts)
    told = {
        "alike": [at(90, 4) for _ in range(1000)],
        "all apart": [at(1.06**place, shakes=place < 500) for place in range(1000)],
        "no two alike": [at(80 + 10 * place / 1000, shakes=place % 2 == 0) for place in range(1000)],
        "by revs": [turning(3000 + place, throttle=("part", "wide")[place // 500]) for place in range(1000)],
    }
    said(*told[kind])
    assert count < 20_000
