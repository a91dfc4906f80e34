"""What a user's own words may mean: signs to choose from, and what can hurt if they are so."""

from collections.abc import Iterable

import msgspec

from advisor.case import Measured
from advisor.intake.sentence import understand
from advisor.rulebase.model import Rulebase, SignIs
from advisor.sides import Side, fill, sides_of


class MayMean(msgspec.Struct, frozen=True, kw_only=True):
    """What a sentence may mean: a sign that is there or not (`seen`), a `reading`, or a suspected `cause`.

    It has a side if that has sides. `warns` says that it is dangerous if it is so.
    """

    sign: str = ""
    side: Side
    title: str
    question: str = ""
    warns: bool = False
    seen: bool = True
    reading: Measured | None = None
    cause: str = ""

    @property
    def about(self) -> tuple[str, str, Side]:
        """What it says something of; two that say something of the same replace each other."""
        if self.reading is not None:
            return "reading", self.reading.reading, self.side
        return ("cause", self.cause, self.side) if self.cause else ("sign", self.sign, self.side)


class Hearing:
    """Finds what words may mean in one rule base. It remembers nothing, so sessions and threads may share it."""

    def __init__(self, base: Rulebase) -> None:
        self.base = base
        self.dangerous = {
            when.sign
            for rule in base.rules.values()
            if (rule.warns or rule.forbids) and len(rule.when) == 1  # dangerous on its own
            for when in rule.when
            if isinstance(when, SignIs) and when.seen
        }

    def understood(self, sentence: str) -> list[MayMean]:
        """Return what a sentence may mean, on both sides if none is named: signs, then readings, then causes."""
        heard = understand(sentence, self.base)
        signs = [self._offered(one.sign, one.side, seen=one.seen) for one in heard.signs]
        readings = [self._reading(one) for one in heard.readings]
        return [*signs, *readings, *(self._cause(one.cause, one.side) for one in heard.suspected)]

    def _offered(self, name: str, side: Side, *, seen: bool = True) -> MayMean:
        sign = self.base.signs[name]
        return MayMean(
            sign=name,
            side=side,
            title=fill(sign.title, side),
            question=fill(sign.question, side),
            warns=seen and name in self.dangerous,
            seen=seen,
        )

    def _reading(self, one: Measured) -> MayMean:
        title = self.base.readings[one.reading].title
        return MayMean(side=one.side, title=f"{title}{f', {one.side}' if one.side else ''}: {one.given}", reading=one)

    def _cause(self, name: str, side: Side) -> MayMean:
        return MayMean(side=side, title=fill(self.base.causes[name].title, side), cause=name)

    def troubles(self, person: str) -> list[MayMean]:
        """Return the main troubles that this person can tell, in the order of the pages, in plain words."""
        able = self.base.persons[: self.base.persons.index(person) + 1]
        main = [(sign.main, sign) for sign in self.base.signs.values() if sign.main and sign.seen_by in able]
        return [
            msgspec.structs.replace(self._offered(sign.id, side), title=fill(trouble.says, side))
            for trouble, sign in sorted(main, key=lambda one: (one[0].turn, one[1].id))
            for side in sides_of(sign.sided)
        ]

    def dangers_of(self, found: Iterable[MayMean]) -> tuple[str, ...]:
        """Return what can hurt if any of these is so: the cautions of the rules that need no other sign."""
        signs = {one.sign for one in found if one.seen}
        names = [
            name
            for rule in self.base.rules.values()
            if all(isinstance(when, SignIs) and when.seen and when.sign in signs for when in rule.when)
            for name in rule.warns
        ]
        return tuple(self.base.cautions[name].says for name in dict.fromkeys(names))
