"""What the templates say of a record: its kind, and figures in words as on every other screen."""

import re
import time
from collections.abc import Mapping, Sequence

from markupsafe import Markup

from advisor.balance.course_steps import DROPS
from advisor.case import Means
from advisor.report import Why, speaks_against, speaks_for
from advisor.rulebase.drawing import drawing
from advisor.rulebase.model import Rulebase
from advisor.session.balance_asked import CHECKS
from advisor.session.balance_so_far import METHOD, OIL_TUBE, UNIT, WATER_TUBE, led
from advisor.session.events import BALANCE, BENCH, PHONE, TUNE_UP
from advisor.session.hearing import MayMean
from advisor.session.next_question import BALANCED, CHECK, DONE, ENDS, HOLDS, LED, REPAIR, WELL, Question
from advisor.session.room import in_short
from advisor.session.shown import Caution, Shown
from advisor.session.state import State
from advisor.show.words import ago, ill_matched, minutes, per_cent, times
from advisor.sides import BOTH, fill
from advisor.web.fields import ticks
from advisor.web.pressed import pressed

NAMED = {BENCH: "Session", PHONE: "Call", BALANCE: "Balance", TUNE_UP: "Tune-up"}
SIDE = re.compile(r"\b(?:left|right|Left|Right)\b")
SWAPPED = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}
WHOSE = {"rider": "He rides it and has few tools.", "mechanic": "He does his own work.", "workshop": "Every tool."}


def kind_of(one: object) -> str:
    """Return the name of a record's kind."""
    return type(one).__name__


def offered(one: MayMean) -> str:
    """Return in words what may be meant; what is not there says so itself."""
    return f"suspected: {one.title}" if one.cause else one.title if one.seen else f"not: {one.title}"


def rest_of(text: str) -> str:
    """Return what a caution says after its first sentence."""
    return text.removeprefix(in_short(text)).strip()


def since(touched: float | None) -> str:
    """Return how long ago something was, of a time in seconds since 1970; '' if it is not known."""
    return "" if touched is None else ago(max(0.0, time.time() - touched))


def date(seconds: float | None) -> str:
    """Return a time as a date with the clock; '' if it is not known."""
    return "" if seconds is None else time.strftime("%d %B %Y, %H:%M", time.localtime(seconds))


def bar(probability: float) -> int:
    """Return how long the bar of a probability is drawn, in hundredths."""
    return round(100 * min(max(probability, 0.0), 1.0))


def remembered(means: Means, sure: frozenset[str] | None) -> str:
    """Return who is there with what, as it is remembered."""
    if sure is None and means.tools is None:
        return f"{means.person}, all tools"
    there = len(sure if sure is not None else means.tools or ())
    return f"{means.person}, {there} of the tools known to be there" if there else means.person


def sentence(text: str) -> str:
    """Return a text with a capital in front."""
    return f"{text[:1].upper()}{text[1:]}"


def for_it(why: Sequence[Why]) -> list[Why]:
    """Return what speaks for a cause."""
    return [one for one in why if speaks_for(one.factor)]


def against_it(why: Sequence[Why]) -> list[Why]:
    """Return what speaks against a cause."""
    return [one for one in why if speaks_against(one.factor)]


def grounds(why: Why, reasons: Mapping[str, str], base: Rulebase) -> list[str]:
    """Return what a sign rests on, in words: the figures behind it, and what the pages say of it and of the cause."""
    figures = [_by_title(fact, base) for fact in why.facts if not fact.startswith((f"{why.sign}:", f"{why.sign} "))]
    shown = [name for name in why.rules if name.endswith(f"/{why.sign}")]
    rules = [sentence(reasons[name]) for name in why.rules if name in reasons and name not in shown]
    return [*figures, *rules, *(f"This fault shows it: {reasons[name]}." for name in shown if name in reasons)]


