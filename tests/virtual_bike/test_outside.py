"""The model's physics against published figures and reference libraries, each named beside its test."""

import chemicals
import fluids
import numpy as np
import pytest

from advisor.virtual_bike import engine, friction, steady
from advisor.virtual_bike.atmosphere import ZERO_CELSIUS, density, standard
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.flow import CRITICAL, flow_function, gas_flow, series
from advisor.virtual_bike.geometry import cylinder_volume, firing_pulse
from advisor.virtual_bike.vibration import half_order, shake


def one(value: float) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    return np.asarray(value, float)


def test_critical_pressure_ratio() -> None:
    """fluids.compressible.P_critical_flow(P=1, k=1.4): 0.5282818."""
    assert pytest.approx(fluids.compressible.P_critical_flow(P=1, k=1.4), rel=1e-9) == CRITICAL
    assert pytest.approx(0.5282818, abs=1e-7) == CRITICAL


def test_choked_flux() -> None:
    """Closed form for air of R 287.05 at 101 325 Pa and 288.15 K: 241.2385 kg/s/m2, and no more below that ratio."""
    flux = float(gas_flow(one(1.0), one(101_325.0), one(20_000.0), 288.15))
    assert flux == pytest.approx(241.2385, rel=1e-5)  # the figure is for R = 287.0529
    assert float(gas_flow(one(1.0), one(101_325.0), one(53_000.0), 288.15)) == pytest.approx(flux, rel=1e-4)
    assert float(gas_flow(one(1.0), one(101_325.0), one(80_000.0), 288.15)) < 0.95 * flux


def test_small_drops_flow_as_a_liquid_would() -> None:
    """Bernoulli's limit of the compressible orifice: area x sqrt(2 density drop), within a percent at 1 kPa."""
    flow = float(gas_flow(one(1e-4), one(101_325.0), one(100_325.0), 288.15))
    assert flow == pytest.approx(1e-4 * np.sqrt(2 * 1.225 * 1000.0), rel=0.01)
    assert float(flow_function(one(1.0))) == 0.0


def test_openings_in_series() -> None:
    """Two equal orifices one behind the other pass what one of 1/sqrt(2) their size does (incompressible)."""
    assert float(series(one(2.0), one(2.0))) == pytest.approx(2 / np.sqrt(2))
    assert float(series(one(2.0), one(1e6))) == pytest.approx(2.0)


@pytest.mark.parametrize("altitude", [0.0, 1500.0, 3000.0, 5000.0])
def test_standard_atmosphere(altitude: float) -> None:
    """US Standard Atmosphere 1976 by fluids.ATMOSPHERE_1976: 84 559.7 Pa and 1.05810 kg/m3 at 1500 m."""
    theirs = fluids.ATMOSPHERE_1976(altitude)
    pressure, temperature = standard(altitude)
    assert pressure == pytest.approx(theirs.P, rel=1e-5)
    assert density(pressure, temperature) == pytest.approx(theirs.rho, rel=5e-5)


def test_stoichiometry() -> None:
    """CH1.87 with air of 28.9644 g/mol and 0.20946 oxygen, by the chemicals library: 14.604."""
    oxygen = chemicals.combustion.combustion_stoichiometry({"C": 1, "H": 1.87})["O2"]
    fuel = 12.011 + 1.87 * 1.00794
    assert pytest.approx(-oxygen / 0.20946 * 28.9644 / fuel, rel=1e-3) == ENGINE.stoichiometric


def test_gauge_fluid() -> None:
    """fluids.core.head_from_P(1000, 860): 118.572 mm for one kPa."""
    wanted = 1e3 * fluids.core.head_from_P(1000, 860)
    assert float(steady.column_mm(one(1000.0), one(0.0))) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize(("altitude", "ratio"), [(1500.0, 0.929), (3000.0, 0.861)])
