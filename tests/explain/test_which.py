"""A cause is meant by its name, its title or plain words."""

import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.explain.which import find_cause
from advisor.report import RankedCause
from advisor.sides import Sided
from tests.session.sessions import session
from tests.small import blank


def test_why_not_keeps_to_the_side_and_the_part_that_are_named(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    for words in ("right plug dead", "left plug fouled", "right diaphragm torn"):
        side, part, _ = words.split()
        found = at.cause(words)
        assert (found.side, part in found.title.lower()) == (side, True)
    assert "plug" in at.cause("right plug").title


RANKED = [("leak", "right"), ("jet", None), ("leak", "left")]


@pytest.mark.parametrize(
    ("name", "cause_found"),
    [
        ("leak", ("leak", "right")),  # without a side the likelier one
        ("leak left", ("leak", "left")),
        ("leak:left", ("leak", "left")),
        ("leak right", ("leak", "right")),
        ("jet", ("jet", None)),
        ("jet left", None),
        ("lea", None),
        ("leak up", None),
        ("", None),
        ("leak left now", None),
    ],
)
def test_a_cause_is_found_by_its_name_and_side(name: str, cause_found: Sided | None) -> None:
    causes = tuple(blank(RankedCause, id=one, side=side, title=f"the {one}") for one, side in RANKED)
    if cause_found is None:
        with pytest.raises(AdvisorError, match="no cause is called"):
            find_cause(causes, name)
        return
    found = find_cause(causes, name)
    assert (found.id, found.side) == cause_found
