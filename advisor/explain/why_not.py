"""Why this cause and not that one, and which sign would reverse it."""

from collections.abc import Iterator
from contextlib import suppress

import msgspec

from advisor.plan.silence import silenced, silences
from advisor.rank.joint import Exact, Joint
from advisor.rank.leave_out import LeaveOut
from advisor.rank.network import Finding
from advisor.rank.ranking import LEAST, Ranking, level
from advisor.report import Evidence, SetAside
from advisor.rulebase.model import Rulebase
from advisor.sides import Side, Sided, fill

MOST_TURNS = 6
MOST_COST = 2_500_000  # of what is tried exactly, in units of `Ranking.cost`: about a seventh of a second
MAY_TURN = 0.7  # ratio in the joint picture from which a sign is tried exactly: judgement
LEAST_WORTH = 0.05  # a lead among improbable causes reverses nothing
WOULD_BE_SEEN_AS = "seen"  # how a sign would be known if it is looked for now


class Weighed(msgspec.Struct, frozen=True, kw_only=True):
    """One known sign: the factor by which it moves the first cause against the second (leave one out).

    `near`: not exact, but worked out among the likeliest causes alone.
    """

    sign: str
    side: Side
    state: str
    title: str
    factor: float
    near: bool = False


class Turn(msgspec.Struct, frozen=True, kw_only=True):
    """A sign that would put the second cause ahead: its state, both probabilities, and the check that shows it.

    `near`: the probabilities are not exact, but worked out among the likeliest causes alone.
    """

    sign: str
    side: Side
    state: str
    title: str
    known: bool
    first: float
    second: float
    check: str
    near: bool = False


class Contrast(msgspec.Struct, frozen=True, kw_only=True):
    """Two causes side by side, the likelier one first; `set_aside` is what was told and does not count, and why."""

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
    set_aside: tuple[SetAside, ...] = ()


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


def _ratio(first: float, second: float) -> float:
    return max(first, LEAST) / max(second, LEAST)


def _weigh(
    base: Rulebase, ranking: Ranking, evidence: tuple[Evidence, ...], first: int, second: int
) -> tuple[Weighed, ...]:
    whole = _ratio(ranking.probability(first), ranking.probability(second))
    leave = LeaveOut(ranking, (first, second))
    weighed = []
    for one in evidence:
        left_out = leave.without((one.sign, one.side))
        factor = whole / _ratio(*left_out.chances)
        state = "seen" if one.seen else "not seen"
        title = fill(base.signs[one.sign].title, one.side)
        weighed.append(
            Weighed(sign=one.sign, side=one.side, state=state, title=title, factor=factor, near=left_out.near)
        )
    return tuple(
        sorted(weighed, key=lambda line: (-level(max(line.factor, 1 / line.factor)), line.sign, line.side or ""))
    )


def _turns(
    base: Rulebase, ranking: Ranking, evidence: tuple[Evidence, ...], first: int, second: int
) -> tuple[Turn, ...]:
    """Try every sign that bears on either cause: an unknown one both ways, a known one reversed.

    Each is tried exactly if all together cost little; else the joint picture picks, and what it picks is tried.
    """
    tries = list(_tries(base, ranking, evidence, first, second))
    exact, turns = Exact(ranking), list[Turn]()
    if ranking.cost * len(tries) <= MOST_COST:
        picked: list[tuple[_Try, dict[int, float] | None]] = [(one, None) for one in tries]
    else:
        joint = Joint(ranking)
        guessed = [(one, joint.after(one.more, one.less)) for one in tries]
        guessed = [(one, after) for one, after in guessed if after[second] > MAY_TURN * after[first]]
        guessed.sort(key=lambda pair: (pair[0].known, -level(pair[1][second]), pair[0].key[0]))
        picked = [*guessed]
    left: float = MOST_COST
    for one, guess in picked:
        after, near = guess, True
        if guess is None or (left >= ranking.cost and len(turns) < MOST_TURNS):
            left -= ranking.cost
            with suppress(OverflowError):  # one more seen sign may be one too many
                after, near = exact.after(one.more, one.less), False
        if after is not None and after[second] > after[first] and after[second] >= LEAST_WORTH:
            turns.append(_turn(base, one, after[first], after[second], near=near))
    turns.sort(key=lambda turn: (turn.known, -level(turn.second), turn.sign, turn.side or ""))
    return tuple(turns[:MOST_TURNS])


class _Try(msgspec.Struct, frozen=True):
    """A sign as it would be known if it turned out so, and the signs that would then no longer count."""

    key: Sided
    seen: bool
    known: bool
    more: dict[Sided, Finding]
    less: set[Sided]


def _tries(base: Rulebase, ranking: Ranking, evidence: tuple[Evidence, ...], first: int, second: int) -> Iterator[_Try]:
    quiet = silences(base)
    for key, sign in ranking.network.signs.items():
        if not sign.strengths.keys() & {first, second}:
            continue
        known = ranking.reports.get(key)
        trust = (known.trust if known else None) or base.words.trust[WOULD_BE_SEEN_AS]
        for seen in (not known.seen,) if known else (True, False):
            less = silenced([key[0]] if seen else [], evidence, quiet) & ranking.reports.keys()
            more = {key: ranking.network.report(key, trust, seen=seen)}
            yield _Try(key, seen, known is not None, more, less - {key})


def _turn(base: Rulebase, one: _Try, first: float, second: float, *, near: bool) -> Turn:
    sign, side = one.key
    showing = [
        check
        for check in base.checks.values()
        for outcome in check.outcomes
        if any(shown.sign == sign for shown in outcome.shows)
    ]
    check = min(showing, key=lambda check: check.minutes, default=None)
    return Turn(
        sign=sign,
        side=side,
        state="seen" if one.seen else "not seen",
        title=fill(base.signs[sign].title, side),
        known=one.known,
        first=first,
        second=second,
        check=fill(check.title, side) if check else "",
        near=near,
    )
