"""Manometer, air and road against published figures and reference libraries."""

import math

import ambiance
import chemicals
import fluids
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.quantities import FLUIDS, convert, unit_table
from advisor.readings.air import density, mixture_change, pressure
from advisor.readings.manometer import damping, fill, height, legs_of_one_tube, most_it_shows

BORE = 3 / 16 * 0.0254
TABLESPOON = 14.7868e-6  # m3, US customary
YARDSTICK = 0.9144  # m


def test_hydrostatics_against_the_fluids_library() -> None:
    """fluids.core.head_from_P(1000, 860): 118.572 mm for one kPa."""
    assert height(1000.0, 860.0) == pytest.approx(fluids.core.head_from_P(1000, 860), rel=1e-9)
    assert height(1000.0, 860.0) == pytest.approx(0.118572, abs=1e-6)


def test_mercury_and_water_columns() -> None:
    """NIST SP 811, appendix B.8: 1 mmHg is 133.3224 Pa, 1 inHg 3386.389 Pa, 1 inH2O (conventional) 249.0889 Pa."""
    table = unit_table()
    assert convert(1, "mmHg", "kPa", table) == pytest.approx(0.1333224, rel=1e-6)
    assert convert(1, "inHg", "kPa", table) == pytest.approx(3.386389, rel=1e-6)
    assert convert(1, "in of water", "kPa", table) == pytest.approx(0.2490889, rel=1e-6)
    assert convert(10, "cmHg", "mm of mercury", table) == pytest.approx(100, rel=1e-5)
    assert FLUIDS["mercury"] == pytest.approx(13_595.1)


@pytest.mark.parametrize("altitude", [0, 500, 1500, 3000, 5000])
def test_air_against_two_atmosphere_libraries(altitude: float) -> None:
    """US Standard Atmosphere 1976, by fluids.ATMOSPHERE_1976 and ambiance.Atmosphere."""
    theirs, others = fluids.ATMOSPHERE_1976(altitude), ambiance.Atmosphere(altitude)
    assert pressure(altitude) == pytest.approx(theirs.P, rel=1e-5)
    assert density(altitude) == pytest.approx(theirs.rho, rel=1e-5)
    assert pressure(altitude) == pytest.approx(float(others.pressure[0]), rel=1e-4)
    assert density(altitude) == pytest.approx(float(others.density[0]), rel=1e-4)


def test_mixture_with_height() -> None:
    """Lambda goes with the root of the density ratio (textbook relation): 0.929 at 1,500 m, 0.861 at 3,000 m."""
    assert mixture_change(1500) == pytest.approx(0.929, abs=5e-4)
    assert mixture_change(3000) == pytest.approx(0.861, abs=1e-3)
    assert mixture_change(3000, 3000) == 1.0
    assert mixture_change(0, 1500) > 1  # set in the mountains, lean at the sea
    assert mixture_change(0) == 1.0  # set at the sea, where nothing else is said


def test_stoichiometry_of_gasoline() -> None:
    """About 14.7 to 1 by mass for gasoline (SAE and most handbooks); iso-octane by the chemicals library 15.13."""

    def ratio(atoms: dict[str, float]) -> float:
        needed = chemicals.combustion.combustion_stoichiometry(atoms)["O2"]
        fuel = chemicals.molecular_weight(atoms)
        return float(-needed / 0.20946 * 28.9644 / fuel)

    assert ratio({"C": 8, "H": 18}) == pytest.approx(15.13, abs=0.01)
    assert ratio({"C": 1, "H": 1.87}) == pytest.approx(14.7, abs=0.15)


def test_choked_flow_behind_a_shut_throttle() -> None:
    """Air chokes at 0.528 of the pressure before it (fluids.compressible): a deeper vacuum draws no more."""
    critical = fluids.compressible.P_critical_flow(P=101_325, k=1.4)
    assert critical / 101_325 == pytest.approx(0.5282818, abs=1e-6)
    assert convert(101.325 - critical / 1000, "kPa", "mmHg", unit_table()) == pytest.approx(358.5, abs=0.5)


def test_damping_of_a_mechanics_tube() -> None:
    """3/16 in tube, 2 m of oil at 70 cSt: time constant about 10 s, so wait about 30 s (linear U-tube equation)."""
    found = damping(BORE, 2.0, 70e-6)
    assert found.time_constant == pytest.approx(10.06, abs=0.05)
    assert found.wait == pytest.approx(30, abs=1)
    assert not found.swings


