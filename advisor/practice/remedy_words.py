"""What a cause's page says of its repair besides how it is done. Both are still read out of the remedy's words."""

from advisor.rulebase.model import Cause
from advisor.scoring.stand import ON_BOTH_SIDES

PAIRWISE = ("both sides", "as a pair", "in pairs", "both ports")  # of a remedy that is for both sides at once


def done_to_both_sides(cause: Cause) -> bool:
    """Whether the repair is done to both sides at once, so that the page's minutes are for both."""
    return cause.id in ON_BOTH_SIDES or any(words in cause.remedy for words in PAIRWISE)


def needs_new_parts(cause: Cause) -> bool:
    """Whether the repair takes new parts."""
    return "new" in cause.remedy.lower().split()
