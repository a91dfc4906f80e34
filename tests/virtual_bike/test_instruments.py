"""Readings scatter as said, are rounded as said, and repeat for the same generator."""

import numpy as np
import pytest

from advisor.virtual_bike import instruments, steady, still
from advisor.virtual_bike.bike import Bike


def test_scatter_and_resolution() -> None:
    rng = np.random.default_rng(7)
    read = instruments.TACHOMETER.read(np.full(4000, 1052.0), rng)
    assert read.mean() == pytest.approx(1052, abs=1)
    assert read.std() == pytest.approx(np.hypot(15, 10 / np.sqrt(12)), rel=0.06)
    assert (np.mod(read, 10) == 0).all()


def test_relative_scatter() -> None:
    rng = np.random.default_rng(7)
    ohms = instruments.INSTRUMENTS["resistance_ohm"].read(np.full(2000, 100_000.0), rng)
    assert ohms.std() == pytest.approx(1000, rel=0.1)


def test_readings_repeat() -> None:
    bikes = [Bike(), Bike().change("left", stop_deg=5.2)]
    true = steady.steady(*bikes)
    first, second = (instruments.read(true, bikes, np.random.default_rng(3)) for _ in range(2))
    assert first.row(1) == second.row(1)
    assert first.row(0) != first.row(1)
    assert first.row()["plug_look"] == ("tan", "tan")
    other = instruments.read(true, bikes, np.random.default_rng(4))
    assert other.row(1) != first.row(1)


def test_a_stall_is_read_as_one() -> None:
    bikes = [Bike().change("left", spark=0.0)]
    read = instruments.read(steady.steady(*bikes), bikes, np.random.default_rng(1)).row()
    assert read["stalls"] == (0.0, 1.0)
    drop = read["drop_rpm"]
    assert isinstance(drop, tuple)
    assert drop[1] == read["idle_rpm"]


def test_a_side_that_misses_makes_its_column_unsteady() -> None:
    bikes = [Bike().change("left", plug_fouling=0.85)]
    true = steady.steady(*bikes)
    many = np.stack(
        [instruments.read(true, bikes, np.random.default_rng(i)).values["column_idle_mm"][0] for i in range(120)]
    )
    assert true.misfire[0, 0] > 0.3
    assert many[:, 0].std() > 1.4 * many[:, 1].std()


def test_readings_at_rest() -> None:
    true = still.still(Bike())
    read = instruments.read_still(true, np.random.default_rng(2)).values
    assert read["compression_kpa"] == pytest.approx(true.compression_kpa, abs=70)
    assert (read["leak_down"] >= 0).all()
    assert set(read) <= set(instruments.INSTRUMENTS)
