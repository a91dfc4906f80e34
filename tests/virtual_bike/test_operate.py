"""What a mechanic does: tuning ends where it should, acts are answered."""

import numpy as np
import pytest

from advisor.errors import AdvisorError
from advisor.virtual_bike import operate as do
from advisor.virtual_bike import respond, steady
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant

FAULTS = (
    "intake-joint-leak",
    "enricher-leaking",
    "throttle-spindle-worn",
    "out-of-adjustment",
    "cable-slack-unequal",
    "set-too-cold",
    "compression-lost",
    "idle-passage-blocked",
)


def test_tuning_hides_the_fault() -> None:
    """Columns equal at idle and held, idle on its mark, whatever is wrong; the stops tell."""
    tuned = do.tune_all(tuple(plant(Bike(), cause, "left", 0.5) for cause in FAULTS))
    found = steady.steady(*tuned)
    assert np.abs(found.column_mm).max() < 10
    assert np.abs(found.held_column_mm).max() < 25
    assert np.abs(found.idle_rpm - do.TARGET_RPM).max() < 12
    apart = {cause: bike.right.stop_deg - bike.left.stop_deg for cause, bike in zip(FAULTS, tuned, strict=True)}
    assert apart["intake-joint-leak"] > 0.4
    assert abs(apart["out-of-adjustment"]) < 0.1


def test_who_balances_with_a_gauge_balances_a_perished_cap_away_for_as_long_as_it_is_on() -> None:
    tuned = do.tune(plant(Bike(), "vacuum-port-leak", "left", 0.7))
    assert abs(tuned.left.stop_deg - tuned.right.stop_deg) < 0.1
    assert tuned.left.port_leak_mm2 > 0
    found = steady.steady(tuned)
    assert abs(float(found.column_mm[0])) < 10
    assert found.drop_rpm[0][0] < found.drop_rpm[0][1] - 50


def test_tuning_leaves_slack() -> None:
    tuned = do.tune(plant(Bike(), "no-cable-slack", None, 1.0))
    for one in (tuned.left, tuned.right):
        assert one.adjuster_mm + 0.35 * one.stop_deg > 0.8


def test_a_lying_gauge_is_believed() -> None:
    true = steady.steady(do.tune(plant(Bike(), "gauge-at-fault", "left", 1.0)))
    assert true.column_mm[0] == pytest.approx(-60, abs=10)


def test_sealing_answers_only_where_air_leaks() -> None:
    bike = plant(Bike(), "intake-joint-leak", "left", 0.5)
    answer = respond.answers(bike)
    assert abs(answer["seal left"].column_mm) > 60
    assert answer["seal right"] == respond.Answer(0.0, 0.0)
    assert answer["spray left"].rpm > 5
    assert answer["spray right"].rpm == 0


def test_a_lean_side_likes_the_enricher() -> None:
    lean = respond.answers(plant(Bike(), "idle-passage-blocked", "left", 0.5))
    assert lean["enricher half left"].rpm > lean["enricher half right"].rpm + 30
    assert lean["screw out left"].rpm > 0 > lean["screw in left"].rpm


def test_opening_a_stop_raises_the_idle_and_parts_the_columns() -> None:
    answer = respond.answers(Bike())["stop in left"]
    assert answer.rpm > 5
    assert answer.column_mm < -20


def test_the_best_mixture_cures_a_mixture_that_is_out() -> None:
    out = plant(Bike(), "mixture-out", "left", 0.8)
    cured = do.best_mixture(out)
    before, after = steady.steady(out, cured).idle_rpm
    assert after > before + 20
    assert cured.left.screw_turns == pytest.approx(cured.right.screw_turns, abs=0.3)


def test_limits() -> None:
    assert do.turn_stop(Bike(), "left", 100.0).left.stop_deg == do.STOP_LIMITS[1]
    assert do.turn_screw(Bike(), "left", -100.0).left.screw_turns == do.SCREW_LIMITS[0]
    assert do.adjust_cable(Bike(), "right", 100.0).right.adjuster_mm == do.ADJUSTER_LIMITS[1]
    assert do.ride(Bike(), 5.0).ridden_min == 5.0
    assert do.open_grip(Bike(), 3.0).grip_mm == 3.0
    assert not do.short(Bike(), "left").left.spark
    with pytest.raises(AdvisorError, match="from 0 to 1"):
        do.set_enricher(Bike(), "left", 2.0)
