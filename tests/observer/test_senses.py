"""Senses: every sign in its place, none on a healthy bike, left and right alike."""

import pytest

from advisor.observer.bike_view import usual, view, views
from advisor.observer.not_sensed import NOT_SENSED
from advisor.observer.senses import SENSES, sense, sensed
from advisor.rulebase.model import Rulebase
from advisor.sides import Side, other
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant, plant_all
from advisor.virtual_bike.operate import tune

TOGETHER = (
    ("intake-joint-leak", "coil-failing", "float-sunk"),
    ("idle-passage-blocked", "sheath-out-of-socket", "gauge-at-fault"),
    ("plug-dead", "clearance-tight"),
    ("diaphragm-torn", "out-of-adjustment"),
)


def with_all(causes: tuple[str, ...]) -> Bike:
    """Return a bike with these faults on its left."""
    return plant_all(Bike(), [(cause, "left", 0.7) for cause in causes])


def test_every_sign_is_sensed_or_said_not_to_be(base: Rulebase) -> None:
    assert set(SENSES) | set(NOT_SENSED) == set(base.signs)
    assert not set(SENSES) & set(NOT_SENSED)
    assert all(NOT_SENSED.values())
    assert sense(usual(), "worse-in-wind") is None


def test_signs_have_sides_as_the_rules_say(base: Rulebase) -> None:
    for sign, side in sensed(usual()):
        assert base.signs[sign].sided == (side is not None), sign


def test_a_healthy_bike_shows_nothing() -> None:
    assert not [key for key, seen in sensed(usual()).items() if seen]
    assert not [key for key, seen in sensed(view(tune(Bike()))).items() if seen]


@pytest.mark.parametrize("causes", TOGETHER)
def test_exchanged_sides_exchange_the_signs(causes: tuple[str, ...]) -> None:
    bike = with_all(causes)
    here, there = (sensed(one) for one in views([bike, bike.mirrored()]))
    assert there == {(sign, other(side)): seen for (sign, side), seen in here.items()}


@pytest.mark.parametrize("causes", TOGETHER)
def test_who_sees_a_kind_sees_the_vaguer_sign(causes: tuple[str, ...], base: Rulebase) -> None:
    v = view(with_all(causes))
    there = {sign for (sign, _), seen in sensed(v, set(SENSES) - SET_AGAIN).items() if seen}
    for sign in there:
        vaguer = base.signs[sign].kind_of
        assert not vaguer or vaguer in there or (sign, vaguer) in NOT_SO, (causes, sign)


# An idle that does not need its stops need not be too high with them.
NOT_SO = {("idles-off-its-stops", "idle-too-high")}
SET_AGAIN = {"balance-stays-after-reset", "mixture-alone-cures", "right-once-set-warm"}  # slow, and of no kind


@pytest.mark.parametrize("side", ["left", "right"])
def test_exchanges_tell_the_part(side: Side) -> None:
    parts = {"plug-dead": "plug", "cap-or-lead-failing": "cap", "coil-failing": "coil", "diaphragm-torn": "slide"}
    parts |= {"idle-passage-blocked": "jets", "progression-blocked": "carburettor"}
    for cause, part in parts.items():
        v = view(plant(Bike(), cause, side, 0.7))
        for name in ("plug", "cap", "coil", "slide", "jets", "float"):
            assert sense(v, f"fault-follows-{name}", side) == (name == part), (cause, name)
            assert not sense(v, f"fault-follows-{name}", other(side))
        assert sense(v, "fault-follows-carburettor", side) == (part in {"slide", "jets", "carburettor"})


def test_cures_cure_what_they_should() -> None:
    cures = {
        "good-plugs-cure": "plug-dead",
        "mixture-alone-cures": "mixture-out",
        "balance-stays-after-reset": "out-of-adjustment",
        "runs-well-from-a-can": "supply-restricted",
        "runs-well-lower-down": "too-high-up",
        "filter-out-helps": "air-filter-blocked",
        "other-bodies-cure": "progression-blocked",
    }
    for sign, cause in cures.items():
        assert sense(view(plant(Bike(), cause, "left", 0.8)), sign), sign
        assert not sense(view(plant(Bike(), "rings-worn", "left", 0.8)), sign), sign


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_side_without_its_idle_passage_joins_in_on_the_road(side: Side) -> None:
    v = view(plant(Bike(), "idle-passage-blocked", side, 0.7))
    assert sense(v, "side-joins-at-revs", side)
    assert not sense(v, "side-joins-at-revs", other(side))
    assert not sense(view(plant(Bike(), "plug-dead", side, 0.7)), "side-joins-at-revs", side)


def test_a_spindle_that_rocks_lets_the_idle_jump_and_a_leaking_joint_does_not() -> None:
    assert sense(view(plant(Bike(), "throttle-spindle-worn", "left", 0.9)), "idle-jumps")
    assert not sense(view(plant(Bike(), "throttle-spindle-worn", "left", 0.3)), "idle-jumps")
    assert not sense(view(plant(Bike(), "intake-joint-leak", "left", 0.9)), "idle-jumps")


def test_two_faults_show_both() -> None:
    bike = plant_all(Bike(), [("intake-joint-leak", "left", 0.7), ("plug-gap-wrong", "right", 0.7)])
    v = view(bike)
    assert sense(v, "joint-wetting-moves-idle", "left")
    assert sense(v, "plug-gap-off", "right")
    assert not sense(v, "plug-gap-off", "left")


def test_one_condenser_cures_one_fault_of_two() -> None:
    both = plant_all(Bike(), [("condenser-failed", None, 1.0), ("battery-or-charging-low", None, 0.2)])
    assert sense(view(both), "another-condenser-cures")
    assert not sense(view(plant(Bike(), "battery-or-charging-low", None, 1.0)), "another-condenser-cures")


def test_a_stalled_engine_is_looked_at_all_the_same() -> None:
    v = view(Bike().change(stop_deg=0.2))
    there = {sign for (sign, _), seen in sensed(v).items() if seen}
    assert {"dies-at-idle", "cuts-out", "idle-bad", "runs-badly"} <= there
    assert "column-higher-idle" not in there
