"""What can be chosen in a practice round: the checks and causes of a stage, and those that words mean."""

from collections.abc import Collection, Sequence

import msgspec
from msgspec.structs import replace

from advisor.errors import AdvisorError
from advisor.plan.candidates import feasible
from advisor.plan.cost import Opened, minutes
from advisor.practice.round import CHECK, FIX, Round
from advisor.rulebase.model import Check, Rulebase
from advisor.rulebase.search import Found, index_of, stems
from advisor.sides import BOTH, Side, either, fill, sides_of

NAME = "name"
MOST_FOUND = 6  # pages offered for a search by words
AHEAD = 0.15  # lead over the next page from which the best one is taken at once
WHOLE = 0.8  # share of the words that it must also contain
SHORT = {"l": "left", "r": "right"}


class Offer(msgspec.Struct, frozen=True, kw_only=True):
    """Something that can be chosen: `verb` is check, fix or name. The side is still open where `sides` has several."""

    verb: str
    id: str
    title: str
    minutes: float
    sides: tuple[Side, ...]


def said_side(words: Sequence[str]) -> tuple[list[str], tuple[Side, ...]]:
    """Return the words without a side, and the sides named: two for `both`."""
    plain = [SHORT.get(word, word) for word in words]
    sides: tuple[Side, ...] = tuple(side for side in BOTH if side in plain or "both" in plain)
    return [word for word in plain if word not in {*BOTH, "both"}], sides


def on_side(offer: Offer, said: tuple[Side, ...]) -> Offer:
    """Return the offer on the one side named, if it has sides."""
    if len(said) != 1 or len(offer.sides) == 1:
        return offer
    title = offer.title.replace("left or right", str(said[0]))
    return replace(offer, sides=said, title=title)


def checks_of(stage: int, round_: Round) -> list[Offer]:
    """Return the checks of a stage that can be done: what must be right there first, in its order, then all else."""
    base, here, opened = round_.base, round_.scene(), round_.stand.case.opened
    first = [item.check for item in base.areas[stage].items]
    own = [check.id for check in base.checks.values() if base.order_of(check.place) == stage and check.id not in first]
    found = []
    for name in dict.fromkeys([*first, *own]):
        check = base.checks[name]
        sides = tuple(
            side for side in sides_of(check.sided) if not round_.done(name, side) and feasible(check, side, here, base)
        )
        if sides:
            found.append(_check(check, sides, opened, base))
    return found


def causes_of(stage: int, verb: str, round_: Round) -> list[Offer]:
    """Return the causes of a stage, to be put right or named."""
    base = round_.base
    return [_cause(one.id, verb, round_) for one in base.causes.values() if base.order_of(one.place) == stage]


def _check(check: Check, sides: tuple[Side, ...], opened: Opened, base: Rulebase) -> Offer:
    price = min(minutes(check, side, opened, base) for side in sides)
    title = either(check.title, sides[0] if len(sides) == 1 else None)
    return Offer(verb=CHECK, id=check.id, title=title, minutes=price, sides=sides)


def _cause(name: str, verb: str, round_: Round) -> Offer:
    cause = round_.base.causes[name]
    price = cause.minutes if verb == FIX else 0.0
    return Offer(verb=verb, id=name, title=either(cause.title, None), minutes=price, sides=sides_of(cause.sided))


class Finder:
    """Finds what is meant by words."""

    def __init__(self, round_: Round) -> None:
        """Take a round."""
        self.round, self.base = round_, round_.base

    def checks(self, words: Sequence[str]) -> list[Offer]:
        """Return the checks that are meant: one if that is clear. Raises AdvisorError for none."""
        return [self._offer(one) for one in self._pages(words, "check", self.base.checks)]

    def causes(self, words: Sequence[str], verb: str) -> list[Offer]:
        """Return the causes that are meant: one if that is clear. Raises AdvisorError for none."""
        called = self.called(words)
        ids = [called] if called else self._pages(words, "cause", self.base.causes)
        return [_cause(one, verb, self.round) for one in ids]

    def called(self, words: Sequence[str]) -> str | None:
        """Return the cause whose name, or title without its side, these words are; None for none."""
        name = "-".join(words)
        if name in self.base.causes:
            return name
        titles = {
            " ".join(one.title.lower().replace("{side}", " ").split()): one.id for one in self.base.causes.values()
        }
        return titles.get(" ".join(words))

    def measured(self, words: Sequence[str]) -> list[Offer]:
        """Return the checks that take the reading that is meant. Raises AdvisorError for none."""
        wanted = set(stems(" ".join(words)))
        called = [one for one in self.base.checks.values() if one.takes and wanted and wanted <= set(stems(one.title))]
        if len(called) == 1 and "-".join(words) not in self.base.readings:
            return [self._offer(called[0].id)]
        readings = self._pages(words, "reading", self.base.readings)
        takers = [check for one in readings for check in self.base.checks.values() if one in check.takes]
        here = self.round.scene()
        able = [
            check for check in takers if any(feasible(check, side, here, self.base) for side in sides_of(check.sided))
        ]
        found = list(dict.fromkeys(check.id for check in able or takers))[:MOST_FOUND]
        if not found:
            msg = f"measure {' '.join(words)}: no check takes it"
            raise AdvisorError(msg, f"try 'look {' '.join(words)}'")
        return [self._offer(one) for one in found]

    def titled(self, text: str) -> tuple[Offer, tuple[Side, ...]] | None:
        """Return the check with exactly this title, and the side in the title; None for none."""
        for check in self.base.checks.values():
            for side in (*sides_of(check.sided), None):
                said = either(check.title, None) if side is None else fill(check.title, side)
                if said.lower() == text:
                    return self._offer(check.id), (side,) if side else ()
        return None

    def _offer(self, check: str) -> Offer:
        page = self.base.checks[check]
        return _check(page, sides_of(page.sided), self.round.stand.case.opened, self.base)

    def _pages(self, words: Sequence[str], kind: str, known: Collection[str]) -> list[str]:
        """Return the pages meant, best first; only one if that is clearly meant."""
        text = " ".join(words)
        if "-".join(words) in known:
            return ["-".join(words)]
        found = index_of(self.base).search(text, [kind])[:MOST_FOUND]
        if not found:
            msg = f"'{text}' finds no {kind}; try other words"
            raise AdvisorError(msg, "'list' to choose from, or 'help'")
        return _by_title(text, found) or [one.id for one in (found[:1] if _clear(found) else found)]


def _by_title(text: str, found: Sequence[Found]) -> list[str]:
    """Return the one page whose title is this text, or else has just its words, or else has them all; [] for none."""
    meant = set(stems(text)) - set(BOTH)
    titles = {one.id: set(stems(one.title)) - set(BOTH) for one in found}
    for called in (
        [one.id for one in found if one.title.lower() == text.lower()],
        [one for one in titles if titles[one] == meant],
        [one for one in titles if titles[one] >= meant],
    ):
        if len(called) == 1:
            return called
    return []


def _clear(found: Sequence[Found]) -> bool:
    """Whether the best page has most of the words, and is well ahead of the next."""
    return found[0].score >= WHOLE and (len(found) == 1 or found[0].score - found[1].score >= AHEAD)
