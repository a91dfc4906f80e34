"""Answers of which whoever gives them is not sure: 'maybe 1', 'I think it was the left one'. The doubt is kept."""

import re

from msgspec.structs import replace

from advisor.errors import AdvisorError
from advisor.rulebase.model import Rulebase
from advisor.session.events import Answered, Event, PutRight, RuledOut
from advisor.session.next_question import CHECK, Question

NOT_SURE = "not sure"
WHO = r"(?:i|he|she|we|they)"
THINKS = rf"(?:{WHO} (?:would |should )?(?:think|guess|suppose|reckon|believe|say|bet)s?|{WHO}'d say)"
UNSURE = rf"(?:{WHO}(?:'m| am| is|'s) )?(?:not|un) ?(?:quite |really |so |too |that |all that |entirely )?sure"
HEDGE = (
    rf"(?:{THINKS}|{UNSURE}|may ?be|perhaps|probably|possibly|likely|most likely|very likely|presumably"
    r"|(?:it )?(?:could|might|may|must|should) be|(?:it )?(?:seems?|looks?|feels?) (?:like|to be)|it seems)"
)
IN_FRONT = re.compile(
    rf"^(?:{HEDGE}(?:[,;:]? (?:but|that))?(?: it'?s| it is| number| answer)?[\s,;:]+)+(?=\S)", re.IGNORECASE
)
BEHIND = re.compile(rf"(?:[\s,;]+(?:but )?{HEDGE}|(?<=\d)\s*\?)+\W*$", re.IGNORECASE)
OPEN = re.compile(r"^\W*\d{1,2}(?:\s*(?:,|or)\s*\d{1,2})*\s*or\s*\d{1,2}\W*$")  # '1 or 2'


def without_doubt(line: str) -> tuple[str, bool]:
    """Return a line without the words that say how unsure it is, and whether it had any.

    >>> without_doubt("maybe 1"), without_doubt("the left one, I think")
    (('1', True), ('the left one', True))
    >>> without_doubt("not sure"), without_doubt("it is cold")
    (('not sure', False), ('it is cold', False))
    """
    plain = BEHIND.sub("", IN_FRONT.sub("", line)).strip()
    return (plain, True) if plain and plain != line.strip() else (line, False)


def refuse_open(line: str) -> None:
    """Raise AdvisorError if a line leaves open which answer it is."""
    if OPEN.match(line):
        msg = f"'{line}' leaves it open"
        raise AdvisorError(msg, "write the likelier one, like 'maybe 1', or 'not known'")


def in_doubt(event: Event, question: Question, base: Rulebase) -> Event:
    """Return an answer as one that is not sure: its signs are believed less. Raises AdvisorError after a repair."""
    if question.kind != CHECK and isinstance(event, Answered | PutRight | RuledOut):
        msg = "this must be sure"
        raise AdvisorError(msg, "write the number alone once it is, or 'stop' to go on another time")
    if not isinstance(event, Answered):
        return event
    return replace(event, reports=tuple(replace(one, how=base.words.in_doubt) for one in event.reports))


def is_in_doubt(event: Answered, base: Rulebase) -> bool:
    """Whether an answer was given as one that is not sure."""
    return bool(event.reports) and all(one.how == base.words.in_doubt for one in event.reports)
