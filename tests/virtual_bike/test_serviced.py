"""Sound bikes: within common practice's figures, each its own, and none that anybody would complain of."""

import numpy as np
import pytest

from advisor.observer.bike_view import views
from advisor.observer.senses import sensed
from advisor.observer.severity import shows, trouble
from advisor.virtual_bike import steady
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.serviced import serviced


def _rngs(*numbers: int) -> list[np.random.Generator]:
    return [np.random.default_rng([23, number]) for number in numbers]


@pytest.fixture(scope="module")
def sound() -> list[Bike]:
    return serviced(_rngs(*range(40)))


def test_they_run_as_a_serviced_engine_should(sound: list[Bike]) -> None:
    """Idle 900 to 1,100 rpm warm, a few hundred rpm of drop, equal on both sides, equal columns: common practice."""
    true = steady.steady(*sound)
    assert ((true.idle_rpm > 1000) & (true.idle_rpm < 1100)).all()
    assert ((true.drop_rpm > 200) & (true.drop_rpm < 500)).all()
    assert np.abs(np.diff(true.drop_rpm, axis=1)).max() < 40
    assert np.abs(true.column_mm).max() < 25
    assert np.abs(true.held_column_mm).max() < 30


def test_no_two_are_alike_and_neither_side_is_favoured(sound: list[Bike]) -> None:
    true = steady.steady(*sound)
    assert len(set(sound)) == len(sound)
    assert np.ptp(true.idle_rpm) > 30
    assert (true.column_mm > 0).any()
    assert (true.column_mm < 0).any()


def test_nobody_would_complain_of_one(sound: list[Bike]) -> None:
    seen = views(sound)
    assert max(map(trouble, seen)) < 1
    assert not any(map(shows, seen))
    for one in seen[:8]:
        assert not [key for key, yes in sensed(one).items() if yes]


def test_one_hangs_on_its_own_generator_alone(sound: list[Bike]) -> None:
    assert [serviced(_rngs(number))[0] for number in range(4)] == sound[:4]
    assert serviced([]) == []
