"""The bike on the stand: what a look in vain does, what a repair cures and costs, and what is known afterwards."""

import numpy as np
import pytest
from msgspec.structs import replace

from advisor.chain.run import MEASURED
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.observer.bike_view import view
from advisor.observer.complaint import UNASKED
from advisor.observer.senses import sensed
from advisor.observer.turning import ADJUSTER, STOP
from advisor.plan.cost import RETEST
from advisor.scoring.check_result import NOBODY
from advisor.scoring.hidden_bikes import Fault, Hidden, draw, planted
from advisor.scoring.stand import OPENING, Stand
from advisor.session.events import PutRight, RuledOut, Skipped, Told
from advisor.sides import BOTH, Sided, other
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant
from tests.scoring.bikes import stand_with

AGAIN = 15.0  # minutes for stops and cables that had been set around a fault
LEAK: Fault = ("intake-joint-leak", "left", 0.9)


def _set_around(advisor: Advisor, *faults: Fault) -> Stand:
    """Return the stand with these faults, stops and cables set around them."""
    hidden = planted(faults)
    hidden = Hidden(operate.tune(hidden.bike), hidden.faults)
    return Stand(advisor, hidden, view(hidden.bike), np.random.default_rng(1), slips=0.0)


def _ruled_out(at: Stand) -> list[Sided]:
    return [(one.cause, one.side) for one in at.events if isinstance(one, RuledOut)]


def test_a_second_look_in_vain_rules_a_cause_out(advisor: Advisor) -> None:
    at = stand_with(advisor, ("plug-dead", "right", 0.9))
    assert not at.settle("intake-joint-leak", "left")
    assert _ruled_out(at) == []
    assert not at.settle("intake-joint-leak", "right")  # the other side is another cause
    assert _ruled_out(at) == []
    assert not at.settle("intake-joint-leak", "left")
    assert _ruled_out(at) == [("intake-joint-leak", "left")] == list(at.case.ruled_out)
    assert ("intake-joint-leak", "left") in at.done_with()
    assert at.chances()["intake-joint-leak", "left"] == 0.0


def test_what_an_earlier_check_had_found_is_ruled_out_after_two_looks_at_once(advisor: Advisor) -> None:
    at = stand_with(advisor, ("plug-dead", "right", 0.9))
    price = advisor.base.checks[advisor.base.causes["intake-joint-leak"].settled_by].minutes
    assert not at.settle("intake-joint-leak", "left", seen=True)
    assert at.minutes == 2 * price
    assert _ruled_out(at) == [("intake-joint-leak", "left")]


@pytest.mark.parametrize(("looks", "found"), [([True], True), ([False, True], True), ([False, False], False)])
def test_where_two_looks_differ_a_third_decides(
    advisor: Advisor, monkeypatch: pytest.MonkeyPatch, looks: list[bool], *, found: bool
) -> None:
    at, says = stand_with(advisor, LEAK), iter(looks)
    monkeypatch.setattr(at, "_look", lambda *_: next(says))
    assert at.settle("intake-joint-leak", "left", seen=True) is found
    assert list(says) == []
    assert bool(_ruled_out(at)) is not found


def test_a_true_fault_is_confirmed_by_one_look(advisor: Advisor) -> None:
    at = stand_with(advisor, LEAK)
    assert at.settle("intake-joint-leak", "left")
    assert _ruled_out(at) == []
    assert not at.over


def test_a_screw_that_was_left_level_needs_no_second_look(advisor: Advisor) -> None:
    at = stand_with(advisor, ("out-of-adjustment", "left", 0.7))
    assert at.do("turn-a-stop-and-read", None).findings[STOP, "right"]
    clock, known = at.minutes, len(at.events)
    assert at.settle("out-of-adjustment", None, seen=True)
    assert (at.minutes, len(at.events)) == (clock, known)
    assert not at.settle("intake-joint-leak", "left", seen=True)  # the screw speaks for its own cause only
    assert at.minutes > clock


def test_without_an_earlier_find_a_level_screw_is_no_answer(advisor: Advisor) -> None:
    at = stand_with(advisor, ("out-of-adjustment", "left", 0.7))
    assert at.do("turn-a-stop-and-read", None).findings[STOP, "right"]
    clock = at.minutes
    at.settle("out-of-adjustment", None)
    assert at.minutes > clock  # it was looked at


