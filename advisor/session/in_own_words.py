"""Which of a question's answers a line says in the answer's own words: 'left drops at once, the right sinks slowly'."""

import re
from collections.abc import Mapping, Sequence
from functools import lru_cache

from advisor.rulebase.wording import NOT, SIDES, WELL, root, spoken_words, telling
from advisor.session.next_question import Option
from advisor.sides import Side, Sided

CLAUSE = re.compile(r"[,;:.!?](?=\s|$)\s*|\s+(?:and|but|while|or)\s+")
STATEMENT = re.compile(r"[,;.!?](?=\s|$)\s*|\s+but\s+")
BOTH = frozenset(["both", "neither"])
# Small words on which an answer may turn: 'in any weather' is not 'in damp weather'.
TURNS_ON = frozenset(["any", "all", "always", "only", "before", "after", "up", "down", "on", "off", "out", "once"])
SAYS_NOTHING_ALONE = frozenset([NOT, WELL, *SIDES, *TURNS_ON])
WORD = re.compile(r"[^\W_]+")
IN_FRONT = ("it", "they", "the", "there", "a")
YES = re.compile(r"^\W*(?:(?:yes|yeah|well|ok|so),? (?=it|they|the|there)|(?:yes|yeah|well),)", re.IGNORECASE)
COMES = re.compile(r"\b(?:comes?|came|coming)\b", re.IGNORECASE)  # says no more than 'is' in an answer
FEWEST = 2  # words of an answer that stand among others
HALF = 0.5  # of an answer's words that a line of several statements must say of it: judgement

Words = frozenset[str]


def in_own_words(
    line: str, options: Sequence[Option], side: Side = None, known: Mapping[Sided, bool] | None = None
) -> tuple[Option | None, str]:
    """Return the answer that a line says in its words, and the statements of the line that are no part of it.

    `side` is the one that is asked about, so it may be named or not. No answer is taken that `known` signs speak
    against, nor one of several that are as near.
    """
    left = [one for one in options if not against(one, known or {})]
    verbatim = [one for one in left if _letters(one.says) == _letters(line)]
    if len(verbatim) == 1:
        return verbatim[0], ""
    about = frozenset[str]().union(*(_words(one.says, side) for one in left)) - SAYS_NOTHING_ALONE
    for parts in ([line], [one for one in STATEMENT.split(line) if one.strip()]):
        said = [_words(one, side) for one in parts]
        meant = [one for one in said if any(_fits(one, option, side) for option in left)]
        found = _nearest(meant, left, side)
        if any(words & about for words in said if words not in meant):
            found = None  # it says something of an answer that has no place in the one that was found
        if found is not None and (len(parts) == 1 or _half_said(frozenset[str]().union(*meant), found, side)):
            return found, ", ".join(
                part.strip()
                for part, words in zip(parts, said, strict=True)
                if not any(_is_part(words, one, side) for one in left)
            )
    return None, line


def nearest_in_words(line: str, options: Sequence[Option], side: Side = None) -> Option | None:
    """Return the answer with which a short line shares most words, though it says something more or other besides.

    It shares two telling words at least, or has no other words, and more than with any other answer; it denies
    something only if that does.
    """
    said = _words(line, side)
    shared = [said & _words(one.says, side) for one in options]
    most = max((len(one) for one in shared), default=0)
    best = [one for one, words in zip(options, shared, strict=True) if len(words) == most]
    if len(best) != 1:
        return None
    whole, telling_words = _words(best[0].says, side), shared[options.index(best[0])] - SAYS_NOTHING_ALONE - {"one"}
    in_part = len(telling_words) >= FEWEST and len(said - whole) <= len(telling_words)
    in_full = len(said - {*SIDES}) >= FEWEST and said <= whole
    other_side = any(one in said and one not in whole for one in SIDES)
    if not (in_part or in_full) or (NOT in said) != (NOT in whole) or other_side:
        return None
    return best[0]


