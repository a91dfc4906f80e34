"""The air at a height, as `advisor measure altitude` tells it."""

import pytest

from advisor.readings.air import at_height, density, mixture_change, pressure


@pytest.mark.parametrize(("here", "set_at", "richer_by"), [(1500, 0, 7), (0, 1500, -8), (1500, 1500, 0), (50, 0, 0)])
def test_thin_air_is_rich_and_thick_air_lean(here: float, set_at: float, richer_by: int) -> None:
    found = at_height(here, set_at)
    assert found.richer_by == richer_by
    assert found.lambda_times == mixture_change(here, set_at)
    assert (found.pressure, found.density) == (pressure(here), density(here))


def test_a_height_counts_from_the_sea_where_nothing_else_is_said() -> None:
    """At 5,000 m the density is 0.6012 of that at the sea (US Standard Atmosphere 1976): 22 in a hundred richer."""
    assert at_height(0).lambda_times == 1.0
    assert at_height(5000).richer_by == 22
