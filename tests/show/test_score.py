"""Scores as they are drawn."""

import pytest

from advisor.show.score import interval


def test_wilsons_interval_against_printed_values() -> None:
    """10 of 20: 0.299 to 0.701; 0 of 10: 0 to 0.278 (Newcombe, Statistics in Medicine 17 (1998), 857; from memory)."""
    assert interval(10, 20) == pytest.approx((0.299, 0.701), abs=0.001)
    assert interval(0, 10) == pytest.approx((0.0, 0.278), abs=0.001)
