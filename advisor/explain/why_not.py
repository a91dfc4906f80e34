"""Why this cause and not that one, and which sign would reverse it."""

import msgspec

from advisor.plan.silence import silenced, silences
from advisor.rank.ranking import SMALLEST, Ranking
from advisor.report import Evidence
from advisor.rulebase.model import Rulebase
from advisor.sides import Side, Sided, fill

MOST_TURNS = 6
LEAST_WORTH = 0.05  # a lead among improbable causes reverses nothing
WOULD_BE_SEEN_AS = "seen"  # how a sign would be known if it is looked for now


class Weighed(msgspec.Struct, frozen=True, kw_only=True):
    """One known sign: the factor by which it moves the first cause against the second (leave one out)."""

    sign: str
    side: Side
    state: str
    title: str
    factor: float


class Turn(msgspec.Struct, frozen=True, kw_only=True):
    """A sign that would put the second cause ahead: its state, both probabilities, and the check that shows it."""

    sign: str
    side: Side
    state: str
    title: str
    known: bool
    first: float
    second: float
    check: str


class Contrast(msgspec.Struct, frozen=True, kw_only=True):
    """Two causes side by side, the likelier one first."""

    first: str
    first_side: Side
    first_title: str
    first_probability: float
    second: str
    second_side: Side
    second_title: str
    second_probability: float
    weighed: tuple[Weighed, ...]
    turns: tuple[Turn, ...]


def contrast(base: Rulebase, ranking: Ranking, evidence: tuple[Evidence, ...], one: int, other: int) -> Contrast:
    """Return why the likelier of two causes (by index) leads, and what would put the other ahead."""
    first, second = (one, other) if ranking.probability(one) >= ranking.probability(other) else (other, one)
    names = ranking.network.causes
    return Contrast(
        first=names[first][0],
        first_side=names[first][1],
        first_title=fill(base.causes[names[first][0]].title, names[first][1]),
        first_probability=ranking.probability(first),
        second=names[second][0],
        second_side=names[second][1],
        second_title=fill(base.causes[names[second][0]].title, names[second][1]),
        second_probability=ranking.probability(second),
        weighed=_weigh(base, ranking, evidence, first, second),
        turns=_turns(base, ranking, evidence, first, second),
    )


def _ratio(causes: tuple[float, ...], first: int, second: int) -> float:
    return max(causes[first], SMALLEST) / max(causes[second], SMALLEST)


def _weigh(
    base: Rulebase, ranking: Ranking, evidence: tuple[Evidence, ...], first: int, second: int
) -> tuple[Weighed, ...]:
    whole = _ratio(ranking.posterior.causes, first, second)
    weighed = []
    for one in evidence:
        factor = whole / _ratio(ranking.without((one.sign, one.side)).causes, first, second)
        state = "seen" if one.seen else "not seen"
        title = fill(base.signs[one.sign].title, one.side)
        weighed.append(Weighed(sign=one.sign, side=one.side, state=state, title=title, factor=factor))
    return tuple(sorted(weighed, key=lambda line: (-max(line.factor, 1 / line.factor), line.sign, line.side or "")))


def _turns(
    base: Rulebase, ranking: Ranking, evidence: tuple[Evidence, ...], first: int, second: int
) -> tuple[Turn, ...]:
    """Try every sign that bears on either cause: an unknown one both ways, a known one reversed."""
    turns = []
    quiet = silences(base)
    for key, sign in ranking.network.signs.items():
        if not sign.strengths.keys() & {first, second}:
            continue
        known = ranking.reports.get(key)
        states = (not known.seen,) if known else (True, False)
        trust = (known.trust if known else None) or base.words.trust[WOULD_BE_SEEN_AS]
        for seen in states:
            less = silenced([key[0]] if seen else [], evidence, quiet) & ranking.reports.keys()
            causes = ranking.with_more({key: ranking.network.report(key, trust, seen=seen)}, less - {key}).causes
            if causes[second] > causes[first] and causes[second] >= LEAST_WORTH:
                turns.append(_turn(base, key, seen, known is not None, causes[first], causes[second]))
    turns.sort(key=lambda turn: (turn.known, -turn.second, turn.sign, turn.side or ""))
    return tuple(turns[:MOST_TURNS])


def _turn(base: Rulebase, key: Sided, seen: bool, known: bool, first: float, second: float) -> Turn:
    sign, side = key
    showing = [
        check
        for check in base.checks.values()
        for outcome in check.outcomes
        if any(one.sign == sign for one in outcome.shows)
    ]
    check = min(showing, key=lambda one: one.minutes, default=None)
    return Turn(
        sign=sign,
        side=side,
        state="seen" if seen else "not seen",
        title=fill(base.signs[sign].title, side),
        known=known,
        first=first,
        second=second,
        check=fill(check.title, side) if check else "",
    )
