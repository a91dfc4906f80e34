"""Screws turned a little: they level what was only misset, hide no leak, and stay where they helped."""

import numpy as np
import pytest

from advisor.diagnose import Advisor
from advisor.observer.bike_view import view
from advisor.observer.senses import sense
from advisor.observer.turning import ADJUSTER, SCREW, SETTINGS, STOP, turned
from advisor.scoring.check_result import NOBODY
from advisor.scoring.game import play
from advisor.scoring.hidden_bikes import Hidden, planted
from advisor.scoring.stand import OPENING, SET_AGAIN, Stand
from advisor.session.events import Skipped
from advisor.sides import BOTH, Side, other
from advisor.virtual_bike import operate, steady
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant
from advisor.virtual_bike.serviced import serviced

# the cause that a screw cures, and whether its sign is on the side where the tests plant it
OWN = {ADJUSTER: ("cable-slack-unequal", True), STOP: ("out-of-adjustment", False), SCREW: ("mixture-out", True)}
LEAKS = ("intake-joint-leak", "manifold-cracked", "vacuum-port-leak", "throttle-spindle-worn")
WEAK = ("plug-dead", "compression-lost", "idle-passage-blocked", "mixture-screw-seal-leaking")
NOT_RESTING = ("cable-end-sticking", "sheath-out-of-socket", "no-cable-slack")
SLACK_MM = (0.28, 0.9)  # between the cables, from what just shows to what a finger feels
WITHIN_MIN, CURED, BIKES, SEEDS = 60.0, 0.9, 40, (1, 2, 3)


def rng(*seed: int) -> np.random.Generator:
    return np.random.default_rng(seed)


def sound(*seed: int) -> Bike:
    """Return a bike as it leaves a workshop."""
    return serviced([rng(*seed)])[0]


def stand(advisor: Advisor, hidden: Hidden, *seed: int) -> Stand:
    return Stand(advisor, hidden, view(hidden.bike), rng(*seed))


@pytest.mark.parametrize("sign", SETTINGS)
def test_a_healthy_bike_shows_none_and_is_left_alone(sign: str) -> None:
    for number in range(12):
        bike = sound(1, number)
        assert turned(bike, sign).side is None
        assert turned(bike, sign, rng(2, number)).bike == bike


@pytest.mark.parametrize("sign", SETTINGS)
@pytest.mark.parametrize("side", BOTH)
def test_the_screw_that_was_out_levels_it_whatever_the_instruments_scatter(sign: str, side: Side) -> None:
    cause, same = OWN[sign]
    missed = []
    for number in range(5):
        bike = plant(sound(3, number), cause, side, 0.4 + 0.12 * number)
        for found in (turned(bike, sign), turned(bike, sign, rng(4, number))):
            assert found.side in {None, side if same else other(side)}
            missed += [number] if found.side is None else []
            for name in set(SETTINGS.values()) - {SETTINGS[sign]}:
                assert all(getattr(found.bike.side(at), name) == getattr(bike.side(at), name) for at in BOTH)
    assert len(missed) <= (1 if sign == SCREW else 0), missed  # the fastest idle of a mixture screw is a flat top


def test_what_it_leaves_is_level() -> None:
    slack = turned(plant(Bike(), "cable-slack-unequal", "left", 0.7), ADJUSTER, rng(5)).bike
    stops = turned(plant(Bike(), "out-of-adjustment", "left", 0.7), STOP, rng(5)).bike
    screws = turned(plant(Bike(), "mixture-out", "left", 0.7), SCREW, rng(5)).bike
    found = steady.steady(slack, stops, screws)
    assert abs(found.held_column_mm[0]) < 100
    assert abs(found.column_mm[1]) < 60
    assert abs(found.drop_rpm[2, 0] - found.drop_rpm[2, 1]) < 60
    assert (np.abs(found.idle_rpm - operate.TARGET_RPM) < 100).all()


@pytest.mark.parametrize("cause", [*(cause for cause, _ in OWN.values()), "enricher-leaking", "intake-joint-leak"])
def test_exchanged_sides_exchange_the_signs(cause: str) -> None:
    for severity in (0.4, 0.8):
        bike = plant(Bike(), cause, "left", severity)
        here, there = view(bike), view(bike.mirrored())
        for sign in SETTINGS:
            assert [sense(here, sign, at) for at in BOTH] == [sense(there, sign, other(at)) for at in BOTH]


def _levelled(causes: tuple[str, ...]) -> float:
    """Return the share of bikes with these faults that a stop levels."""
    found = [
        turned(plant(sound(6, number), cause, "left", 0.35 + 0.08 * number), STOP, rng(7, number)).side
        for number in range(8)
        for cause in causes
    ]
    return float(np.mean([one is not None for one in found]))


def test_a_stop_hides_few_leaks_and_no_weak_side() -> None:
    """The columns come level with a leak too; the drops seldom do."""
    assert _levelled(LEAKS) < 0.25
    assert _levelled(WEAK) == 0.0


@pytest.mark.parametrize("cause", NOT_RESTING)
def test_a_stop_levels_nothing_where_the_butterfly_does_not_rest_on_it(cause: str) -> None:
    for severity in (0.7, 1.0):
        assert turned(plant(Bike(), cause, "left", severity), STOP, rng(8)).side is None


