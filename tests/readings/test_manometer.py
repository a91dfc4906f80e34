"""A U-tube of given sizes: what it shows, and whether one open hose empties it into the engine."""

import pytest

from advisor.quantities import GRAVITY
from advisor.readings.manometer import BEHIND_SHUT_THROTTLE, damping, fill, most_it_shows, tube


@pytest.mark.parametrize(("density", "draws_in"), [(860.0, True), (13_600.0, False)])
def test_a_tube_that_holds_less_than_a_shut_throttle_draws_is_emptied(density: float, draws_in: bool) -> None:
    found = tube(bore=0.005, leg=0.3, top=0.9, loop=1.2, density=density, viscosity=70e-6)
    assert found.draws_in is draws_in
    assert found.draws_in == (found.most < BEHIND_SHUT_THROTTLE)
    assert found.most == most_it_shows(0.3, 0.9, 1.2, density)
    assert found.settles == damping(0.005, 1.8, 70e-6)
    assert found.fill == fill(0.005, 0.3, 1.2)


@pytest.mark.parametrize("thick", [0.01, 1.0, 1e3, 1e5])
def test_a_thick_fluid_creeps_by_its_slower_root(thick: float) -> None:
    """z'' + drag z' + spring z = 0: where the drag is all, z' = -spring / drag z."""
    found = damping(0.002, 1.0, thick)
    drag, spring = 32 * thick / 0.002**2, 2 * GRAVITY
    assert not found.swings
    assert found.time_constant == pytest.approx(drag / spring, rel=1e-3)