def test_mixture_with_altitude(altitude: float, ratio: float) -> None:
    """Excess air goes with the root of the density ratio (textbook relation): 0.929 at 1500 m, 0.861 at 3000 m.

    Holds for the main circuit at full throttle; the float's head and the pilot circuit bend it elsewhere.
    """
    pressure, kelvin = standard(altitude)
    sea = Bike().share(air_c=15.0)
    high = Bike().share(pressure_pa=pressure, air_c=kelvin - ZERO_CELSIUS)
    found = steady.steady(sea, high).full_excess[:, 0]
    assert found[1] / found[0] == pytest.approx(ratio, rel=0.02)


def test_oil() -> None:
    """SAE J300, from memory: a 50 grade has 16.3 to 21.9 mm2/s at 100 C; multigrades about 150 at 40 C."""
    assert 16.3e-6 < float(friction.viscosity(one(100.0))) < 21.9e-6
    assert 110e-6 < float(friction.viscosity(one(40.0))) < 200e-6


def test_cold_oil_drags() -> None:
    """Friction of a cold engine is some 1.2 to 2 times that of a warm one (SAE 890836, from memory)."""
    warm, cold = (friction.engine_torque(pack([Bike().share(oil_c=c)]), one(1000.0)).item() for c in (90.0, 20.0))
    assert 1.2 < cold / warm < 2.0


def test_cylinder() -> None:
    """Bore and stroke by arithmetic: 81.0 x 72.3 mm is 372.6 cc; compression is the ratio of the extreme volumes."""
    assert pytest.approx(372.6e-6, rel=1e-3) == ENGINE.swept
    assert float(cylinder_volume(180.0) / cylinder_volume(0.0)) == pytest.approx(ENGINE.compression_ratio)
    assert float(cylinder_volume(0.0)) == pytest.approx(ENGINE.clearance_volume)


def test_opposed_twin_inertia() -> None:
    """Opposed pistons on opposed pins: every force cancels, a rocking couple m r w2 a of order 1 stays (analytic)."""
    angle = np.radians(np.arange(0, 360, 0.5))
    area = np.pi / 4 * ENGINE.bore**2

    def position(at: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> list[float]:
        return [-float(cylinder_volume(np.degrees(x))) / area for x in at]

    spectrum = np.fft.rfft(position(angle)) / len(angle) * 2
    speed = 1000 * np.pi / 30
    forces = ENGINE.reciprocating_mass * speed**2 * np.arange(len(spectrum)) ** 2 * np.abs(spectrum)
    right = np.fft.rfft([-x for x in position(angle)]) / len(angle) * 2
    assert np.abs(spectrum + right).max() < 1e-12
    r = engine.run(pack([Bike()]), np.full((1, 1, 1), 1000.0))
    assert float(shake(r).couple[0, 0]) == pytest.approx(forces[1] * ENGINE.cylinder_offset, rel=1e-4)


def test_speed_swing_against_integration() -> None:
    """The half-order swing of a twin with one dead side, against the torque's pulses integrated over many cycles."""
    r = engine.run(pack([Bike().change("left", spark=0.0)]), np.full((1, 1, 1), 1000.0))
    work = float(r.fire.work[0, 1, 0])
    degrees = np.arange(0.0, 720.0, 0.25)
    volume = np.where((degrees >= 5) & (degrees <= 130), cylinder_volume(degrees), np.inf)
    pulse = np.where(np.isfinite(volume), volume**-1.3, 0.0) * np.gradient(cylinder_volume(degrees))
    torque = work * pulse / pulse.sum() / np.radians(0.25)
    energy = np.cumsum(torque - torque.mean()) * np.radians(0.25)
    mean = 1000 * np.pi / 30
    speed = energy / (ENGINE.inertia * mean) * 30 / np.pi
    half = 2 * np.fft.fft(speed)[1] / len(speed)
    assert float(shake(r).half_rpm[0, 0]) == pytest.approx(abs(half), rel=0.01)
    cosine, sine = (1000 * float(wave[0, 1, 0]) for wave in half_order(r))
    assert cosine == pytest.approx(half.real, rel=0.01)
    assert sine == pytest.approx(-half.imag, rel=0.01)
    assert float(half_order(r)[0][0, 0, 0]) == pytest.approx(-cosine / 1000)
    assert 0.5 < abs(firing_pulse()) < 1.0