def test_a_screw_stays_where_it_helped_and_the_repair_ends_with_the_sound_bike(advisor: Advisor) -> None:
    at = stand_with(advisor, ("out-of-adjustment", "left", 0.7))
    hidden = at.hidden
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
    assert at.minutes - clock == advisor.base.causes["out-of-adjustment"].minutes + RETEST
    assert at.view.bike == Bike()


def test_a_screw_goes_back_where_it_was_no_help(advisor: Advisor) -> None:
    at = stand_with(advisor, LEAK, seed=2)
    hidden = at.hidden
    assert not any(at.do("turn-a-stop-and-read", None).findings.values())
    assert at.view.bike == hidden.bike


def test_a_screw_turned_around_something_else_costs_setting_again(advisor: Advisor) -> None:
    at = stand_with(advisor, ("cable-slack-unequal", "left", 0.8), ("plug-gap-wrong", "left", 0.3), seed=5)
    assert at.do("turn-an-adjuster-and-read", None).findings[ADJUSTER, "left"]
    clock = at.minutes
    assert at.put_right("plug-gap-wrong", "left")
    assert at.minutes - clock == advisor.base.causes["plug-gap-wrong"].minutes + RETEST + AGAIN


def test_a_check_that_cannot_tell_is_skipped(advisor: Advisor) -> None:
    at = stand_with(advisor, seed=4)
    assert at.do("turn-an-adjuster-and-short", None).says == NOBODY
    assert isinstance(at.events[-1], Skipped)


def test_what_was_set_around_a_fault_costs_its_minutes_again(advisor: Advisor) -> None:
    took = []
    for at in (stand_with(advisor, LEAK), _set_around(advisor, LEAK)):
        assert at.put_right("intake-joint-leak", "left")
        took.append(at.minutes)
    assert took[0] == advisor.base.causes["intake-joint-leak"].minutes + RETEST
    assert took[1] == took[0] + AGAIN


def test_a_repair_in_vain_sets_nothing_again(advisor: Advisor) -> None:
    at = _set_around(advisor, LEAK)
    assert not at.put_right("manifold-cracked", "left")
    assert at.minutes == advisor.base.causes["manifold-cracked"].minutes + RETEST
    assert at.set_around
    assert at.view.bike == at.hidden.bike
    assert isinstance(at.events[-1], PutRight)  # it is known to have been done


@pytest.mark.parametrize("cause", ["intake-joint-leak", "mixture-out", "set-too-cold", "out-of-adjustment"])
def test_once_a_fault_is_gone_the_bike_is_the_sound_one(advisor: Advisor, cause: str) -> None:
    at = _set_around(advisor, (cause, "left", 0.9))
    assert at.put_right(*at.hidden.causes[0])
    assert at.over
    assert at.view.bike == Bike()
    assert not any(sensed(at.view, UNASKED).values())


def test_stops_are_set_again_around_what_is_left(advisor: Advisor) -> None:
    at = _set_around(advisor, LEAK, ("plug-dead", "right", 0.6))
    assert at.put_right("plug-dead", "right")
    assert at.view.bike == operate.tune(planted([LEAK]).bike)
    clock = at.minutes
    assert at.put_right("intake-joint-leak", "left")
    assert (
        at.minutes == clock + advisor.base.causes["intake-joint-leak"].minutes + RETEST
    )  # set for good the first time


def test_what_is_misset_is_not_set_on_the_way(advisor: Advisor) -> None:
    misset: Fault = ("out-of-adjustment", "left", 0.8)
    at = _set_around(advisor, misset, ("plug-dead", "right", 0.6))
    assert at.put_right("plug-dead", "right")
    assert at.view.bike == planted([misset]).bike
    assert list(at.left) == [("out-of-adjustment", None)]


def test_a_repair_also_cures_what_is_renewed_with_it(advisor: Advisor) -> None:
    at = stand_with(advisor, ("plug-fouled", "left", 0.9))
    assert at.put_right("plug-dead", "left")
    assert at.over
    assert at.view.bike == Bike()


