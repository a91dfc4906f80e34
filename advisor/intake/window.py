"""One clause, or two that follow each other, as a phrasing is looked for in them."""

from collections import defaultdict
from collections.abc import Mapping, Sequence

import msgspec

from advisor.intake.clauses import Clause, Word
from advisor.rulebase.speech import LIGHT
from advisor.rulebase.wording import NOT, WELL


class Window(msgspec.Struct, frozen=True):
    """Clauses with their telling words, by what they say."""

    clauses: tuple[Clause, ...]
    at: Mapping[str, list[Word]]

    @property
    def words(self) -> list[Word]:
        """All telling words, in order."""
        return [word for clause in self.clauses for word in clause.words]

    @property
    def across(self) -> bool:
        """Whether it is more than one clause."""
        return len(self.clauses) > 1

    @property
    def nots(self) -> Sequence[Word]:
        """Where it says no."""
        return self.at.get(NOT, ())

    @property
    def praises(self) -> Sequence[Word]:
        """Where it says that something is well."""
        return self.at.get(WELL, ())


def window_of(*clauses: Clause) -> Window:
    """Return clauses as a window."""
    at: dict[str, list[Word]] = defaultdict(list)
    for clause in clauses:
        for word in clause.words:
            at[word.says].append(word)
    return Window(clauses, dict(at))


def together(order: Sequence[str], window: Window, *, turned: bool) -> list[Word]:
    """Return the words that stand together in one clause, with nothing between them; none if they do not.

    `turned`: they may stand in another order.
    """
    for clause in window.clauses:
        says = [word for _, word in clause.order]
        for start in range(len(says) - len(order) + 1):
            here = says[start : start + len(order)]
            if here == list(order) or (turned and sorted(here) == sorted(order)):
                places = {place for place, _ in clause.order[start : start + len(order)]}
                return [word for word in clause.words if word.place in places]
    return []


def more_said(met: Sequence[Word], window: Window) -> int:
    """Return how many telling words there are beside these."""
    return sum(word.says not in LIGHT and word.says not in {NOT, WELL} and word not in met for word in window.words)


def whole_object(met: Sequence[Word], window: Window) -> bool:
    """Whether these are all that a 'not' denies, or all that a 'well' praises, in its part of a clause."""
    says = {word.says for word in met}
    for no in window.nots:
        after = {word.says for word in window.words if word.part == no.part and word.place > no.place}
        if after and after <= says:
            return True
    if window.praises and any("and" in clause.raw for clause in window.clauses):
        return True  # of several things that are well, each is
    for praise in window.praises:
        beside = {word.says for word in window.words if word.part == praise.part and word.says not in LIGHT} - {WELL}
        if beside and beside <= says:
            return True
    return False
