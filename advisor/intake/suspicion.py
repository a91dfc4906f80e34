"""What a sentence suspects: causes that are named in a clause with 'I think', 'maybe' or a question mark."""

from collections.abc import Sequence

from advisor.intake.clauses import Clause
from advisor.intake.mentions import Mention, mentions
from advisor.rulebase.phrasings import Phrasings

FEW = 1  # telling words: 'I reckon', said after what is suspected


def suspected(told: Sequence[Clause], causes: Phrasings) -> list[Mention]:
    """Return the causes that clauses suspect, the surest of each clause."""
    found = list[Mention]()
    for number, clause in enumerate(told):
        here = clause
        if clause.supposed and not mentions((clause,), causes) and number and len(clause.words) <= FEW + 1:
            here = told[number - 1]
        if clause.supposed or clause.asked:
            found += [one for one in mentions((here,), causes) if one.seen][:1]
    return found
