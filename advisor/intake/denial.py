"""What a clause denies or praises: the scope of 'not' and of 'well'.

After W. W. Chapman and others (2001), 'A simple algorithm for identifying negated findings and diseases in discharge
summaries', J. Biomed. Inform. 34, from memory: a trigger before or after what is found negates it, within its own clause;
phrases that only look like triggers do not ('not only'; see `wording`). A phrasing that itself says no ('will not start')
is not negated by that.
"""

from collections.abc import Mapping, Sequence

from advisor.intake.clauses import Clause, Word
from advisor.rulebase.phrasings import Phrasing
from advisor.rulebase.wording import NOT, WELL, WITHOUT

MOST_OF_IT = 0.5


def denied(phrasing: Phrasing, met: Sequence[Word], at: Mapping[str, Sequence[Word]], window: Sequence[Clause]) -> bool:
    """Whether a clause says that what these words mean is not so."""
    noes = [one for one in at.get(NOT, ()) if _denies(one, met, window)]
    undone = len(noes) > 1 and any(one.exact == WITHOUT for one in noes)
    praised = WELL not in phrasing.words and any(_same_part(one, met) for one in at.get(WELL, ()))
    return (bool(noes) and not undone) or (praised and not phrasing.well)


def _denies(no: Word, met: Sequence[Word], window: Sequence[Clause]) -> bool:
    inside = [word for word in met if word.clause == no.clause and word.part == no.part]
    after = [word for word in inside if word.place > no.place]
    if after:
        return len(after) >= MOST_OF_IT * len(met)
    last = next(clause for clause in window if clause.number == no.clause).words[-1]
    return last.place == no.place and len(inside) >= MOST_OF_IT * len(met)


def _same_part(one: Word, met: Sequence[Word]) -> bool:
    inside = sum(word.clause == one.clause and word.part == one.part for word in met)
    return inside > MOST_OF_IT * len(met)
