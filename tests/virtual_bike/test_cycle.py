"""Filling and emptying: mass and energy are kept, the grid is fine enough, the limits are right."""

from pathlib import Path

import numpy as np
import pytest

from advisor.virtual_bike import table
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.cycle import Charge, Variant, run_cycle, settled
from advisor.virtual_bike.flow import GAMMA
from advisor.virtual_bike.geometry import cylinder_volume

AREAS = np.array([2e-6, 8e-6, 40e-6, 300e-6])[:, None]
SPEEDS = np.array([700.0, 1050.0, 2500.0, 5500.0])[None, :]
P0 = ENGINE.reference_pressure


@pytest.fixture(scope="module")
def charge() -> Charge:
    return settled(AREAS, SPEEDS)


def test_mass_is_kept(charge: Charge) -> None:
    """In a settled cycle as much air enters the tract as leaves it; the cylinder's sum is right too."""
    assert np.allclose(charge.air, charge.inducted, rtol=1e-9)
    first = P0 * float(cylinder_volume(ENGINE.inlet_opens)) / (ENGINE.gas_constant * ENGINE.gas_exchange_temperature)
    assert np.allclose(charge.mass - charge.burnt, charge.inducted, rtol=1e-9)
    assert (charge.burnt > 0).all()
    assert (charge.mass > first * 0.5).all()


def test_energy_is_kept(charge: Charge) -> None:
    """First law for the open, adiabatic cylinder: inner energy gained is enthalpy in less work done."""
    start = P0 * float(cylinder_volume(ENGINE.inlet_opens)) / (GAMMA - 1)
    end = charge.cylinder * float(cylinder_volume(ENGINE.inlet_closes)) / (GAMMA - 1)
    assert np.allclose(end - start, charge.energy - charge.work, rtol=1e-9)


def test_a_settled_cycle_ends_as_it_began(charge: Charge) -> None:
    again = run_cycle(AREAS, SPEEDS, charge.tract, 1.5)
    assert np.allclose(again.tract, charge.tract, atol=1.0)


def test_finer_steps_change_little() -> None:
    """Where the engine idles and is held: within 2 % of air and 0.4 kPa of depression of steps half as wide."""
    area, rpm = np.geomspace(4e-6, 40e-6, 6)[:, None], np.array([700.0, 1050.0, 2500.0])[None, :]
    coarse, fine = (table.figures(settled(area, rpm, step, cycles=5)) for step in (1.5, 0.75))
    assert np.abs(coarse["log_air"] - fine["log_air"]).max() < 0.02
    assert np.abs(coarse["depression"] - fine["depression"]).max() * P0 < 400.0
    assert np.abs(coarse["residual"] - fine["residual"]).max() < 0.02


def test_a_wide_throttle_fills_and_a_narrow_one_starves() -> None:
    """Volumetric efficiency 0.75 to 0.95 unthrottled (Heywood 1988, ch. 6, from memory); narrower, more depression."""
    found = table.figures(settled(np.array([[3e-6], [10e-6], [700e-6]]), np.array([[2500.0]])))
    air, depression = np.exp(found["log_air"][:, 0]), found["depression"][:, 0]
    assert 0.75 < air[2] < 0.95
    assert air[0] < air[1] < air[2]
    assert depression[0] > depression[1] > depression[2]
    assert depression[2] * P0 < 5000
    assert found["residual"][0, 0] > found["residual"][2, 0]


def test_more_overlap_more_burnt_gas() -> None:
    long, usual = (settled(np.array([[8e-6]]), np.array([[1050.0]]), variant=Variant(overlap=v)) for v in (8.0, 0.0))
    assert table.figures(long)["residual"][0, 0] > table.figures(usual)["residual"][0, 0]


def test_table_reads_what_was_solved() -> None:
    """At a point between the grid's, interpolation is within 1.5 % of the cycle solved there."""
    area, rpm = 9.3e-6, 1120.0
    solved = table.figures(settled(np.array([area]), np.array([rpm])))
    spot = table.locate(np.array([area]), np.array([rpm]))
    for name in ("log_air", "depression", "root"):
        assert table.read(name, spot)[0] == pytest.approx(float(solved[name][0]), rel=0.015)


def test_the_table_is_kept_and_a_damaged_one_made_anew(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path))
    grid = np.ones((len(table.NAMES), len(table.AREAS), len(table.SPEEDS)))
    assert table.fetch() is None
    table.store(grid)
    kept = table.fetch()
    assert kept is not None
    assert np.array_equal(kept, grid)
    table.place().write_bytes(b"nonsense")
    assert table.fetch() is None
    table.place().write_bytes(b"")
    assert table.fetch() is None
    table.store(grid[:, :3])
    assert table.fetch() is None  # of another shape


def test_no_folder_no_harm(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "file"
    file.write_text("a file where a folder should be")
    monkeypatch.setenv("XDG_CACHE_HOME", str(file))
    table.store(np.ones((1, 1, 1)))
    assert table.fetch() is None


def test_the_key_follows_the_constants(monkeypatch: pytest.MonkeyPatch) -> None:
    before = table.key()
    monkeypatch.setattr(table, "ENGINE", type(ENGINE)(bore=0.09))
    assert table.key() != before
