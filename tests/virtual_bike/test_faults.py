"""Faults: every cause is shown or said not to be, each does something to its own side, and the same to the other."""

import numpy as np
import pytest

from advisor.errors import AdvisorError
from advisor.places import shipped
from advisor.virtual_bike import instruments, steady, still
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, NOT_SHOWN, ONE_SIDED, plant, plant_all

ALL = sorted(CAUSES)
ODD_ONE_OUT = ("out-of-adjustment", "mixture-out", "unlike-parts")


@pytest.fixture(scope="module")
def left() -> steady.Steady:
    return steady.steady(*(plant(Bike(), cause, "left", 0.6) for cause in ALL))


def test_every_cause_is_shown_or_said_not_to_be() -> None:
    known = {path.stem for path in shipped("rules").glob("*/causes/*.yaml")}
    assert set(CAUSES) | set(NOT_SHOWN) == known
    assert not set(CAUSES) & set(NOT_SHOWN)
    assert len(CAUSES) >= 32
    assert all(NOT_SHOWN.values())


@pytest.mark.parametrize("cause", ALL)
def test_no_severity_no_fault(cause: str) -> None:
    healthy = plant(Bike(), cause, "left", 0.0)
    if cause == "cable-end-sticking":  # the cable lies where its slack ends
        healthy = healthy.change(sticks_mm=0.0)
    assert healthy == Bike()
    assert plant(Bike(), cause, "left", 0.6) != Bike()


@pytest.mark.parametrize("cause", ALL)
def test_a_one_sided_fault_leaves_the_other_side_alone(cause: str) -> None:
    bike = plant(Bike(), cause, "left", 0.6)
    if cause in ONE_SIDED:
        assert bike.right == Bike().right
        assert bike == plant(Bike(), cause, "right", 0.6).mirrored()
        assert plant(Bike(), cause, None, 0.6).left == bike.left
    elif cause not in {*ODD_ONE_OUT, "set-too-cold", "set-too-hot", "gauge-at-fault"}:
        assert bike == bike.mirrored()


def test_exchanged_sides_exchange_every_reading(left: steady.Steady) -> None:
    """The model knows no left and right: a mirrored bike gives mirrored values."""
    right = steady.steady(*(plant(Bike(), cause, "left", 0.6).mirrored() for cause in ALL))
    for name in ("drop_rpm", "depression_kpa", "excess", "header_c", "held_depression_kpa", "full_excess"):
        assert np.allclose(getattr(left, name), getattr(right, name)[:, ::-1], equal_nan=True, rtol=1e-9)
    assert np.allclose(left.column_mm, -right.column_mm, equal_nan=True, atol=1e-6)
    assert np.allclose(left.idle_rpm, right.idle_rpm, equal_nan=True)


def seen(left: steady.Steady, cause: str, name: str) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    found: np.ndarray[tuple[int, ...], np.dtype[np.float64]] = getattr(left, name)[ALL.index(cause)]
    return found


AIR = ("intake-joint-leak", "manifold-cracked", "throttle-spindle-worn", "butterfly-not-sealing")


@pytest.mark.parametrize("cause", [*AIR, "enricher-stuck-open", "cable-end-sticking"])
def test_air_past_the_plate_lowers_its_column(left: steady.Steady, cause: str) -> None:
    assert seen(left, cause, "column_mm") < -60


def test_a_perished_cap_is_off_while_its_port_is_read(left: steady.Steady) -> None:
    """The gauge shows level columns, the drops taken with the caps on do not."""
    assert abs(float(seen(left, "vacuum-port-leak", "column_mm"))) < 5
    assert abs(float(seen(left, "vacuum-port-leak", "held_column_mm"))) < 5
    drop = seen(left, "vacuum-port-leak", "drop_rpm")
    assert drop[0] < drop[1] - 50
    calm = seen(left, "vacuum-port-leak", "gauge_misfire")
    assert calm[0] == pytest.approx(calm[1], abs=1e-3)
    assert seen(left, "vacuum-port-leak", "misfire")[0] > calm[0] + 0.005


@pytest.mark.parametrize("cause", ["intake-joint-leak", "idle-passage-blocked", "mixture-screw-seal-leaking"])
def test_what_leans_the_idle(left: steady.Steady, cause: str) -> None:
    excess = seen(left, cause, "excess")
    assert excess[0] > excess[1] + 0.05


@pytest.mark.parametrize("cause", ["enricher-leaking", "float-level-high", "needle-jet-worn", "idle-air-jet-blocked"])
def test_what_richens_the_idle(left: steady.Steady, cause: str) -> None:
    excess = seen(left, cause, "excess")
    assert excess[0] < excess[1] - 0.03


