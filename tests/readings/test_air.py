"""The air at a height, as `advisor measure altitude` tells it."""

import pytest

from advisor.readings.air import at_height, density, mixture_change, pressure


@pytest.mark.parametrize(("here", "set_at", "richer_by"), [(1500, 0, 7), (0, 1500, -8), (1500, 1500, 0), (50, 0, 0)])
def test_thin_air_is_rich_and_thick_air_lean(here: float, set_at: float, richer_by: int) -> None:
    found = at_height(here, set_at)
    assert found.richer_by == richer_by
    assert found.lambda_times == mixture_change(here, set_at)
    assert (found.pressure, found.density) == (pressure(here), density(here))
