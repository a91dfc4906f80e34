"""Which repairs are done to both sides at once, and which need new parts."""

import msgspec
import pytest

from advisor.practice.remedy_words import done_to_both_sides, needs_new_parts
from advisor.rulebase.model import Rulebase


@pytest.mark.parametrize(
    ("cause", "both", "new"),
    [
        ("plug-dead", True, True),
        ("clearance-tight", True, False),
        ("slide-sticking", False, False),
        ("throttle-spindle-worn", False, True),
    ],
)
def test_as_the_page_says(base: Rulebase, cause: str, both: bool, new: bool) -> None:
    page = base.causes[cause]
    assert (done_to_both_sides(page), needs_new_parts(page)) == (both, new)


@pytest.mark.parametrize(
    ("remedy", "both", "new"),
    [
        ("Clean it on both sides.", True, False),
        ("Change the springs in pairs.", True, False),
        ("Renew the seal.", False, False),
        ("New seal, oiled.", False, True),
        ("Clean it.", False, False),
    ],
)
def test_by_the_words_of_the_remedy(base: Rulebase, remedy: str, both: bool, new: bool) -> None:
    page = msgspec.structs.replace(base.causes["slide-sticking"], remedy=remedy)
    assert (done_to_both_sides(page), needs_new_parts(page)) == (both, new)
