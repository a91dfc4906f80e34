"""A cause is meant by its name, its title or plain words."""

from advisor.diagnose import Advisor
from tests.session.sessions import session


def test_why_not_keeps_to_the_side_and_the_part_that_are_named(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    for words in ("right plug dead", "left plug fouled", "right diaphragm torn"):
        side, part, _ = words.split()
        found = at.cause(words)
        assert (found.side, part in found.title.lower()) == (side, True)
    assert "plug" in at.cause("right plug").title
