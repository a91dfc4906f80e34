"""What a sentence says about a bike: the signs it may mean, each on its side, as a session understands it."""

import msgspec

from advisor.rulebase.model import Rulebase
from advisor.rulebase.search import index_of
from advisor.sides import BOTH, Side, sides_of

MOST_UNDERSTOOD = 8  # nobody reads a longer list


class Heard(msgspec.Struct, frozen=True, kw_only=True):
    """A sign that a sentence may mean: its name in the rule base, its side if it has sides, and whether it is there."""

    sign: str
    side: Side
    seen: bool = True


def understand(sentence: str, base: Rulebase) -> list[Heard]:
    """Return the signs that a sentence may mean, likeliest first, at most eight; none if it means nothing here.

    A sign with sides is returned on the side that the sentence names, or on both if it names none. The signs are only
    guesses: the caller offers them to the user and keeps those that are confirmed.

    >>> import advisor
    >>> base = advisor.load_rules()
    >>> [(one.sign, one.side, one.seen) for one in advisor.understand("the idle hangs", base)][0]
    ('idle-hangs', None, True)
    >>> advisor.understand("xyzzy", base)
    []
    """
    index = index_of(base)
    pages = index.mentions(sentence, base) or index.search(sentence, ["sign"])
    said = {side for side in BOTH if side in sentence.lower().split()}
    found = [
        Heard(sign=page.id, side=side)
        for page in pages[:MOST_UNDERSTOOD]
        for side in sides_of(base.signs[page.id].sided)
        if side is None or not said or side in said
    ]
    return found[:MOST_UNDERSTOOD]