def test_a_tube_just_past_the_critical_damping_creeps() -> None:
    """z'' + drag z' + spring z = 0 swings while drag squared is less than four springs (linear U-tube equation)."""
    bore, column = 0.005, 1.0
    for beyond, swings in ((-0.5, True), (0.5, False)):
        drag = math.sqrt(4 * 2 * 9.80665 / column + beyond)
        assert damping(bore, column, drag * bore**2 / 32).swings is swings
    drag = math.sqrt(8 * 9.80665 / column + 0.5)
    creeps = damping(bore, column, drag * bore**2 / 32)
    assert creeps.time_constant == pytest.approx(2 / (drag - math.sqrt(0.5)), rel=1e-6)


def test_undamped_water_swings_at_the_textbook_rate() -> None:
    """A thin column swings and loses height at half the damping (White, Fluid Mechanics, from memory)."""
    found = damping(0.008, 1.0, 1e-6)
    assert found.swings
    assert found.time_constant == pytest.approx(2 * 0.008**2 / (32 * 1e-6))


@given(bore=st.floats(0.002, 0.02), column=st.floats(0.3, 5), viscosity=st.floats(5e-7, 5e-4), more=st.floats(1.01, 3))
def test_thicker_fluid_in_a_creeping_tube_creeps_longer(
    bore: float, column: float, viscosity: float, more: float
) -> None:
    plain, thick = damping(bore, column, viscosity), damping(bore, column, viscosity * more)
    if not plain.swings:
        assert not thick.swings
        assert thick.wait > plain.wait
    elif thick.swings:
        assert thick.wait < plain.wait


def test_two_to_three_tablespoons_fill_a_yardstick_tube() -> None:
    """Common practice, no source: a 3/16 in tube on a yardstick, a quarter to half full, takes 2 to 3 tablespoons.

    The legs hold 0.55 to 1.1 of them; a loop of some 1.2 to 1.6 m at the bottom holds the rest.
    """
    quarter, half = YARDSTICK / 4, YARDSTICK / 2
    assert fill(BORE, quarter, 0.0) / TABLESPOON == pytest.approx(0.55, abs=0.01)
    assert fill(BORE, half, 0.0) / TABLESPOON == pytest.approx(1.10, abs=0.01)
    assert fill(BORE, quarter, 1.2) / TABLESPOON == pytest.approx(2.0, abs=0.05)
    assert fill(BORE, half, 1.58) / TABLESPOON == pytest.approx(3.0, abs=0.05)


@given(leg=st.floats(0.1, 0.8), top=st.floats(0.85, 2.0), density_=st.floats(700, 14_000))
def test_the_most_a_tube_shows_fills_it_to_the_brim(leg: float, top: float, density_: float) -> None:
    most = most_it_shows(leg, top, 10.0, density_)
    assert leg + height(most, density_) / 2 == pytest.approx(top)
    assert most_it_shows(leg, top, 0.0, density_) <= most
    # The falling leg takes its half of the loop with it: p = density x g x h on twice that height.
    short = most_it_shows(leg, 9.0, 0.3, density_)
    assert height(short, density_) == pytest.approx(2 * (leg + 0.15))


WATER, MERCURY = 1000.0, 13_595.1


def test_legs_of_one_tube_are_told_from_the_depressions_of_an_engine() -> None:
    """Whatever idles draws 14 kPa or more (common practice, no source): 1.43 m of water, 0.105 m of mercury."""
    assert legs_of_one_tube(5_000, 6_000, WATER)
    assert legs_of_one_tube(6_000, 5_000, WATER)
    assert not legs_of_one_tube(5_000, 6_000, MERCURY)  # an engine's whole depression stands in a mercury gauge
    assert not legs_of_one_tube(20_000, 21_000, WATER)
    assert not legs_of_one_tube(2_000, 6_000, WATER)  # too far apart for one tube
    assert not legs_of_one_tube(0, 1_000, WATER)
    assert not legs_of_one_tube(-500, 500, WATER)


def test_how_far_below_and_how_near_legs_of_one_tube_lie() -> None:
    """Half and a quarter of what an engine draws: judgement, written here once more."""
    assert legs_of_one_tube(6_000, 6_999, WATER)
    assert not legs_of_one_tube(6_000, 7_000, WATER)
    assert legs_of_one_tube(3_000, 6_499, WATER)
    assert not legs_of_one_tube(3_000, 6_500, WATER)
    assert legs_of_one_tube(0.01, 0.02, WATER)
    # A fluid in which 14 kPa stands higher than a metre: lighter than 1,428 kg/m3 (p = density x g x h).
    assert legs_of_one_tube(5_000, 6_000, 1_427)
    assert not legs_of_one_tube(5_000, 6_000, 1_428)
