"""How surely a sign is meant by what is said: a logistic model of a few things that tell.

Its figures are fitted on sentences of people apart, by `python -m tests.fitted_sureness`, which prints them.
"""

import math

import msgspec

from advisor.intake.matching import Match
from advisor.intake.window import Window
from advisor.rulebase.phrasings import Phrasings
from advisor.rulebase.speech import LIGHT, PARTS
from advisor.rulebase.wording import NOT, SAME_AS_BEFORE, WELL, nearly, root

LEAST_SURE = 0.63  # from here on a sign is offered; judgement: two right ones for a wrong one
LEAST_ALONE = 0.25  # the same, where nothing else was heard
MOST_LEAD = 1.5
MOST_TOLD = 4  # telling words: more do not make it surer
NO_MATTER = frozenset([NOT, WELL, SAME_AS_BEFORE])
PARTS_SAID = frozenset(nearly(root(word)) for word in PARTS)


class Told(msgspec.Struct, frozen=True):
    """What tells how surely a sign is meant, each from 0 to 1, but for `like`, `both` (to 2), `lead`, `size`.

    `like`: the most alike phrasing, and all of the sign; `lead`: the logarithm of how much more alike than the next
    sign that is no kind of it; `covered`: the share of the phrasing that is said; `exact`: of its words, those said
    just so; `finding`: of those that are no name of a part; `complaint`: whether riders complain of it; `was`: whether
    it tells how it was; `bare`: whether it tells that all is well without a word that says so; `many`: the logarithm
    of how many of its telling words are said; `beside`: the share of what the window tells that it leaves over;
    `size`: the logarithm of how much the phrasing tells; `vote`: the share that the sign and its kinds have of the few
    most alike phrasings (k nearest neighbours, weighted by likeness); `both`: `covered` times `like`.
    """

    like: float
    lead: float
    covered: float
    exact: float
    finding: float
    complaint: float
    was: float
    bare: float
    many: float
    beside: float
    size: float
    vote: float
    both: float


class Nearness(msgspec.Struct, frozen=True):
    """How like what is said a sign is, and the next one that is no kind of it, and how many phrasings vote for it."""

    like: float
    rival: float
    vote: float


WEIGHTS = Told(
    like=-0.19,
    lead=0.23,
    covered=1.94,
    exact=1.24,
    finding=0.66,
    complaint=0.72,
    was=-1.07,
    bare=-0.59,
    many=0.38,
    beside=1.07,
    size=0.72,
    vote=1.56,
    both=2.16,
)
BASE = -7.64


def told(match: Match, window: Window, known: Phrasings, near: Nearness) -> Told:
    """Return what tells how surely a match is meant."""
    phrasing = match.phrasing
    met = {word.says for word in match.met}
    findings = {says: known.weight[says] for says in phrasing.words - PARTS_SAID - {WELL, NOT}}
    found = sum(weight for says, weight in findings.items() if says in met)
    return Told(
        like=near.like,
        lead=max(-MOST_LEAD, min(MOST_LEAD, math.log(near.like / near.rival))) if near.rival else MOST_LEAD,
        covered=match.covered,
        exact=sum(word.exact in phrasing.exact for word in match.met) / len(match.met),
        finding=found / sum(findings.values()) if findings else 1.0,
        complaint=float(phrasing.complaint),
        was=float(_how_it_was(match, window)),
        bare=float(phrasing.bare),
        many=math.log(min(MOST_TOLD, max(1, match.telling))),
        beside=_beside(match, window, known),
        size=math.log(phrasing.weight),
        vote=near.vote,
        both=match.covered * near.like,
    )


def _beside(match: Match, window: Window, known: Phrasings) -> float:
    """Return the share of what a window tells that is no word of the match."""
    met = {word.place for word in match.met}
    telling = [word for word in window.words if word.says not in LIGHT and word.says not in NO_MATTER]
    weights = [(known.weight.get(word.says, 0.0), word.place not in met) for word in telling]
    total = sum(weight for weight, _ in weights)
    return sum(weight for weight, left in weights if left) / total if total else 0.0


def sure(told: Told) -> float:
    """Return how surely a sign is meant, from 0 to 1; not at all if only parts are named, and nothing found of them."""
    if not told.finding:
        return 0.0
    at = sum(
        weight * one
        for weight, one in zip(msgspec.structs.astuple(WEIGHTS), msgspec.structs.astuple(told), strict=True)
    )
    return 1 / (1 + math.exp(-BASE - at))


def _how_it_was(match: Match, window: Window) -> bool:
    """Whether it tells how it was: what was done was; what was looked at, and found well, still is."""
    if match.phrasing.past:
        return False
    if match.phrasing.looked_for:
        return any(clause.of_then for clause in window.clauses)
    good = match.no or match.phrasing.well
    return any(clause.past and (good or clause.used_to) for clause in window.clauses)