def test_an_adjuster_levels_nothing_while_idle_is_out() -> None:
    for cause in (*LEAKS[:2], "out-of-adjustment", "enricher-stuck-open"):
        assert turned(plant(Bike(), cause, "left", 0.7), ADJUSTER, rng(9)).side is None


def test_exchanged_hoses_lead_the_hand_astray_and_it_puts_the_screw_back() -> None:
    bike = plant(plant(Bike(), "out-of-adjustment", "left", 0.7), "hoses-exchanged", None, 1.0)
    assert turned(bike, STOP, rng(10)) == turned(bike, STOP)
    assert turned(bike, STOP).bike == bike


def test_drops_show_less_than_columns() -> None:
    """A cable that pulls late costs little: shorting shows a wide difference, and says nothing of a slight one."""
    wide = plant(Bike(), "cable-slack-unequal", "left", 0.9)
    assert turned(wide, ADJUSTER, rng(11), columns=False).side == "left"
    slight = turned(plant(Bike(), "cable-slack-unequal", "left", 0.2), ADJUSTER, columns=False)
    assert (slight.side, slight.nothing) == (None, True)


def test_a_screw_stays_where_it_helped_and_the_repair_ends_with_the_sound_bike(advisor: Advisor) -> None:
    hidden = planted([("out-of-adjustment", "left", 0.7)])
    at = stand(advisor, hidden, 1)
    found = at.do("turn-a-stop-and-read", None)
    assert found.findings[STOP, "right"]
    assert at.view.bike != hidden.bike
    assert abs(at.view.one("column_mm")) < abs(view(hidden.bike).one("column_mm")) / 3
    clock = at.minutes
    assert at.settle("out-of-adjustment", None, seen=True)
    assert at.minutes == clock  # it was read again after a blip, and stands as it was left
    assert at.do("turn-a-stop-and-read", None).findings[STOP, "right"]  # turned back first, and once more
    clock = at.minutes
    assert at.put_right("out-of-adjustment", None)
    assert at.minutes - clock < SET_AGAIN + advisor.base.causes["out-of-adjustment"].minutes
    assert at.view.bike == Bike()


def test_a_screw_goes_back_where_it_was_no_help(advisor: Advisor) -> None:
    hidden = planted([("intake-joint-leak", "left", 0.9)])
    at = stand(advisor, hidden, 2)
    assert not any(at.do("turn-a-stop-and-read", None).findings.values())
    assert at.view.bike == hidden.bike


def test_a_screw_turned_around_something_else_costs_setting_again(advisor: Advisor) -> None:
    at = stand(advisor, planted([("cable-slack-unequal", "left", 0.8), ("plug-gap-wrong", "left", 0.3)]), 5)
    assert at.do("turn-an-adjuster-and-read", None).findings[ADJUSTER, "left"]
    clock = at.minutes
    assert at.put_right("plug-gap-wrong", "left")
    assert at.minutes - clock > SET_AGAIN + advisor.base.causes["plug-gap-wrong"].minutes


def test_where_shorting_shows_no_difference_nobody_can_tell(advisor: Advisor) -> None:
    at = stand(advisor, planted([]), 4)
    assert at.do("turn-an-adjuster-and-short", None).says == NOBODY
    assert isinstance(at.events[-1], Skipped)


def test_stops_are_set_again_around_what_is_left(advisor: Advisor) -> None:
    faults: list[tuple[str, Side, float]] = [("intake-joint-leak", "left", 0.6), ("plug-dead", "right", 0.6)]
    both = planted(faults)
    at = stand(advisor, Hidden(operate.tune(both.bike), both.faults), 5)
    assert at.put_right("plug-dead", "right")
    assert at.view.bike == operate.tune(planted(faults[:1]).bike)


def _misset(cause: str, seed: int, number: int) -> tuple[Hidden, np.random.Generator]:
    """Return a bike that is sound but for a setting, and the generator of what follows."""
    drawn = rng(seed, number)
    healthy = serviced([drawn.spawn(1)[0]])[0]
    side: Side = BOTH[int(drawn.integers(2))]
    if cause != "cable-slack-unequal":
        return planted([(cause, side, round(float(drawn.uniform(0.35, 1.0)), 3))], healthy), drawn
    slack = float(drawn.uniform(*SLACK_MM))
    full = (healthy.left.adjuster_mm if side == "left" else healthy.right.adjuster_mm) - slack
    hidden = planted([(cause, side, 1.0)], healthy)
    return Hidden(hidden.bike.change(side, adjuster_mm=full), hidden.faults, healthy), drawn


def _cured(advisor: Advisor, cause: str, seed: int, number: int) -> bool:
    """Whether the planner cures this bike in time, all opening readings taken."""
    hidden, drawn = _misset(cause, seed, number)
    at = Stand(advisor, hidden, view(hidden.bike), drawn)
    at.complain()
    at.measure(dict.fromkeys(OPENING, 1.0))
    play(at, most_minutes=WITHIN_MIN)
    return not at.left and at.minutes <= WITHIN_MIN


@pytest.mark.slow
@pytest.mark.parametrize("cause", ["cable-slack-unequal", "out-of-adjustment"])
def test_what_is_only_misset_is_cured_within_the_hour(cause: str, advisor: Advisor) -> None:
    cured = [_cured(advisor, cause, seed, number) for seed in SEEDS for number in range(BIKES)]
    assert np.mean(cured) >= CURED, (sum(cured), len(cured))