def _by_title(fact: str, base: Rulebase) -> str:
    """Return a fact with the title of what it names: 'Depression at idle: left 231 mmHg, right 214 mmHg'."""
    named, _, says = fact.partition(": ")
    name, _, side = named.partition(" ")
    if name in base.readings:
        return f"{fill(base.readings[name].title, None)}: {f'{side} {says}'.strip()}"
    at = next((one for one in BOTH if one == side), None)
    return f"{fill(base.signs[name].title, at)}: {says}" if name in base.signs else fact


def signs(why: Sequence[Why]) -> list[str]:
    """Return signs in words, each with how much it moves the odds."""
    return [f"{'' if one.state == 'seen' else 'not: '}{one.title}: {times(one.factor)}" for one in why]


def in_pairs(says: Sequence[str]) -> list[list[tuple[int, str, str]]]:
    """Return answers by rows as (number, words, side): two that differ in their side alone stand on one, left first.

    >>> in_pairs(["The left plug is dry.", "The right plug is dry.", "Both are wet."])
    [[(1, 'The left plug is dry.', 'left'), (2, 'The right plug is dry.', 'right')], [(3, 'Both are wet.', '')]]
    """
    found: list[list[tuple[int, str, str]]] = []
    for number, text in enumerate(says, start=1):
        before = found[-1] if found else []
        if len(before) == 1 and before[0][1] != text and _mirrored(before[0][1]) == text:
            both = [(before[0][0], before[0][1], _side(before[0][1])), (number, text, _side(text))]
            found[-1] = sorted(both, key=lambda one: one[2])
        else:
            found.append([(number, text, "")])
    return found


def _mirrored(text: str) -> str:
    return SIDE.sub(lambda found: SWAPPED[found[0]], text)


def _side(text: str) -> str:
    """Return the side that a text names first."""
    found = SIDE.search(text)
    return found[0].lower() if found else ""


def picture(asked: Question, state: State, base: Rulebase) -> tuple[str, Markup] | None:
    """Return the title and the drawing of where to look, if the check that is asked has one.

    It comes from a closed grammar, without scripts, and so may stand in a page as it is.
    """
    check = base.checks.get(asked.name or _read_by(asked, state, base))
    if check is None or not check.drawing:
        return None
    return base.drawings[check.drawing].title, Markup(drawing(check.drawing, base))  # noqa: S704 - as said above


def _read_by(asked: Question, state: State, base: Rulebase) -> str:
    """Return the check that a step of the balance reads by; '' where the picture of that has another instrument."""
    name = CHECKS.get(next(iter(asked.takes), ""), "") if asked.kind == LED else ""
    tube = led(state.known, base).chosen.get(METHOD) in {WATER_TUBE, OIL_TUBE} if name else False
    return name if tube or not name or asked.unit == UNIT[DROPS] else ""


def texts(cautions: Sequence[Caution]) -> list[str]:
    """Return cautions in full."""
    return [one.says for one in cautions]


def asks(shown: Sequence[Shown]) -> dict[str, Shown]:
    """Return records by their kind."""
    return {kind_of(one): one for one in shown}


OF_RECORDS = (kind_of, offered, in_short, rest_of, since, date, bar, remembered, sentence, for_it, against_it, signs)
OF_A_PAGE = (grounds, pressed, texts, in_pairs, asks, ticks, ago, per_cent, minutes, ill_matched, times)
FOR_TEMPLATES: dict[str, object] = {
    **{one.__name__: one for one in (*OF_RECORDS, *OF_A_PAGE)},
    "NAMED": NAMED,
    "WHOSE": WHOSE,
    "ENDS": ENDS,
    "CHECK": CHECK,
    "LED": LED,
    "REPAIR": REPAIR,
    "HOLDS": HOLDS,
    "DONE": DONE,
    "WELL": WELL,
    "PHONE": PHONE,
    "BALANCE": BALANCE,
    "BALANCED": BALANCED,
}
