"""What must hold for any bike."""

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.virtual_bike import engine
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike, SideState
from advisor.virtual_bike.vibration import depression

SIDE = st.builds(
    SideState,
    stop_deg=st.floats(1.0, 8.0),
    screw_turns=st.floats(0.0, 3.0),
    enricher=st.floats(0.0, 1.0),
    joint_leak_mm2=st.floats(0.0, 6.0),
    pilot_share=st.floats(0.3, 1.0),
    float_mm=st.floats(-8.0, 8.0),
    plug_fouling=st.floats(0.0, 0.9),
    valve_leak_mm2=st.floats(0.0, 1.0),
    inlet_clearance_mm=st.floats(0.05, 0.5),
    head_c=st.floats(10.0, 220.0),
)
BIKE = st.builds(Bike, left=SIDE, right=SIDE, air_c=st.floats(-5.0, 35.0), pressure_pa=st.floats(65e3, 103e3))
RPM = st.floats(500.0, 6000.0)
quick = settings(max_examples=40, deadline=None)


def run(rpm: float, *bikes: Bike) -> engine.Running:
    return engine.run(pack(bikes), np.full((1, 1, 1), rpm))


@quick
@given(BIKE, RPM)
def test_left_and_right_are_names(bike: Bike, rpm: float) -> None:
    r = run(rpm, bike, bike.mirrored())
    assert np.allclose(r.net[0], r.net[1])
    assert np.allclose(
        depression(r, np.full((2, 1, 1), bike.pressure_pa))[0, 0],
        depression(r, np.full((2, 1, 1), bike.pressure_pa))[1, 1],
    )


@quick
@given(BIKE, RPM, st.floats(0.1, 5.0))
def test_a_bigger_leak_never_raises_its_depression(bike: Bike, rpm: float, more: float) -> None:
    """At equal speed; the tract alone, without the crankshaft's swing."""
    worse = bike.change("left", joint_leak_mm2=bike.left.joint_leak_mm2 + more)
    r = run(rpm, bike, worse)
    assert r.depression[1, 0, 0] <= r.depression[0, 0, 0] + 1.0
    assert r.depression[1, 1, 0] == r.depression[0, 1, 0]
    assert r.excess[1, 0, 0] >= r.excess[0, 0, 0] * 0.999


@quick
@given(BIKE, RPM, st.floats(0.2, 3.0))
def test_opening_a_stop_lowers_its_column(bike: Bike, rpm: float, more: float) -> None:
    r = run(rpm, bike, bike.change("left", stop_deg=bike.left.stop_deg + more))
    assert r.depression[1, 0, 0] < r.depression[0, 0, 0] + 1.0
    assert r.air[1, 0, 0] >= r.air[0, 0, 0] * 0.999


@quick
@given(BIKE, RPM)
def test_figures_stay_in_their_bounds(bike: Bike, rpm: float) -> None:
    r = run(rpm, bike)
    assert np.isfinite(r.net).all()
    assert ((r.fire.burn >= 0) & (r.fire.burn <= 1)).all()
    assert ((r.residual > 0) & (r.residual < 1)).all()
    assert (r.air > 0).all()
    assert (r.depression < bike.pressure_pa).all()
    # no more work than the Otto cycle of this compression makes of the fuel (Heywood 1988, ch. 5, from memory)
    assert (r.fire.work <= (1 - 9**-0.4) * r.fuel * 43.5e6 + 1e-9).all()


@quick
@given(BIKE, RPM, st.floats(0.05, 0.5))
def test_less_fuel_is_leaner(bike: Bike, rpm: float, less: float) -> None:
    poorer = replace(bike, left=replace(bike.left, pilot_share=bike.left.pilot_share * (1 - less)))
    r = run(rpm, bike, poorer)
    # a closed screw leaves almost no fuel to take away; what is left is rounding of the suction's iteration
    assert r.excess[1, 0, 0] >= r.excess[0, 0, 0] * (1 - 1e-5)
    assert r.depression[1, 0, 0] == r.depression[0, 0, 0]
