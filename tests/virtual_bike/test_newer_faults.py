"""Needle jets, main air, sheaths, levers, and the marks a fault leaves for the eye."""

import numpy as np

from advisor.virtual_bike import steady, still
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant, plant_all
from advisor.virtual_bike.operate import tune


def both(cause: str, severity: float = 0.7) -> tuple[steady.Steady, steady.Steady]:
    return steady.steady(plant(Bike(), cause, "left", severity)), steady.steady(Bike())


def test_a_blocked_needle_jet_is_lean_in_the_middle_and_not_at_idle() -> None:
    found, healthy = both("needle-jet-blocked")
    assert found.cruise_excess[0, 0] > 1.3 * healthy.cruise_excess[0, 0]
    assert abs(found.excess[0, 0] / healthy.excess[0, 0] - 1) < 0.15
    assert np.allclose(found.cruise_excess[0, 1], healthy.cruise_excess[0, 1], rtol=0.05)


def test_without_bleed_air_it_is_the_richer_the_faster_it_breathes() -> None:
    found, healthy = both("main-air-jet-blocked", 1.0)
    richer = [1 - getattr(found, name)[0, 0] / getattr(healthy, name)[0, 0] for name in NAMES]
    assert richer[0] < 0.04
    assert richer[0] < richer[1] < richer[2]
    assert richer[2] > 0.15


NAMES = ("excess", "cruise_excess", "full_excess")


def test_a_sheath_out_of_its_socket_pulls_at_its_plate() -> None:
    found, healthy = both("sheath-out-of-socket")
    assert found.depression_kpa[0, 0] < healthy.depression_kpa[0, 0] - 1
    assert found.idle_rpm[0] > healthy.idle_rpm[0] + 30
    assert still.still(plant(Bike(), "sheath-out-of-socket", "left", 0.7)).slack_mm[0, 0] < 0


def test_a_lever_that_slips_leaves_its_plate_behind() -> None:
    found, healthy = both("throttle-lever-slips")
    assert np.allclose(found.excess, healthy.excess)
    assert found.held_column_mm[0] > 300
    assert found.held_drop_rpm[0, 0] < found.held_drop_rpm[0, 1]


def test_a_fault_leaves_its_marks_and_they_stay_when_it_is_tuned() -> None:
    bike = plant_all(Bike(), [("plug-loose", "right", 0.4), ("points-burnt", "left", 0.2), ("coil-failing", None, 0.3)])
    marks = {
        ("plug-loose", "right", 0.4),
        ("points-burnt", None, 0.2),
        ("coil-failing", "left", 0.3),
        ("coil-failing", "right", 0.3),
    }
    assert bike.marks == marks
    assert tune(bike).marks == marks
    assert ("plug-loose", "left", 0.4) in bike.mirrored().marks
    assert plant(Bike(), "plug-loose", "left", 0.0).marks == frozenset()


def test_a_worn_spindle_lets_false_air_in_as_a_leaking_joint_does() -> None:
    """Its air comes from outside, past its ends: it leans the idle as much as a joint with a hole of that size."""
    worn, leaky = plant(Bike(), "throttle-spindle-worn", "left", 0.6), plant(Bike(), "intake-joint-leak", "left", 0.6)
    spindle, joint = steady.steady(worn, leaky).excess
    assert np.allclose(spindle, joint, rtol=1e-6)
    assert spindle[0] > spindle[1] + 0.05


def test_a_failing_cap_misses_under_load_and_hardly_off_it() -> None:
    """A full charge asks for the most voltage (Paschen), and a cracked cap holds less of it."""
    found, healthy = both("cap-or-lead-failing", 0.9)
    assert found.full_misfire[0, 0] > 0.3 > found.misfire[0, 0] - healthy.misfire[0, 0]
    assert found.held_misfire[0, 0] < 0.1
    assert np.allclose(found.full_misfire[0, 1], healthy.full_misfire[0, 1], atol=1e-3)
