"""The one sentence that asks a rider for a check on the phone."""

from advisor.rulebase.model import Check, Rulebase
from advisor.sides import Side, either, fill


def aloud(check: Check, side: Side, base: Rulebase) -> str:
    """Return the sentence to read aloud: the check's own, else the question of the one reading or sign it settles.

    Failing those, it is the check's first step, which is not a question.
    """
    if check.say:
        return fill(check.say, side)
    figures = [base.readings[name].question for name in check.takes if base.readings[name].question]
    if figures:
        return either(figures[0], side)
    settled = {(one.sign, one.bearing) for outcome in check.outcomes for one in outcome.shows}
    if len(settled) == 1:
        sign, bearing = next(iter(settled))
        if bearing == "none" or (bearing == "this" and check.sided):
            return fill(base.signs[sign].question, side)
    return fill(check.steps[0] if check.steps else check.title, side)
