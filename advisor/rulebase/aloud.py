"""What is said aloud to a rider on the phone: one sentence that asks for a check, and his answer read back to him."""

import re
from collections.abc import Iterator

from advisor.errors import Problem
from advisor.rulebase.model import Check, Rulebase
from advisor.sides import Side, either, fill

LONGEST = 100  # letters of a sentence read aloud: it must be understood at one hearing; judgement
SUBJECTS = (
    *("it", "they", "nothing", "something", "everything", "nobody", "somebody", "both", "neither", "one", "all"),
    *("only", "none", "each", "there", "some"),
)
VERBS = frozenset(
    (
        *("is", "are", "was", "were", "has", "have", "had", "does", "do", "did", "can", "cannot", "will", "may"),
        *("began", "begins", "beats", "blows", "burns", "came", "changes", "comes", "cuts", "dies", "drips", "drops"),
        *("falls", "fell", "fires", "flows", "gets", "goes", "got", "hangs", "helps", "idles", "keeps", "leads"),
        *("leaks", "leans", "leaves", "lies", "lifts", "makes", "misses", "moves", "pinks", "points", "pops", "pulls"),
        *("puffs", "ran", "rattles", "rises", "rushes", "runs", "sat", "shows", "sits", "skips", "slips", "smells"),
        *("smokes", "snaps", "springs", "stalls", "stands", "starts", "stays", "sticks", "stood", "stops", "takes"),
        *(
            "touches",
            "turns",
            "wanders",
            "weakens",
            "weeps",
            "went",
            "works",
            "climbs",
            "brings",
            "needs",
            "looks",
            "feels",
        ),
        *("stay", "hang", "fire", "hum", "beat", "change", "make", "sit", "run", "work", "come", "go", "lie", "drop"),
    )
)
ELLIPTIC = re.compile(
    r"it (is|was|does|did|has)( not| both| so| (one|none|neither|some|any)( of (these|those|them))?)?"
)
NO_VERB = frozenset(("or", "and", "of", "alike", "sides", "at", "in", "on", "from", "with", "but", "all", "none"))


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


def read_back(asked: str, says: str) -> str:
    """Return an answer as a statement to read back: the answer if it stands alone, else what was asked with it."""
    if stands_alone(says) or not asked.endswith("?"):
        return f"So: {says}"
    return f"I asked: {asked} You say: {says[:1].lower()}{says[1:]}"


def stands_alone(says: str) -> bool:
    """Whether an answer can be read back without its question: whether its first clause has a verb of its own."""
    ends = r"[;:.]| but " if says.startswith("The ") else r"[,;:.]| but "  # 'The cable, or an end of it, is out'
    clause = re.split(ends, says.lower(), maxsplit=1)[0]
    words = re.findall(r"[a-z'{}]+", clause)
    if not words or ELLIPTIC.fullmatch(" ".join(words)):
        return False
    if words[0] in SUBJECTS and len(words) > 1 and words[1] not in NO_VERB:
        return True
    return any(word in VERBS for word in words[1:])


def unspoken(base: Rulebase) -> Iterator[Problem]:
    """Yield what a rider on the phone would not understand: checks without a short question, answers without a verb."""
    for check in base.checks.values():
        if check.who != base.persons[0]:
            continue
        said = aloud(check, "right" if check.sided else None, base)
        if not said.endswith("?") or len(said) > LONGEST:
            text = (
                f"'{check.id}' is asked of a rider; 'say' needs a question of at most {LONGEST} letters, ending in '?'"
            )
            yield Problem(check.file, check.line, text)
        for outcome in check.outcomes:
            if not stands_alone(outcome.says):
                text = f"'{check.id}': '{outcome.says}' cannot be read back alone; write it like 'It is ...'"
                yield Problem(check.file, check.line, text)
