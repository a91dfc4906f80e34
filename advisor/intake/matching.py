"""Where a phrasing's words are in what is said, and whether that denies them."""

from collections import Counter
from collections.abc import Iterable, Sequence

import msgspec

from advisor.intake.clauses import Word
from advisor.intake.denial import denied, refuser
from advisor.intake.window import Window, together
from advisor.rulebase.phrasings import OF_NOT, Phrasing, Phrasings
from advisor.rulebase.speech import LIGHT, PARTS
from advisor.rulebase.wording import NOT, VANISHED, WELL, nearly, root

STOPS = frozenset(
    nearly(root(word)) for word in ("stops", "dies", "dead", "stalls", "cutout", "once", "engine", "goes")
)
PARTS_SAID = frozenset(nearly(root(word)) for word in PARTS)
WISHED = frozenset(["should", "would", "ought", "supposed"])
WITH_WHAT = frozenset(["with", "on", "since", "after", "once", "in", "now", "when"])  # what is good made it so
WHOLE = 0.99  # the share of a phrasing that is there if all of it is


class Match(msgspec.Struct, frozen=True):
    """A phrasing with its words in a window, its own 'not' there, and whether the window denies it."""

    phrasing: Phrasing
    met: list[Word]
    refused: Word | None
    no: bool
    weight: float

    @property
    def covered(self) -> float:
        """The share of the phrasing's weight that is there."""
        return self.weight / self.phrasing.weight

    @property
    def telling(self) -> int:
        """How many of its words that tell something are there."""
        return sum(word.says not in LIGHT for word in self.met)

    @property
    def places(self) -> frozenset[int]:
        """Where its words stand."""
        return frozenset(word.place for word in (*self.met, *([self.refused] if self.refused else [])))


def match(phrasing: Phrasing, window: Window, known: Phrasings) -> Match | None:
    """Return where a phrasing's words are in a window; None if the window cannot mean it."""
    met = _met(phrasing, window)
    if not met or not _can_mean(phrasing, met, window):
        return None
    refused, no = None, False
    weight = sum(known.weight.get(says, 0.0) for says in {word.says for word in met} & phrasing.words)
    if phrasing.denies and phrasing.order:
        weight = phrasing.weight
    elif phrasing.denies:
        refused, weight = refuser(phrasing, met, window), weight + OF_NOT
    else:
        no = denied(phrasing, met, window)
    if phrasing.denies and not phrasing.order and weight < WHOLE * phrasing.weight and len(met) == 1:
        return None  # 'never when cold' is no 'will not start cold'
    good = no != phrasing.well and not (phrasing.looked_for or phrasing.past)
    if good and any(clause.of_then for clause in window.clauses):
        return None  # how well it ran last autumn
    if (no or phrasing.well) and window.praises and _only_wished(window):
        return None
    if _undone(phrasing, window, no=no) or (phrasing.denies and not phrasing.order and refused is None):
        return None
    return Match(phrasing=phrasing, met=met, refused=refused, no=no, weight=weight)


def _only_wished(window: Window) -> bool:
    """Whether it is asked, or told how it should be, and not how it is."""
    return any(clause.asked or WISHED & set(clause.raw) for clause in window.clauses)


def _undone(phrasing: Phrasing, window: Window, *, no: bool) -> bool:
    """Whether it is told what nobody did, which is no trouble; or a thing done is praised, which does not undo it."""
    if any(clause.did_not for clause in window.clauses):
        return phrasing.denies or (no and phrasing.well)
    return no and phrasing.past and not window.nots


def _met(phrasing: Phrasing, window: Window) -> list[Word]:
    """Return the words of a phrasing that are there; none if they alone say too little."""
    if phrasing.order:
        return together(phrasing.order, window, turned=phrasing.sided)
    said = {says: window.at[says] for says in sorted(phrasing.words) if says in window.at}
    most = _where_most(said.values(), window)
    met = [next((word for word in words if word.clause == most), words[0]) for words in said.values()]
    return met if any(word.says not in LIGHT for word in met) else []


