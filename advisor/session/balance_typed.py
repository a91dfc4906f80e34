"""What is typed in a balance: short figures ('240 205 1050'), and screws turned otherwise than asked."""

import re

from advisor.balance.turns import ADJUSTER, MIXTURE, STOP, WHOLE, Screw, Turn
from advisor.errors import AdvisorError
from advisor.intake.spoken import spoken
from advisor.rulebase.model import Rulebase
from advisor.session.answer_in_words import InWords
from advisor.session.balance_so_far import REVS
from advisor.session.events import ScrewsTurned
from advisor.session.next_question import Question
from advisor.sides import Side

NUMBER = r"[-+]?\d+(?:\.\d+)?"
GIVE = r"(?:\s*(?:\+/-|±)\s*\d+(?:\.\d+)?)?"  # how closely it is known
SHORT = re.compile(  # left, right and, at idle, the revs: '240 205 1050', 'l 24 r 20.5 cmHg, 1050 rpm'
    rf"^(?:l(?:eft)?\s*)?(?P<left>{NUMBER}{GIVE})(?:\s*[,;/]\s*|\s+)(?:r(?:ight)?\s*)?(?P<right>{NUMBER}{GIVE})"
    rf"(?P<between>\s*[a-zA-Z][a-zA-Z ]*?)??(?:(?:\s*[,;/]\s*|\s+)(?P<revs>\d{{3,4}}{GIVE})(?:\s*(?:rpm|revs))?)?"
    r"(?P<unit>\s*[a-zA-Z][^\d]*)?$",
    re.IGNORECASE,
)
AHEAD = re.compile(
    rf"^(?P<side>left|right|l|r)\s+(?P<by>{NUMBER})\s*(?P<unit>[a-zA-Z][^,;]*?)?\s*(?:higher|more|up)"
    r"(?:[,;\s]+(?P<revs>\d{3,4})(?:\s*(?:rpm|revs))?)?$",
    re.IGNORECASE,
)
FEW = re.compile(rf"^{NUMBER}(?:(?:\s*,\s*|\s+){NUMBER}){{0,4}}\s*(?:rpm|revs|%)?$", re.IGNORECASE)
FAR = r"(?:half of 1/8|(?:\d+ )?\d+/\d+|\d+(?:\.\d+)?)"
ONE = re.compile(
    rf"(?P<side>left|right|l|r)\s*(?P<screw>idle stop|stop|mixture screw|mixture|cable adjuster|adjuster|cable)?\s*"
    rf"(?P<way>in|out)\s+(?P<far>{FAR})(?:\s*(?:of a )?turns?)?",
    re.IGNORECASE,
)
TURNED = re.compile(
    rf"^(?:turned\s+)?{ONE.pattern.replace('?P<', '?P<a_')}(?:(?:\s*[,;]\s*|\s+and\s+).*)?$", re.IGNORECASE
)
SCREWS: dict[str, Screw] = {"stop": STOP, "mixture": MIXTURE, "adjuster": ADJUSTER, "cable": ADJUSTER}
MOST_TURNS = 4
SIDES: dict[str, Side] = {"l": "left", "r": "right"}


def figures(text: str, question: Question, base: Rulebase) -> InWords | None:
    """Return the readings of short figures, in the unit of the question if they have none; None for any other line.

    Raises AdvisorError where they make no reading.
    """
    if not question.takes:
        return None
    name = question.takes[0]
    if name == REVS or question.side:  # one figure, or several of one side
        several = FEW.match(text)
        side = f"{question.side} " if question.side else ""
        figures = ", ".join(f"{one} {question.unit}" for one in re.findall(NUMBER, text)) if several else ""
        return InWords(readings=tuple(spoken(name, side + figures, base))) if several else None
    if short := SHORT.match(text):
        unit = (short["unit"] or short["between"] or "").strip() or question.unit
        says, revs = f"left {short['left']} {unit} right {short['right']} {unit}", short["revs"]
    elif ahead := AHEAD.match(text):
        unit = (ahead["unit"] or "").strip() or question.unit
        says, revs = f"{SIDES[ahead['side'][0].lower()]} more by {ahead['by']} {unit}", ahead["revs"]
    else:
        return None
    found = spoken(name, says, base)
    if revs and len(question.takes) > 1:
        found += spoken(question.takes[1], f"{revs} rpm", base)
    return InWords(readings=tuple(found))


def turned(text: str, question: Question) -> ScrewsTurned | None:
    """Return what a line says was turned: 'left in 1/8', 'left stop in 1/4, right out 1/8'; None if it says none.

    Raises AdvisorError for a turn that no hand makes.
    """
    if not (question.turns and TURNED.match(text)):
        return None
    screw = question.turns[0].screw
    found = tuple(
        Turn(
            SIDES[one["side"][0].lower()],
            next((name for word, name in SCREWS.items() if word in (one["screw"] or "").lower()), screw),
            _sixteenths(one["far"]) * (1 if one["way"].lower() == "in" else -1),
        )
        for one in ONE.finditer(text)
    )
    return ScrewsTurned(found)


def _sixteenths(far: str) -> int:
    if far.lower().startswith("half"):
        return 1
    whole, _, part = far.rpartition(" ")
    over, _, under = part.partition("/")
    if under and not int(under):
        msg = f"'{far}' is no part of a turn; write it like 1/8, 1/4 or 1 1/2"
        raise AdvisorError(msg)
    turns = (float(whole or 0)) + (float(over) / float(under) if under else float(part))
    if not 0 < turns <= MOST_TURNS:
        msg = f"'{far}' turns are more than a balance takes; write it in turns, like 1/8, 1/4 or 1 1/2"
        raise AdvisorError(msg)
    return max(1, round(turns * WHOLE))
