"""What a rider hears where nothing wrong is known: what is as it should be, and what to have looked at when."""

from advisor.report import Report
from advisor.rulebase.model import Rulebase
from advisor.session.events import Answered, Told
from advisor.session.not_checked import not_checked
from advisor.session.state import State
from advisor.sides import fill

MOST_HEALTHY, MOST_NEXT = 4, 3  # nobody keeps more than a few things in mind
SOUND, NOT_THERE = "As it should be: {says}", "Not there: {signs}."
NEXT = "Nothing is urgent. The next service makes sure of these first: {items}."
ON_THE_SHEET = "The sheet lists all that nobody has looked at."


def comfort(state: State, report: Report, base: Rulebase) -> tuple[str, ...]:
    """Return a few lines: what was found or said to be as it should be, and what comes next, if anything is left."""
    found, denied = _found_sound(state)[:MOST_HEALTHY], _denied(state, base)[:MOST_HEALTHY]
    items = [stage.items[0] for stage in not_checked(report)][:MOST_NEXT]
    return (
        *((SOUND.format(says=" ".join(found)),) if found else ()),
        *((NOT_THERE.format(signs="; ".join(denied)),) if denied else ()),
        *((NEXT.format(items="; ".join(items)), ON_THE_SHEET) if items else ()),
    )


def _found_sound(state: State) -> list[str]:
    """Return the answers to checks that found nothing."""
    answers = [one for one in state.known if isinstance(one, Answered) and one.reports]
    return list(dict.fromkeys(one.says for one in answers if not any(report.seen for report in one.reports)))


def _denied(state: State, base: Rulebase) -> list[str]:
    """Return the signs that were said unasked not to be there, in words."""
    told = [report for one in state.known if isinstance(one, Told) for report in one.reports]
    return list(dict.fromkeys(fill(base.signs[one.sign].title, one.side) for one in told if not one.seen))