def _where_most(said: Iterable[Sequence[Word]], window: Window) -> int:
    """Return the clause in which most of these words stand."""
    if not window.across:
        return window.clauses[0].number
    here = Counter(clause for words in said for clause in {word.clause for word in words})
    return max(here, key=lambda clause: (here[clause], -clause), default=0)


def _can_mean(phrasing: Phrasing, met: Sequence[Word], window: Window) -> bool:
    """Whether a window with these words of a phrasing can mean it, as to its side, its time and what is praised."""
    if phrasing.sided and not any(clause.sides for clause in window.clauses):
        return False
    if any(clause.used_to for clause in window.clauses):
        return False
    if phrasing.cures and not _says_what_cures(phrasing, met, window):
        return False
    if _tried(met, window) or _only_guessed(phrasing, window):
        return False
    if any(no.exact == VANISHED and all(_later(word, no) for word in met) for no in window.nots):
        return False  # it goes when it is warm: that is no trouble when warm
    praised = _praised(met, window) if phrasing.well else bool(window.praises)
    fits = praised if WELL in phrasing.words else phrasing.well or not _praise_between(met, window)
    if phrasing.well:
        fits = fits and not _other_between(met, window)
        fits = fits and not (phrasing.bare and _may_not_be_well(window))
    return fits


def _says_what_cures(phrasing: Phrasing, met: Sequence[Word], window: Window) -> bool:
    """Whether it is told that a part made it well: 'fine with good plugs' does, 'the plugs are good' does not."""
    only_part = all(word.says in PARTS_SAID or word.says in {*LIGHT, WELL} for word in met)
    return not (only_part and WELL in phrasing.words) or any(WITH_WHAT & set(clause.raw) for clause in window.clauses)


def _tried(met: Sequence[Word], window: Window) -> bool:
    """Whether it only stops because somebody pulled a lead: what a test does is no complaint."""
    return all(word.says in STOPS for word in met) and any(clause.shorted for clause in window.clauses)


def _only_guessed(phrasing: Phrasing, window: Window) -> bool:
    """Whether what was done is only supposed, or wanted: 'the carburettors want cleaning'."""
    return phrasing.past and all(clause.supposed and not clause.did for clause in window.clauses)


def _later(word: Word, no: Word) -> bool:
    return word.clause == no.clause and word.place > no.place


def _praised(met: Sequence[Word], window: Window) -> bool:
    """Whether what is praised is what these words tell: 'the timing is good at idle' praises no idle."""
    told = [word for word in met if word.says != WELL]
    return any(2 * sum(_is_praised(word, praise, window) for word in told) >= len(told) for praise in window.praises)


def _is_praised(word: Word, praise: Word, window: Window) -> bool:
    """Whether a word is in the part that is praised, or in the next if only praise is there: 'fine once warm'."""
    alone = all(
        other.says in {*LIGHT, NOT, WELL}
        for other in window.words
        if (other.clause, other.part) == (praise.clause, praise.part)
    )
    return word.clause == praise.clause and (word.part == praise.part or (alone and word.part == praise.part + 1))


def _may_not_be_well(window: Window) -> bool:
    """Whether a thing is said that is not praised: what somebody did or has to do, or what is so of one only."""
    return "only" in window.at or any(clause.did for clause in window.clauses)


def _praise_between(met: Sequence[Word], window: Window) -> bool:
    places = [word.place for word in met]
    return any(min(places) < one.place < max(places) for one in window.praises)


def _other_between(met: Sequence[Word], window: Window) -> bool:
    """Whether something else is told after the praise: 'starts well, dies hot' is no good start when hot."""
    praised = min((word.place for word in met if word.says == WELL), default=-1)
    last = max(word.place for word in met)
    between = (word for word in window.words if praised < word.place < last and word not in met) if praised >= 0 else ()
    return any(word.says not in LIGHT and word.says not in {NOT, WELL} for word in between)
