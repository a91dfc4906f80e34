"""Left and right: what names a side of the bike, and what does not."""

import pytest

from advisor.intake.told_side import sides_at, sides_of_bike
from advisor.rulebase.wording import spoken_words
from advisor.sides import Side


@pytest.mark.parametrize(
    ("clause", "sides"),
    [
        ("the left plug is black", ("left",)),
        ("dead on the right", ("right",)),
        ("left and right plugs", ("left", "right")),
        ("l/h cylinder", ("left",)),
        ("the RHS pot", ("right",)),
        ("right hand side", ("right",)),
        ("starboard pot", ("right",)),
        ("the left one comes down slower than the right", ("left",)),
        ("it dies when left to idle", ()),
        ("I left the choke on", ()),
        ("it starts right away", ()),
        ("it starts right up", ()),
        ("something is not right", ()),
        ("bars turned left the revs rise", ()),
        ("full lock to the right", ()),
        ("the revs rise", ()),
    ],
)
def test_which_side_a_clause_names(clause: str, sides: tuple[Side, ...]) -> None:
    words = spoken_words(clause)
    assert sides_of_bike(sides_at(words), words) == sides
