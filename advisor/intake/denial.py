"""What a clause denies or praises: the scope of 'not' and of 'well'.

After W. W. Chapman and others (2001), 'A simple algorithm for identifying negated findings and diseases in discharge
summaries', J. Biomed. Inform. 34, from memory: a trigger before or after what is found negates it, within its own
clause; phrases that only look like triggers do not ('not only'; see `advisor.rulebase.speech`). A phrasing that itself
says no ('will not start') is not negated by that.
"""

from collections.abc import Sequence

from advisor.intake.clauses import Word
from advisor.intake.window import Window
from advisor.rulebase.phrasings import Phrasing
from advisor.rulebase.speech import LIGHT
from advisor.rulebase.wording import HARDLY, NOT, SAME_AS_BEFORE, VANISHED, WELL, WITHOUT

UNTIL = frozenset(["until", "unless"])
MOST_OF_IT = 0.5  # the share of what is meant that stands in the scope; judgement


def denied(phrasing: Phrasing, met: Sequence[Word], window: Window) -> bool:
    """Whether a clause says that what these words mean is not so. 'Not without' says that it is."""
    said_with_it = any(word.says == HARDLY for word in met)
    nots = [one for one in window.nots if not (one.exact == HARDLY and said_with_it)]
    if phrasing.helps:
        nots = [one for one in nots if one.exact != VANISHED]
    if phrasing.well:  # neither plug looks bad, both are brown: that does not deny the brown
        nots = [one for one in nots if all(word.clause == one.clause for word in met)]
    noes = [one for one in nots if _denies(one, met, window) and not _until(one, window)]
    undone = len(noes) > 1 and any(one.exact == WITHOUT for one in noes)
    praised = WELL not in phrasing.words and not phrasing.cures and any(_praises(one, met) for one in window.praises)
    if phrasing.helps and _made_no_difference(phrasing, met, window):
        return True
    return (bool(noes) and not undone) or (praised and not phrasing.well)


def _made_no_difference(phrasing: Phrasing, met: Sequence[Word], window: Window) -> bool:
    """Whether what would help, or would move the trouble, is said to change nothing."""
    here = {word.clause for word in met}
    unchanged = any(word.clause in here for word in window.at.get(SAME_AS_BEFORE, ()))
    return unchanged and SAME_AS_BEFORE not in phrasing.words


def refuser(phrasing: Phrasing, met: Sequence[Word], window: Window) -> Word | None:
    """Return the 'not' that stands in the same clause before some of the words that a phrasing refuses, or ends it."""
    refused = [word for word in met if word.says in phrasing.refused] or met
    return next((no for no in window.nots if any(_after(word, no) for word in refused) or _ends(no, met, window)), None)


def _ends(no: Word, met: Sequence[Word], window: Window) -> bool:
    """Whether a clause ends with this 'not', and these words stand before it: 'the left column shows nothing'."""
    clause = next(clause for clause in window.clauses if clause.number == no.clause)
    before = [word for word in met if word.clause == no.clause and word.part == no.part and word.place < no.place]
    return clause.words[-1].place == no.place and len(before) >= MOST_OF_IT * len(met)


def _after(word: Word, no: Word) -> bool:
    return word.clause == no.clause and word.part >= no.part and word.place > no.place


def _denies(no: Word, met: Sequence[Word], window: Window) -> bool:
    inside = [word for word in met if word.clause == no.clause and word.part == no.part]
    after = [word for word in inside if word.place > no.place]
    if after and (len(after) >= MOST_OF_IT * len(met) or _first_after(no, window) in after):
        return True  # it does not pop when I roll off; float valves do not leak
    if after:
        return False
    if any(word.place < no.place for word in inside) and any(_after(word, no) for word in met):
        return True  # the idle does not change when the bars are turned
    return _ends(no, met, window)


def _until(no: Word, window: Window) -> bool:
    """Whether a denial ends: what does not join in until it revs joins in then."""
    clause = next(clause for clause in window.clauses if clause.number == no.clause)
    return no.exact == NOT and bool(UNTIL & set(clause.raw))


def _first_after(no: Word, window: Window) -> Word | None:
    """Return the first word that tells something after a 'not'."""
    return next((word for word in window.words if word.place > no.place and word.says not in {*LIGHT, NOT}), None)


def _praises(praise: Word, met: Sequence[Word]) -> bool:
    inside = sum(word.clause == praise.clause and word.part == praise.part for word in met)
    return inside > MOST_OF_IT * len(met)
