"""The check that decides a cause, the signs by which it does, and whether they are known."""

from advisor.chain.compile import side_at
from advisor.chain.run import trusted
from advisor.plan.candidates import Scene
from advisor.rulebase.model import Cause, Rulebase
from advisor.sides import BOTH, Side, Sided, sides_of

ORDINARY_FROM = 0.05  # a sign this common on a healthy bike needs no cause: judgement


def deciding_check(cause: str, side: Side, base: Rulebase) -> Sided:
    """Return a cause's deciding check on its side; side None for one done once for both."""
    check = base.checks[base.causes[cause].settled_by]
    return check.id, side if check.sided else None


def settling(cause: Cause, side: Side, base: Rulebase) -> set[Sided]:
    """Return the signs, on their sides, by which a cause's deciding check settles it: those it shows most often."""
    shown = {one.sign for outcome in base.checks[cause.settled_by].outcomes for one in outcome.shows}
    links = [link for link in cause.links if link.sign in shown]
    most = max((base.words.shows[link.shows] for link in links), default=0.0)
    here: Side = side or "left"
    return {(link.sign, side_at(link.bearing, here)) for link in links if base.words.shows[link.shows] == most}


def decided_by(base: Rulebase) -> dict[Sided, frozenset[Sided]]:
    """Return, for each cause on its side, the signs that decide it."""
    return {
        (cause.id, side): frozenset(settling(cause, side, base))
        for cause in base.causes.values()
        for side in sides_of(cause.sided)
    }


def settled(cause: str, side: Side, here: Scene, base: Rulebase) -> bool | None:
    """Return the result of a cause's deciding check, None if it has yet to be done.

    A mere report is as good as the check if the check is only a question. A sign that many sound bikes have settles
    nothing by itself: somebody else's bike was set cold too, and runs well. Something must be wrong that it explains.
    """
    page = base.causes[cause]
    look = base.checks[page.settled_by]
    by_word = trusted(look.how, base) < trusted(base.words.unready, base)
    signs = settling(page, side, base)
    known = {
        key: here.known[key]
        for key in signs
        if key in here.known and (by_word or key not in here.hearsay) and not _may_be_another(key, page, here, base)
    }
    found = [sign for (sign, _), seen in known.items() if seen]
    if found:
        return True if not all(ordinary(one, base) for one in found) or _explains(page, side, here, base) else None
    return False if len(known) == len(signs) else None


def ordinary(sign: str, base: Rulebase) -> bool:
    """Whether a sign is so common on bikes that run well that it needs no cause."""
    return base.words.healthy[base.signs[sign].healthy] >= ORDINARY_FROM


def _explains(cause: Cause, side: Side, here: Scene, base: Rulebase) -> bool:
    """Whether something is wrong that a cause shows, beside what is common on bikes that run well."""
    shown = {(link.sign, side_at(link.bearing, side or "left")) for link in cause.links}
    return any(here.known.get(key) and not base.signs[key[0]].past and not ordinary(key[0], base) for key in shown)


def _may_be_another(key: Sided, cause: Cause, here: Scene, base: Rulebase) -> bool:
    """Whether a vague sign that is seen may be a kind of it, told by the same check, that speaks for another cause.

    Full advance that is off, with the timing at idle not looked at, may be the advance and not the timing.
    """
    sign, side = key
    if not here.known[key]:
        return False
    return any(here.known.get((one, side)) is not False for one in _kinds_elsewhere(sign, cause, base))


def _kinds_elsewhere(sign: str, cause: Cause, base: Rulebase) -> list[str]:
    """Return the kinds of a deciding sign that the same check tells and that speak for another cause."""
    shown = {one.sign for outcome in base.checks[cause.settled_by].outcomes for one in outcome.shows}
    kinds = (one.id for one in base.signs.values() if one.kind_of == sign and one.id in shown)
    return [
        one for one in kinds if any(_shows(two, one, base) > _shows(cause, one, base) for two in base.causes.values())
    ]


def _shows(cause: Cause, sign: str, base: Rulebase) -> float:
    return max((base.words.shows[link.shows] for link in cause.links if link.sign == sign), default=0.0)


def half_looked_at(cause: Cause, side: Side, here: Scene, base: Rulebase) -> bool:
    """Whether a deciding sign is seen and nobody knows yet whether it is a kind of it that speaks elsewhere."""
    return any(
        here.known.get(key) and any((one, key[1]) not in here.known for one in _kinds_elsewhere(key[0], cause, base))
        for key in settling(cause, side, base)
    )


def gone_with(cause: Cause, side: Side, base: Rulebase) -> list[Sided]:
    """Return the signs that must be gone once a cause is put right, each on the side on which the cause shows it.

    Both sides if the cause has none, or its page does not say which.
    """
    found: list[Sided] = []
    for name in cause.must_hold:
        shown = {side_at(link.bearing, side) for link in cause.links if link.sign == name} if side else set()
        at: tuple[Side, ...] = tuple(one for one in BOTH if one in shown) or BOTH
        found += [(name, one) for one in (at if base.signs[name].sided else (None,))]
    return found
