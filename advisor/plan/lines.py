"""The causes as a person reads them: those that nothing told so far tells apart share a line, with what would."""

from collections.abc import Sequence

from advisor.plan.candidates import Scene
from advisor.plan.deciding import settled
from advisor.rank.network import SideOf
from advisor.rank.ranking import Ranking
from advisor.rank.surprise import alike
from advisor.records import Line, RankedCause
from advisor.rulebase.model import Check, Rulebase
from advisor.rulebase.whole import apart, chances_by_check
from advisor.sides import either

SHOWN_FROM = 0.03  # of a cause, or of left and right of it together: a smaller chance is not worth a line
ALIKE_FROM = 0.1  # different causes share a line only where each is worth one: less says that little is told
ALIKE_WITHIN = 1.5  # no sign is more times likelier under the one than under the other
TELLS_FROM = 0.5  # a check is worth naming where the chances of what it shows lie this far apart: judgement
MOST_TOGETHER = 2  # different causes on one line: more is no answer
CHANCES_WITHIN = 1.5  # nor is the one so many times likelier than the other in all


def lines(causes: Sequence[RankedCause], ranking: Ranking, here: Scene, base: Rulebase) -> tuple[Line, ...]:
    """Return the likely causes, likeliest line first; `causes` come ranked.

    Left and right of a cause share a line while they are about as likely. So do a few other causes that look alike in
    all that is told. What was found stands alone.
    """
    index = {key: number for number, key in enumerate(ranking.network.causes)}
    groups: list[list[RankedCause]] = []
    alone: set[SideOf] = set()
    for cause in causes:
        if 2 * cause.probability < SHOWN_FROM:
            break
        if settled(cause.id, cause.side, here, base) is True:
            alone.add((cause.id, cause.side))
            groups.append([cause])
            continue
        fits = (one for one in groups if (one[0].id, one[0].side) not in alone and _joins(one, cause, ranking, index))
        group = next(fits, None)
        if group is None:
            groups.append([cause])
        else:
            group.append(cause)
    found = [_line(group, ranking, index, base, found=(group[0].id, group[0].side) in alone) for group in groups]
    return tuple(sorted((one for one in found if one.probability >= SHOWN_FROM), key=lambda one: -one.probability))


def _joins(group: Sequence[RankedCause], cause: RankedCause, ranking: Ranking, index: dict[SideOf, int]) -> bool:
    """Whether a cause joins a line: the other side of one on it does, another cause while there is room."""
    ids = {one.id for one in group}
    return _share(group[0], cause, ranking, index) if cause.id in ids or len(ids) < MOST_TOGETHER else False


def _share(one: RankedCause, two: RankedCause, ranking: Ranking, index: dict[SideOf, int]) -> bool:
    if one.probability > CHANCES_WITHIN * two.probability:
        return False
    if one.id == two.id:
        return True
    if two.probability < ALIKE_FROM:
        return False
    first, second = index[one.id, one.side], index[two.id, two.side]
    if one.side and two.side and one.side != two.side and (one.id, two.side) in index:
        return False  # each goes with its own twin
    return alike(ranking.findings, first, second, ALIKE_WITHIN)


def _line(group: list[RankedCause], ranking: Ranking, index: dict[SideOf, int], base: Rulebase, *, found: bool) -> Line:
    ids = list(dict.fromkeys(cause.id for cause in group))
    sides = {name: {cause.side for cause in group if cause.id == name} for name in ids}
    both = {name for name in ids if len(sides[name]) > 1}
    titles = [either(base.causes[name].title, None if name in both else next(iter(sides[name]))) for name in ids]
    keys = [(cause.id, cause.side) for cause in group]
    chance = ranking.any_of([index[key] for key in keys]) if len(keys) > 1 else group[0].probability
    tells = _tells_apart(keys[0], keys[1], ranking, base) if len(keys) > 1 else None
    return Line(
        causes=tuple(keys),
        titles=tuple(titles),
        probability=chance,
        told_by=either(tells.title, None) if tells else "",
        minutes=tells.minutes if tells else 0.0,
        found=found,
    )


def _tells_apart(one: SideOf, two: SideOf, ranking: Ranking, base: Rulebase) -> Check | None:
    """Return the quickest check that tells two causes apart by a sign not known yet, whoever can do it."""
    known = {key[0] for key in ranking.reports}
    able: list[Check] = []
    for check in base.checks.values():
        shown = {sign.sign for outcome in check.outcomes for sign in outcome.shows}
        if not shown & known and _apart(one, two, check, base) >= TELLS_FROM:
            able.append(check)
    return min(able, key=lambda check: check.minutes, default=None)


def _apart(one: SideOf, two: SideOf, check: Check, base: Rulebase) -> float:
    chances = chances_by_check(base, (check,), {one[0], two[0]})
    return apart(chances[one], chances[two])
