"""What a user's own words may mean: signs to choose from, and what can hurt if they are so."""

from collections import Counter
from collections.abc import Iterable

import msgspec

from advisor.intake.sentence import MOST_UNDERSTOOD, understand
from advisor.rulebase.model import Rulebase, SignIs
from advisor.sides import Side, fill


class MayMean(msgspec.Struct, frozen=True, kw_only=True):
    """A sign that a sentence may mean, with a side if it has sides. `warns` says that it is dangerous if it is so."""

    sign: str
    side: Side
    title: str
    question: str
    warns: bool


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
        """Return the signs that a sentence may mean, likeliest first; on both sides if none is named."""
        return [self._offered(one.sign, one.side) for one in understand(sentence, self.base)]

    def _offered(self, name: str, side: Side) -> MayMean:
        sign = self.base.signs[name]
        return MayMean(
            sign=name,
            side=side,
            title=fill(sign.title, side),
            question=fill(sign.question, side),
            warns=name in self.dangerous,
        )

    def troubles(self) -> list[MayMean]:
        """Return the main troubles of a rider: the signs that have kinds, except those as broad as 'runs badly'."""
        kinds = Counter(sign.kind_of for sign in self.base.signs.values() if sign.kind_of)
        wide = {name for name, many in kinds.items() if not self.base.signs[name].kind_of and many > MOST_UNDERSTOOD}
        return [
            self._offered(name, None)
            for name, _ in kinds.most_common()
            if name not in wide and self._is_trouble(name) and self.base.signs[name].kind_of in {"", None, *wide}
        ]

    def _is_trouble(self, name: str) -> bool:
        sign = self.base.signs[name]
        return sign.seen_by == self.base.persons[0] and not sign.past and not sign.sided

    def dangers_of(self, found: Iterable[MayMean]) -> tuple[str, ...]:
        """Return what can hurt if any of these is so: the cautions of the rules that need no other sign."""
        signs = {one.sign for one in found}
        names = [
            name
            for rule in self.base.rules.values()
            if all(isinstance(when, SignIs) and when.seen and when.sign in signs for when in rule.when)
            for name in rule.warns
        ]
        return tuple(self.base.cautions[name].says for name in dict.fromkeys(names))