def test_a_repair_on_both_sides_cures_either(advisor: Advisor) -> None:
    assert stand_with(advisor, ("plug-dead", "right", 0.9)).put_right("plug-dead", "left")
    assert not stand_with(advisor, ("plug-fouled", "right", 0.9)).put_right("plug-fouled", "left")
    assert stand_with(advisor, ("plug-fouled", "right", 0.9)).put_right("plug-fouled", "right")


def test_after_a_repair_the_rider_tells_what_he_still_feels(advisor: Advisor) -> None:
    at = stand_with(advisor, ("plug-dead", "right", 0.9), LEAK)
    assert at.repair("intake-joint-leak", "left")
    assert isinstance(at.events[-1], Told)
    assert at.repair("plug-dead", "right")
    assert isinstance(at.events[-1], PutRight)  # he has nothing more to tell


def test_the_fault_tells_which_parts_the_bike_has(advisor: Advisor) -> None:
    assert stand_with(advisor, LEAK).case.bike.parts["plugs"] == "plain"
    assert stand_with(advisor, ("too-much-resistance", None, 0.9)).case.bike.parts["plugs"] == "resistor"


def test_chances_can_be_asked_among_some_causes_only(advisor: Advisor) -> None:
    at = stand_with(advisor, LEAK)
    at.complain()
    among = at.chances(among=["plug-dead"])
    assert {cause for (cause, _), chance in among.items() if chance > 0} == {"plug-dead"}
    assert sum(chance > 0 for chance in at.chances().values()) > 50


def test_opening_readings_are_taken_as_often_as_they_are_brought(advisor: Advisor) -> None:
    at = stand_with(advisor, LEAK)
    assert at.measure({"idle-speed": 1.0, "column-idle": 0.0}) == ("idle-speed",)
    assert {one.reading for one in at.case.measured} == {"idle-speed"}
    assert at.measure(dict.fromkeys(OPENING, 0.0)) == ()


def test_left_and_right_exchanged_score_alike(advisor: Advisor) -> None:
    chances = []
    for side in BOTH:
        at = stand_with(advisor, ("plug-dead", side, 0.9), seed=5)
        at.do("listen-at-each-exhaust", None)  # nothing is read there: readings scatter on either side by themselves
        chances.append(at.chances())
    mirrored = {(cause, other(side)): chance for (cause, side), chance in chances[1].items()}
    assert chances[0] == pytest.approx(mirrored, abs=1e-9)


def test_words_follow_from_the_figures_read_with_them(advisor: Advisor) -> None:
    """Two columns 0.2 kPa apart are level, whatever an eye might make of them; a check of one side reads one side."""
    base = advisor.base
    for seed in range(6):
        hidden = draw(np.random.default_rng(seed), evenly=True)
        at = Stand(advisor, hidden, view(hidden.bike), np.random.default_rng(seed), slips=0.5)
        for check in (
            "compare-columns-at-idle",
            "short-each-plug-at-idle",
            "feel-the-cables",
            "measure-the-compression",
        ):
            found = at.do(check, None)
            read = {one.reading for one in at.case.measured if one.reading in base.checks[check].takes}
            by_figures = advisor.chained(
                replace(at.case, seen=(), measured=tuple(one for one in at.case.measured if one.reading in read))
            )
            states = {(one.id, one.side): one.state == "seen" for one in by_figures.signs if one.how == MEASURED}
            assert {key: states[key] for key in found.findings if key in states} == {
                key: seen for key, seen in found.findings.items() if key in states
            }
        one_sided = at.do("test-the-spark", "left").readings
        assert one_sided
        assert not any(taken.at("right") for taken in one_sided.values())


def test_an_unknown_check_is_refused(advisor: Advisor) -> None:
    at = Stand(advisor, Hidden(Bike(), ()), view(Bike()), np.random.default_rng(1))
    with pytest.raises((AdvisorError, KeyError), match="no-such-check"):
        at.do("no-such-check", None)
    assert at.minutes == 0.0


def test_a_bike_knows_whether_it_was_set_around_its_faults() -> None:
    bike = plant(Bike(), *LEAK)
    assert not Hidden(bike, (LEAK,)).set_around
    assert Hidden(operate.tune(bike), (LEAK,)).set_around
