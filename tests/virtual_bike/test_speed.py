"""Figures to hold on the clock: pytest -m bench -n 0 -s."""

import time
from collections.abc import Callable

import numpy as np
import pytest

from advisor.virtual_bike import instruments, operate, steady, table, warmup
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, plant
from advisor.virtual_bike.on_the_stand import OnTheStand

pytestmark = pytest.mark.bench


def best(call: Callable[[], object], times: int) -> float:
    """Return the shortest of several runs, seconds."""
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        call()
        taken.append(time.perf_counter() - start)
    print(f"\n{call.__name__ if hasattr(call, '__name__') else call}: {min(taken) * 1e3:.1f} ms")  # noqa: T201
    return min(taken)


def test_a_full_set_takes_less_than_20_ms() -> None:
    steady.steady(Bike())
    assert best(lambda: steady.steady(Bike()), 20) < 0.020


def test_a_warm_up_takes_less_than_200_ms() -> None:
    steady.steady(Bike())
    assert best(lambda: warmup.warm_up(Bike()), 5) < 0.200


@pytest.mark.parametrize("held", [None, 2500.0])
def test_a_screw_turned_and_the_columns_read_take_less_than_10_ms(held: float | None) -> None:
    """The median, in time of its own: other work on the machine is no fault of the engine's."""
    at, taken = OnTheStand(Bike(), np.random.default_rng(1)), []
    at.hold(held)
    for i in range(100):
        start = time.process_time()
        at.turn("left", "idle stop" if held is None else "cable adjuster", 0.1 if i % 2 else -0.1)
        at.read(3)
        taken.append(time.process_time() - start)
    print(f"\nturn and read, held at {held}: {np.median(taken) * 1e3:.1f} ms")  # noqa: T201
    assert np.median(taken) < 0.010


def test_the_table_takes_about_a_second() -> None:
    assert best(table.build, 2) < 2.0


def test_a_thousand_cases_take_half_a_minute_on_two_cores() -> None:
    """Tuned around a fault, then measured and read, a hundred at once on one core: at most 60 ms each."""
    ids = sorted(CAUSES)
    bikes = tuple(plant(Bike(), ids[i % len(ids)], ("left", "right")[i % 2], 0.5) for i in range(100))

    def hundred() -> None:
        tuned = operate.tune_all(bikes)
        instruments.read(steady.steady(*tuned), tuned, np.random.default_rng(1))
        warmup.warm_up(*tuned)

    assert best(hundred, 1) < 6.0
