"""On which sides figures are that are told in turn ('left and right: 18 and 14') or of 'the other'."""

import re

from advisor.intake.figures_said import FIGURE, NUMBER, SIDE_SAID, UNITS, side_of
from advisor.sides import BOTH, Side, other

WITH_UNIT = re.compile(rf"\b({NUMBER} [a-z%]\w*) and ({NUMBER} [a-z%]\w*)(?! ?(?:on|left|right))")
BARE = re.compile(
    rf"(?<![\w./])({NUMBER}) ?(?:and|/|&|against|versus|vs) ?({NUMBER})(?![\w./~]| ?(?:on|left|right|at|miles)\b)"
)
ONE_THEN_OTHER = re.compile(
    r"\b(left|right)(?: (?!left|right)\w+)? ?(?:and|then|/|,|,? followed by) ?(?:the )?(?:left|right)\b"
    r"|\b(left|right)(?: (?:one|side|gauge|column))? (?:is |comes |given )?first\b"
)
AT_SOME_REVS = re.compile(r"\b(?:at|above|below|between|from|past)\s*(?:about |around )?$")
OTHER_ONE = re.compile(
    r"\bthe other(?: (?:one|side|pot|cylinder|barrel|carb|column|gauge))?\b"
    r"(?! (?:day|night|week|month|morning|way|end|two|bike))"
    r"|(?<!the )(?<!any )(?<!an)\bother (?:one|side|pot|cylinder)\b"
)
ONE_AND_OTHER = re.compile(r"\b(?:one|first)\b.*\b(?:other|second one)\b")
ONE_MORE = re.compile(rf"(?: ?(?:{UNITS}))? ?(?:and|/|,|&) ?{NUMBER}\b(?! ?(?:rpm|revs|at idle|\d))")


def order_of(statement: str) -> tuple[Side, Side] | None:
    """Return the order in which a statement says that it tells the sides; None if it says none."""
    found = ONE_THEN_OTHER.search(statement)
    if not found:
        return None
    first = side_of(found[1] or found[2])
    return first, other(first)


def one_more(after: str) -> bool:
    """Whether what stands behind a figure is another one beside it."""
    return ONE_MORE.match(after) is not None


def which_is_not_said(statement: str, after: str) -> bool:
    """Whether a figure is one of two for the two sides, and nobody said which; `after` is what stands behind it."""
    return one_more(after) or ONE_AND_OTHER.search(statement) is not None


def with_sides(statement: str, last: Side, order: tuple[Side, Side] | None) -> str:
    """Return a statement with the sides of its figures named, where those are told in turn, or of 'the other'.

    `last` and `order`: the one side named before, and the order of the two, if any.
    """
    return _in_turn(_of_the_other(statement, last), order)


def _of_the_other(statement: str, last: Side) -> str:
    """Return a statement with 'the other' made the side that was not named last."""
    found = OTHER_ONE.search(statement)
    if not found:
        return statement
    named = SIDE_SAID.findall(statement[: found.start()])
    near = side_of(named[-1]) if named else last
    if near is None:
        return statement
    text = f"{statement[: found.start()]}the {other(near)}{statement[found.end() :]}"
    return text if named or not FIGURE.search(statement[: found.start()]) else f"on the {near} {text}"


def _in_turn(statement: str, order: tuple[Side, Side] | None) -> str:
    """Return a statement whose figures in pairs are said of the sides in the order in which it names them first."""
    sides = list(dict.fromkeys(SIDE_SAID.findall(statement)))
    pair = WITH_UNIT.search(statement)
    if pair and len(sides) == len(BOTH) and set(sides) <= set(SIDE_SAID.findall(statement[: pair.start()])):
        return _named(statement, pair, (side_of(sides[0]), side_of(sides[1])))
    pair = BARE.search(statement)
    if pair is None or AT_SOME_REVS.search(statement[: pair.start()]):
        return statement
    here = order_of(statement[: pair.start()]) or order_of(statement[pair.end() :]) or (None if sides else order)
    return _named(statement, pair, here) if here else statement


def _named(statement: str, pair: re.Match[str], order: tuple[Side, Side]) -> str:
    return f"{statement[: pair.start()]}{order[0]} {pair[1]}, {order[1]} {pair[2]}{statement[pair.end() :]}"