@pytest.mark.parametrize(
    "cause",
    ["compression-lost", "plug-fouled", "cap-or-lead-failing", "rings-worn", "idle-passage-blocked", "coil-failing"],
)
def test_a_weak_side_is_missed_less(left: steady.Steady, cause: str) -> None:
    """Shorting the weak side costs less than shorting the strong one; the columns hardly part."""
    drop = seen(left, cause, "drop_rpm")
    assert drop[0] < drop[1] - 10
    assert 0.5 < abs(float(seen(left, cause, "column_mm"))) < 80
    assert seen(left, cause, "half_order_rpm") > 1.5


def test_a_dead_plug(left: steady.Steady) -> None:
    assert seen(left, "plug-dead", "drop_rpm")[0] == pytest.approx(0, abs=1)
    assert seen(left, "plug-dead", "stalls")[1]
    assert seen(left, "plug-dead", "plug_look")[0] == "wet"
    assert seen(left, "plug-dead", "header_c")[0] < 60


@pytest.mark.parametrize("cause", ["main-jet-blocked", "diaphragm-torn", "fuel-hose-pinched"])
def test_what_shows_only_under_load(left: steady.Steady, cause: str) -> None:
    """Nothing at idle, little unloaded, much at full throttle."""
    assert abs(float(seen(left, cause, "column_mm"))) < 10
    assert seen(left, cause, "idle_rpm") == pytest.approx(1050, abs=15)
    assert seen(left, cause, "full_excess")[0] > seen(left, cause, "full_excess")[1] + 0.1


def test_cables_show_off_idle_only(left: steady.Steady) -> None:
    assert abs(float(seen(left, "cable-slack-unequal", "column_mm"))) < 1
    assert seen(left, "cable-slack-unequal", "held_column_mm") < -50


def test_a_float_matters_at_idle() -> None:
    """4 mm of level: 3 to 10 % of mixture at idle."""
    low, high = steady.steady(Bike().change(float_mm=-4.0), Bike().change(float_mm=4.0)).excess[:, 0]
    assert 0.06 < (low - high) / 0.94 < 0.2


def test_a_tank_that_does_not_breathe_starves_only_after_a_while() -> None:
    bike = plant(Bike(), "tank-vent-blocked", None, 1.0)
    first, later = steady.steady(bike, bike.share(ridden_min=30.0)).full_excess[:, 0]
    assert later > 1.5 * first


def test_closer_looks_find_what_was_planted() -> None:
    at = still.still(
        plant(Bike(), "rings-worn", "left"),
        plant(Bike(), "compression-lost", "left"),
        plant(Bike(), "cap-or-lead-failing", "left"),
    )
    worn, lost, cap = 0, 1, 2
    assert at.compression_kpa[worn, 0] < at.compression_kpa[worn, 1] - 100
    assert at.compression_oiled_kpa[worn, 0] > at.compression_kpa[worn, 0] + 60
    assert at.compression_oiled_kpa[lost, 0] == pytest.approx(at.compression_kpa[lost, 0])
    assert at.resistance_ohm[cap, 0] > 5 * at.resistance_ohm[cap, 1]


def test_the_gauge_misleads() -> None:
    bikes = [Bike().change("left", stop_deg=5.5), plant(Bike(), "gauge-at-fault", "left", 1.0)]
    bikes.append(plant(bikes[0], "hoses-exchanged"))
    bikes.append(plant(bikes[0], "gauge-undamped"))
    true = steady.steady(*bikes)
    seen_ = np.stack([instruments.read(true, bikes, np.random.default_rng(i)).values["column_mm"] for i in range(40)])
    mean, spread = seen_.mean(0), seen_.std(0)
    assert mean[0] == pytest.approx(true.column_mm[0], abs=8)
    assert mean[1] == pytest.approx(60, abs=8)
    assert mean[2] == pytest.approx(-true.column_mm[0], abs=8)
    assert spread[3] > 3 * spread[0]


def test_several_at_once() -> None:
    bike = plant_all(
        Bike(), [("plug-fouled", "left", 0.5), ("intake-joint-leak", "right", 0.5), ("timing-wrong", None, 0.5)]
    )
    assert bike.left.plug_fouling
    assert bike.right.joint_leak_mm2
    assert not bike.left.joint_leak_mm2
    assert bike.static_deg < Bike().static_deg


@pytest.mark.parametrize(
    ("cause", "severity", "words"),
    [("plug-ded", 0.5, "plug-dead"), ("plug-dead", 1.5, "from 0 to 1"), ("icing", 0.5, "cannot show")],
)
def test_mistakes_are_named(cause: str, severity: float, words: str) -> None:
    with pytest.raises(AdvisorError, match=words):
        plant(Bike(), cause, "left", severity)


def test_unknown_parts_are_named() -> None:
    with pytest.raises(AdvisorError, match="float_mm"):
        Bike().change("left", flot_mm=1.0)
    with pytest.raises(AdvisorError, match="side"):
        Bike().side(None)
