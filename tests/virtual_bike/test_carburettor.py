"""The carburettor: openings, the slide's balance, each circuit, level, supply and vents."""

import numpy as np
import pytest

from advisor.quantities import GRAVITY
from advisor.virtual_bike import carburettor as carb
from advisor.virtual_bike import engine, needle
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE

HELD = np.full((1, 1, 1), 2500.0)


def at(rpm: float, *bikes: Bike) -> engine.Running:
    return engine.run(pack(bikes), np.full((1, 1, 1), rpm))


def test_the_plate_opens_to_its_bore() -> None:
    """Closed it leaks only; wide open (90 degrees of plate) the bore is free but for the discharge coefficient."""
    assert carb.plate_area(np.zeros(1))[0] == pytest.approx(ENGINE.closed_leak)
    whole = ENGINE.butterfly_discharge * np.pi / 4 * ENGINE.butterfly**2 + ENGINE.closed_leak
    assert carb.plate_area(np.full(1, 80.0))[0] == pytest.approx(whole)
    assert (np.diff(carb.plate_area(np.linspace(0, 80, 40))) > 0).all()


def test_the_cable_opens_what_the_stop_does_not() -> None:
    slack = Bike().left.adjuster_mm + ENGINE.lever_mm_per_degree * Bike().left.stop_deg
    angle = carb.plate_angle(pack([Bike().share(grip_mm=p) for p in (0.0, slack * 0.99, slack + 0.35)]))[:, 0, 0]
    # pull is counted from where the closed plate would take it up
    assert angle[0] == Bike().left.stop_deg
    assert angle[2] > angle[0]
    none = carb.plate_angle(pack([Bike().change(adjuster_mm=-3.0)]))[0, 0, 0]
    assert none > Bike().left.stop_deg


def test_a_floating_slide_balances() -> None:
    """Mean drop behind the slide x diaphragm = weight + spring (statics)."""
    b = pack([Bike().share(grip_mm=6.0)])
    way = carb.openings(b)
    d = carb.equilibrium(b, way, np.full((1, 1, 1), 4000.0))
    lift = float(d.slide[0, 0, 0])
    assert lift > 0.001
    assert lift < 0.9 * ENGINE.slide_lift
    throat = ENGINE.slide_base + ENGINE.slide_width * lift
    force = float(d.depression[0, 0, 0]) * ENGINE.reference_pressure * (float(d.plate[0, 0, 0]) / throat) ** 2
    held = ENGINE.slide_mass * GRAVITY + ENGINE.slide_preload + ENGINE.slide_rate * lift
    assert force * ENGINE.diaphragm_area == pytest.approx(held, rel=0.02)


def test_holes_and_friction_keep_the_slide_down() -> None:
    bikes = [
        Bike().share(grip_mm=8.0).change(None, **p) for p in ({}, {"diaphragm_hole_mm2": 15.0}, {"slide_drag_n": 1.5})
    ]
    lift = at(4000.0, *bikes).lift[:, 0, 0]
    assert lift[1] < lift[0]
    assert lift[2] < lift[0]
    assert at(4000.0, Bike().share(grip_mm=2.0).change(slide_hung_mm=9.0)).lift[0, 0, 0] == pytest.approx(0.009)


def test_needle_and_jet_never_close() -> None:
    assert (ENGINE.least_annulus <= needle.RINGS).all()
    assert needle.annulus(np.full(1, -0.01))[0] >= ENGINE.least_annulus
    assert needle.RINGS[-1] > needle.RINGS[10]


@pytest.mark.parametrize(
    ("richer", "poorer"),
    [
        ({"screw_turns": 1.5}, {"screw_turns": 0.5}),
        ({"pilot_share": 1.0}, {"pilot_share": 0.7}),
        ({"pilot_air_share": 0.6}, {"pilot_air_share": 1.0}),
        ({"float_mm": 3.0}, {"float_mm": -3.0}),
        ({"enricher": 0.4}, {"enricher": 0.0}),
        ({"screw_leak_mm2": 0.0}, {"screw_leak_mm2": 0.2}),
        ({"needle_wear_mm": 0.03}, {"needle_wear_mm": 0.0}),
        ({"valve_leak_mg_s": 60.0}, {"valve_leak_mg_s": 0.0}),
    ],
)
def test_what_richens_the_idle(richer: dict[str, float], poorer: dict[str, float]) -> None:
    excess = at(1050.0, Bike().change(None, **richer), Bike().change(None, **poorer)).excess[:, 0, 0]
    assert excess[0] < excess[1] * 0.985


@pytest.mark.parametrize(
    ("richer", "poorer"),
    [
        ({"main_share": 1.0}, {"main_share": 0.7}),
        ({"filter_share": 0.5}, {"filter_share": 1.0}),
        ({"supply_share": 1.0}, {"supply_share": 0.2}),
        ({"vent_share": 1.0}, {"vent_share": 0.02}),
    ],
)
def test_what_richens_full_throttle(richer: dict[str, float], poorer: dict[str, float]) -> None:
    bikes = [Bike().share(grip_mm=32.0).change(None, **parts) for parts in (richer, poorer)]
    excess = at(5500.0, *bikes).excess[:, 0, 0]
    assert excess[0] < excess[1] * 0.98


def test_fuel_never_exceeds_the_supply() -> None:
    bike = Bike().share(grip_mm=32.0).change(supply_share=0.1)
    flow = at(5500.0, bike).fuel[0, 0, 0] * 5500 / 120
    assert flow == pytest.approx(0.1 * ENGINE.supply_flow, rel=1e-6)


def test_an_enricher_that_leaks_or_does_not_open() -> None:
    b = pack([Bike().change(enricher=1.0, enricher_works=0.0), Bike().change(enricher_leak=0.3), Bike()])
    assert carb.enricher_open(b)[:, 0, 0].tolist() == [0.0, 0.3, 0.0]


def test_pulsing_keeps_both_moments() -> None:
    """On for a quarter of the time at 8 kPa: mean 2 kPa, mean root 0.25 x sqrt(8 kPa) (arithmetic)."""
    duty, drop = carb.pulsed(np.full(1, 2000.0), np.full(1, 0.25 * np.sqrt(8000.0)))
    assert duty[0] == pytest.approx(0.25)
    assert drop[0] == pytest.approx(8000.0)


def test_a_crack_opens_with_heat() -> None:
    cold, hot = (carb.openings(pack([Bike().change(crack_mm2=2.0, head_c=c)])).leak.flat[0] for c in (20.0, 150.0))
    assert hot > 2 * cold > 0
