"""Readings: all of the rule base, in its units, within what is plausible, and telling what they should."""

import numpy as np
import pytest

from advisor.errors import AdvisorError
from advisor.observer.bike_view import usual, view
from advisor.observer.readings_taken import FIGURES, NOT_READ, SHEET, take
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant
from tests.observer.conftest import planted


def rng() -> np.random.Generator:
    return np.random.default_rng(3)


def test_every_reading_is_taken_or_said_not_to_be(base: Rulebase) -> None:
    assert set(FIGURES) | set(NOT_READ) == set(base.readings)
    assert not set(FIGURES) & set(NOT_READ)
    assert all(NOT_READ.values())
    with pytest.raises(AdvisorError, match="no wheel"):
        take(usual(), "rim-runout", rng())


def test_units_and_sides_are_those_of_the_rules(base: Rulebase) -> None:
    for name in FIGURES:
        taken, wanted = take(usual(), name, rng()), base.readings[name]
        assert taken.unit == wanted.unit, name
        assert set(taken.values) == ({"left", "right"} if wanted.sided else {None}), name


def test_readings_are_plausible(base: Rulebase) -> None:
    for v in [usual(), *planted(0.9, tuned=False).values()]:
        for name in FIGURES:
            wanted = base.readings[name]
            for values in take(v, name, rng()).values.values():
                assert all(wanted.lowest <= value <= wanted.highest for value in values), (name, values, v.bike.marks)


def test_the_sheet_holds_the_healthy_bike(base: Rulebase) -> None:
    for name, (low, high, unit) in SHEET.items():
        figure = base.figures[name]
        assert unit == figure.unit
        for values in take(usual(), name, rng()).values.values():
            assert all(low - figure.tolerance <= value <= high + figure.tolerance for value in values), name


def test_readings_repeat_with_the_seed_and_scatter() -> None:
    assert take(usual(), "drop-idle", rng()) == take(usual(), "drop-idle", rng())
    drops = [take(usual(), "drop-idle", np.random.default_rng(i)).at("left") for i in range(30)]
    assert all(len(one) == 3 for one in drops)
    assert np.std(drops) > 5


@pytest.mark.parametrize(
    ("cause", "reading", "higher"),
    [
        ("rings-worn", "drop-idle", "right"),
        ("intake-joint-leak", "column-idle", "right"),
        ("float-level-high", "fuel-level", "left"),
        ("float-sunk", "float-weight", "left"),
        ("fuel-hose-pinched", "fuel-flow", "right"),
        ("cap-or-lead-failing", "plug-path-resistance", "left"),
        ("coil-failing", "spark-reach", "right"),
        ("coil-failing", "coil-secondary", "left"),
        ("compression-lost", "compression", "right"),
        ("rings-worn", "leak-down", "left"),
        ("timing-sides-differ", "timing-late", "left"),
        ("needle-unlike", "needle-notch", "left"),
        ("clearance-wide", "clearance-inlet", "left"),
        ("enricher-stuck-open", "exhaust-co", "left"),
        ("gauge-at-fault", "column-at-rest", "left"),
        ("sheath-out-of-socket", "cable-slack", "right"),
    ],
)
def test_the_side_that_reads_more(cause: str, reading: str, higher: str) -> None:
    v, draws = view(plant(Bike(), cause, "left", 0.9)), rng()
    taken = [take(v, reading, draws) for _ in range(20)]
    left, right = (np.mean([np.mean(one.at(side)) for one in taken]) for side in BOTH)
    assert (left > right) == (higher == "left")
    assert left != right


def test_a_stall_stands_in_for_a_drop() -> None:
    taken = take(view(plant(Bike(), "plug-dead", "left", 0.7)), "drop-idle", rng())
    assert taken.stalls == {"left": 0, "right": 3}
    assert taken.at("right") == ()


def test_nothing_is_read_of_an_engine_that_does_not_run() -> None:
    dead = view(Bike().change(stop_deg=0.2))
    for name in ("idle-speed", "drop-idle", "column-idle", "idle-swing", "hang-time", "exhaust-co"):
        taken = take(dead, name, rng())
        assert not any(taken.values.values()), name
        assert not any(taken.stalls.values()), name


def test_exchanged_hoses_exchange_the_legs_but_not_the_offset() -> None:
    v = view(plant(Bike(), "gauge-at-fault", "left", 0.9))
    for name in ("column-idle", "column-exchanged"):
        taken = take(v, name, rng())
        assert taken.at("left")[0] - taken.at("right")[0] > 0.15


def test_columns_come_with_how_far_they_are_trusted() -> None:
    """Twice the scatter of a leg, more where a side misses or nothing damps the gauge; others do not say it."""
    calm, draws = take(usual(), "column-idle", rng()), rng()
    assert 0 < calm.trusted < 0.2
    assert take(view(plant(Bike(), "plug-fouled", "left", 0.9)), "column-idle", draws).trusted > calm.trusted
    assert take(view(plant(Bike(), "gauge-undamped", None, 0.9)), "column-idle", draws).trusted > 3 * calm.trusted
    assert take(usual(), "column-off-idle", draws).trusted > calm.trusted
    assert take(usual(), "idle-speed", draws).trusted == 0
    assert calm.on("left").trusted == calm.trusted
