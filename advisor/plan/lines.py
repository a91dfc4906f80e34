"""The causes as a person reads them: those not told apart so far share a line, with the check that would do it."""

from collections.abc import Sequence

from advisor.chain.compile import side_at
from advisor.plan.candidates import Scene
from advisor.plan.deciding import settled
from advisor.rank.ranking import Ranking, level
from advisor.rank.surprise import alike
from advisor.report import Line, RankedCause
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import Sided, either

SHOWN_FROM = 0.03  # of a cause, or of its left and right together: a smaller chance is not worth a line
ALIKE_FROM = 0.1  # different causes share a line only if each is at least this likely: less means that little is known
ALIKE_WITHIN = 1.5  # no sign is likelier under one than under the other by more than this factor
CHANCES_WITHIN = 1.5  # nor is one overall likelier than the other by more than this factor
TELLS_FROM = 0.5  # a check is worth naming if the chances of its sign differ by this much: judgement
MOST_TOGETHER = 2  # different causes on one line: more would not be an answer

Group = list[RankedCause]


def lines(causes: Sequence[RankedCause], ranking: Ranking, here: Scene, base: Rulebase) -> tuple[Line, ...]:
    """Return the likely causes: those found, then likeliest line first; `causes` are ranked.

    Left and right of a cause share a line while they are about equally likely. So do two causes that all findings so
    far fail to separate. A cause that was found has its own line.
    """
    index = {key: number for number, key in enumerate(ranking.network.causes)}
    found, open_ones = _by_side(causes, here, base)
    groups: list[Group] = []
    for one in sorted(open_ones, key=lambda one: -level(_chance(one))):
        with_it = next((group for group in groups if _look_alike(group, one, ranking, index)), None)
        if with_it is None:
            groups.append(list(one))
        else:
            with_it += one
    shown = [_line(group, ranking, index, base, found=True) for group in found]
    shown += [_line(group, ranking, index, base, found=False) for group in groups]
    worth = [one for one in shown if one.found or one.probability >= SHOWN_FROM]
    return tuple(sorted(worth, key=lambda one: (not one.found, -level(one.probability))))


def _by_side(causes: Sequence[RankedCause], here: Scene, base: Rulebase) -> tuple[list[Group], list[Group]]:
    """Return the causes that were found, each alone, and the others, left and right together if alike."""
    found: list[Group] = []
    open_ones: dict[str, list[Group]] = {}
    for cause in causes:
        if 2 * cause.probability < SHOWN_FROM:
            break
        if settled(cause.id, cause.side, here, base) is True:
            found.append([cause])
            continue
        twins = open_ones.setdefault(cause.id, [])
        if twins and twins[0][0].probability <= CHANCES_WITHIN * cause.probability:
            twins[0].append(cause)
        else:
            twins.append([cause])
    return found, [group for groups in open_ones.values() for group in groups]


def _chance(group: Group) -> float:
    return sum(cause.probability for cause in group)


def _look_alike(group: Group, other: Group, ranking: Ranking, index: dict[Sided, int]) -> bool:
    """Whether two different causes, on the same side or sides, look alike in all findings and are about as likely."""
    ids, sides = {cause.id for cause in group}, {cause.side for cause in group}
    mine = [cause for cause in group if cause.id == group[0].id]
    if len(ids) >= MOST_TOGETHER or other[0].id in ids or sides != {cause.side for cause in other}:
        return False
    if _chance(other) < ALIKE_FROM or _chance(mine) > CHANCES_WITHIN * _chance(other):
        return False
    theirs = next(cause for cause in other if cause.side == group[0].side)
    first, second = index[group[0].id, group[0].side], index[theirs.id, theirs.side]
    return alike(ranking.findings, first, second, ALIKE_WITHIN)


def _line(group: Group, ranking: Ranking, index: dict[Sided, int], base: Rulebase, *, found: bool) -> Line:
    ids = list(dict.fromkeys(cause.id for cause in group))
    sides = {name: {cause.side for cause in group if cause.id == name} for name in ids}
    titles = [
        either(base.causes[name].title, None if len(sides[name]) > 1 else next(iter(sides[name]))) for name in ids
    ]
    keys = [(cause.id, cause.side) for cause in group]
    chance = _chance(group)
    if len(keys) > 1 and chance >= ALIKE_FROM:
        chance = ranking.any_of([index[key] for key in keys])
    second = next((key for key in keys if key[0] != keys[0][0]), keys[-1])
    tells = _tells_apart(keys[0], second, ranking, base) if len(keys) > 1 and chance >= ALIKE_FROM else None
    return Line(
        causes=tuple(keys),
        titles=tuple(titles),
        probability=chance,
        told_by=either(tells.title, None) if tells else "",
        minutes=tells.minutes if tells else 0.0,
        found=found,
    )


def _tells_apart(one: Sided, two: Sided, ranking: Ranking, base: Rulebase) -> Check | None:
    """Return the quickest check, for anyone, that tells two causes apart by a sign not known yet.

    Among equally quick ones, the one whose sign differs most.
    """
    known = {key[0] for key in ranking.reports}
    first, second = _shows(one, base), _shows(two, base)
    gaps = {key: abs(first.get(key, 0.0) - second.get(key, 0.0)) for key in first.keys() | second.keys()}
    apart: dict[str, float] = {}
    for (sign, _), gap in gaps.items():
        if gap >= TELLS_FROM:
            apart[sign] = max(gap, apart.get(sign, 0.0))
    able: list[tuple[float, float, str]] = []
    for check in base.checks.values() if apart else ():
        shown = {sign.sign for outcome in check.outcomes for sign in outcome.shows}
        if not shown.isdisjoint(apart) and shown.isdisjoint(known):
            able.append((check.minutes, -max(apart.get(sign, 0.0) for sign in shown), check.id))
    return base.checks[min(able)[-1]] if able else None


def _shows(cause: Sided, base: Rulebase) -> dict[Sided, float]:
    """Return how often a cause shows each of its signs, on its side."""
    name, side = cause
    return {
        (link.sign, side_at(link.bearing, side or "left")): base.words.shows[link.shows]
        for link in base.causes[name].links
    }