def _nearest(said: Sequence[Words], options: Sequence[Option], side: Side) -> Option | None:
    """Return the answer that all of these say and that says least besides; None if several do, or none does."""
    fits = [one for one in options if said and all(_agrees(words, one, options, side) for words in said)]
    if not fits:
        return None
    every = frozenset[str]().union(*said)
    far = [_more(one, every, side) for one in fits]
    return fits[far.index(min(far))] if far.count(min(far)) == 1 else None


def _agrees(said: Words, option: Option, options: Sequence[Option], side: Side) -> bool:
    """Whether words say an answer, or of the one side that they name the same as it: the right one sinks slowly."""
    if _fits(said, option, side):
        return True
    named = [one for one in SIDES if one in said]
    if len(named) != 1:
        return False
    theirs = [{(one.sign, one.seen) for one in two.reports if one.side == named[0]} for two in options]
    meant = [one for one, two in zip(theirs, options, strict=True) if _fits(said, two, side)]
    own = {(one.sign, one.seen) for one in option.reports if one.side == named[0]}
    return bool(meant) and all(one and one <= own for one in meant)


def against(option: Option, known: Mapping[Sided, bool]) -> bool:
    """Whether signs that are known speak against an answer."""
    return any(known.get((one.sign, one.side), one.seen) != one.seen for one in option.reports)


def another_is_named(line: str, option: Option, options: Sequence[Option]) -> bool:
    """Whether a small word on which an answer turns is said, and only other answers have it: 'in any weather'."""
    turns = _words(line, None) & TURNS_ON - _words(option.says, None)
    return any(turns & _words(one.says, None) for one in options)


@lru_cache(maxsize=2_000)
def _words(text: str, side: Side) -> Words:
    """Return the telling words of a text and the sides that it names, but for the one that is asked about."""
    said = spoken_words(COMES.sub(" ", YES.sub("", text)))
    sides = set(SIDES) if any(one in BOTH for one in said) else {one for one in said if one in SIDES}
    return frozenset([*telling(said), *(root(one) for one in said if one in TURNS_ON), *(sides - {side})])


def _fits(said: Words, option: Option, side: Side) -> bool:
    """Whether words say an answer or a part of it, or all of it among others."""
    if not said - SAYS_NOTHING_ALONE:
        return False
    whole = _words(option.says, side)
    among = len(whole - SAYS_NOTHING_ALONE) >= FEWEST and whole <= said and (NOT in whole) == (NOT in said)
    return among or _is_part(said, option, side)


def _is_part(said: Words, option: Option, side: Side) -> bool:
    """Whether all of the words are an answer's: what it denies is not said by words that deny nothing."""
    clauses = [_words(one, side) for one in CLAUSE.split(option.says)]
    plain = frozenset[str]().union(*(one for one in clauses if NOT not in one))
    denied = frozenset[str]().union(*(one for one in clauses if NOT in one))
    if NOT in said:
        return said <= plain | denied and bool(said & denied - {NOT})
    return said <= plain


def _more(option: Option, said: Words, side: Side) -> tuple[bool, int, int, int]:
    """Return how far an answer is from what was said: at all, words left over, signs and words that were not said."""
    words = _words(option.says, side)
    return words != said, len(said - words), sum(one.seen for one in option.reports), len(words - said)


def _letters(text: str) -> list[str]:
    """Return the words of a text as they stand, but for the pronoun or article in front."""
    words = WORD.findall(text.lower())
    return words[1:] if words[:1] in ([one] for one in IN_FRONT) else words


def _half_said(said: Words, option: Option, side: Side) -> bool:
    """Whether words say half of an answer, or a whole clause of it."""
    clauses = [_words(one, side) for one in CLAUSE.split(option.says)]
    if any(one - SAYS_NOTHING_ALONE and one <= said for one in clauses):
        return True
    words = frozenset[str]().union(*clauses)
    return len(words & said) >= HALF * len(words)
