"""What a report itself decides: which signs are worth a line, and when a picture does not fit together."""

import pytest
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.report import LEAST_FACTOR, ODD_FROM_BITS, speaks_against, speaks_for
from tests.cases import case, report


@pytest.mark.parametrize(
    ("factor", "for_it", "against_it"),
    [(1.0, False, False), (LEAST_FACTOR, True, False), (1.04, False, False), (1 / LEAST_FACTOR, False, True)],
)
def test_what_hardly_moves_a_cause_is_not_worth_a_line(factor: float, for_it: bool, against_it: bool) -> None:
    assert (speaks_for(factor), speaks_against(factor)) == (for_it, against_it)


def test_a_picture_is_odd_from_a_surprise_on(advisor: Advisor) -> None:
    found = advisor.diagnose(case(report("idle-hangs")))
    assert not found.odd
    assert replace(found, surprise=ODD_FROM_BITS).odd
    assert not replace(found, surprise=ODD_FROM_BITS - 0.01).odd
