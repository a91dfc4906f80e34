"""Figures in a sentence, as readings: 'idles at 1300', 'left 240 right 205', '14.2 volts running', '2 and a half turns out'.

A figure without a unit is taken where its size leaves one: a gauge that shows 240 shows millimetres of mercury, a
compression of 145 is in psi. What could be anything else (a speed, a distance, a time, a cold idle) is left alone.
"""

import re
from collections.abc import Iterator, Sequence

import msgspec

from advisor.case import Measured
from advisor.errors import AdvisorError
from advisor.intake.spoken import spoken
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH, Side, other

ONES = dict(
    zip("one two three four five six seven eight nine ten eleven twelve".split(), range(1, 13), strict=True)
) | {"a": 1, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "eighteen": 18, "twenty": 20}
ONE = "|".join(ONES)
IN_WORDS = (
    (re.compile(rf"\b({ONE}|\d+) and (?:a|one) half\b"), lambda f: f"{_number(f[1])}.5"),
    (re.compile(rf"\b({ONE}|\d+) and (?:a|three) quarters?\b"), lambda f: f"{_number(f[1])}.{'75' if 'three' in f[0] else '25'}"),
    (re.compile(rf"\b({ONE}|\d+)(?: |-)?(?:thousand|grand)\b"), lambda f: f"{_number(f[1]) * 1000}"),
    (re.compile(rf"\b({ONE}|\d+)(?: |-)?hundred\b"), lambda f: f"{_number(f[1]) * 100}"),
    (re.compile(r"\b(\d{1,2}),(\d{3})\b"), lambda f: f"{f[1]}{f[2]}"),
    (re.compile(r"\b(\d+) 1/2\b"), lambda f: f"{f[1]}.5"),
    (re.compile(rf"\b({ONE}) (turns|thou|mm|volts)\b"), lambda f: f"{_number(f[1])} {f[2]}"),
)
WORDS_FOR = {
    "revs": "rpm",
    "rev": "rpm",
    "r.p.m": "rpm",
    "volts": "V",
    "volt": "V",
    "v": "V",
    "mm hg": "mmHg",
    "mmhg": "mmHg",
    "cmhg": "cmHg",
    "cm hg": "cmHg",
    "inhg": "inHg",
    "in hg": "inHg",
    "kpa": "kPa",
    "turn": "turns",
    "k": "kohm",
    "kohms": "kohm",
    "k ohm": "kohm",
    "k ohms": "kohm",
    "ohms": "ohm",
    "megohm": "Mohm",
    "megohms": "Mohm",
    "mohm": "Mohm",
    "metres": "m",
    "meters": "m",
    "meter": "m",
    "metre": "m",
    "seconds": "s",
    "second": "s",
    "secs": "s",
    "sec": "s",
    "degrees": "deg",
    "thousandths": "thou",
    "ml a minute": "ml/min",
    "ml per minute": "ml/min",
    "ml/min": "ml/min",
    "percent": "%",
    "per cent": "%",
    "bars": "bar",
    "pounds": "psi",
} | {one: one for one in ("rpm", "bar", "psi", "thou", "mm", "cm", "turns", "kohm", "ohm", "m", "s", "deg", "%")}
OTHERWISE = (  # a figure before one of these is no reading
    *("mph", "km", "kms", "kmh", "km/h", "mile", "miles", "minute", "minutes", "min", "mins", "hour", "hours", "day", "days"),
    *("week", "weeks", "month", "months", "year", "years", "litre", "litres", "liter", "liters", "gallon", "mpg", "gear"),
    *("times", "time", "cylinder", "cylinders", "st", "nd", "rd", "th", "weather", "or", "of", "per", "pints", "nights"),
)
UNITS = "|".join(re.escape(one) for one in sorted((*WORDS_FOR, *OTHERWISE), key=lambda one: -len(one)))
FIGURE = re.compile(
    rf"(?<![\w./])(?P<figure>\d+(?:\.\d+)?)(?P<odd>/\d+)?(?:\s*(?P<unit>(?:{UNITS}))(?![\w])|(?P<stuck>\w+))?(?!\w)"
)
STATEMENT = re.compile(r"[.;!?]+(?!\d)\s*|\n")
SIDE_SAID = re.compile(r"\b(left|right)\b(?! (?:up|away|off))")
SAME_AS = re.compile(r"\bsame as the (?:left|right|other)")
RANGE = re.compile(r"(?:from |between )?\b(\d+(?:\.\d+)?)\s*(?:rpm|revs)?\s*(?:to|and|down to|up to|-)\s*(\d+(?:\.\d+)?)\b")
SHORTED = re.compile(r"\bshort(?:s|ed|ing)?\b|\b(?:pull|unplug|take|pulling|pulled)\w* (?:off )?(?:the |my )?(?:left |right )?(?:plug|cap|lead|wire|ht)|\b(?:cap|lead|plug wire) (?:off|pulled)")
HUNTS = re.compile(r"\bhunt|up and down|upanddown|\bbetween\b|\bswing|\bsurg|\bwander|\boscillat")
TOPICS = (  # the reading that a figure without a unit belongs to: the last of these before it
    ("compression", re.compile(r"\bcompression")),
    ("drop", SHORTED),
    ("column", re.compile(r"\bgaug|\bcolumn|\bvacuum|\bdepression|\bmanomet|\bsync|\bbalanc")),
    ("points", re.compile(r"\bpoints?\b|\bbreaker")),
    ("plug gap", re.compile(r"\bplug gap|\bgap (?:of|on) the plug")),
    ("mixture", re.compile(r"\bmixture|\bpilot screw|\bair screw|\bscrews?\b|\bturns? out")),
    ("inlet", re.compile(r"\binlet|\bintake valve|\bin valve")),
    ("exhaust", re.compile(r"\bexhaust valve|\bex valve|\bexhausts?\b")),
    ("slack", re.compile(r"\bfree ?play|\bslack|\bcable")),
    ("battery", re.compile(r"\bbattery|\bcharg")),
    ("cap", re.compile(r"\bcap\b")),
    ("lead", re.compile(r"\blead\b|\bleads\b")),
    ("primary", re.compile(r"\bprimary")),
    ("secondary", re.compile(r"\bsecondary")),
    ("leak down", re.compile(r"\bleak ?down|\bleakdown")),
    ("level", re.compile(r"\bfuel level|\bfuel depth|\bbowl")),
    ("spark", re.compile(r"\bspark")),
    ("dwell", re.compile(r"\bdwell")),
    ("hang", re.compile(r"\bhang|\bcome down|\bcomes down|\bdrop back|\bfall back|\bsettle")),
    ("idle", re.compile(r"\bidl|\btick|\brevs?\b|\btacho|\brev counter|\bsits at|\bslow running|\bstand ?gas|\bralenti|\bit is up at|\bup at")),
)
RUNNING = re.compile(r"\brunning|\brevs|\brpm|\bcharg|\bengine on")
NOT_THE_IDLE = re.compile(r"(?:\babove|\bpast|\bover|\bat|\buntil|\bin|\bbelow|\bunder|\bcruising at|\bheld at|\bby)\s*(?:about |around )?$")
IDLES_AT = re.compile(r"(?:\bidl\w*|\btick\w*|\bsits|\bup|\bsays|\bshows|\breads|\bsettles|\bsteady|\bstays|\bstands)\s*(?:steady |enough )*(?:at|about|around|on|is)?\s*(?:about |around |nearly |over |only |steady at )*$")
BELOW_WHICH_NOT = re.compile(r"\b(?:not|will|wont|cannot|cant)\b.*\b(?:idl|tick|settle|run)\w*(?: over)? (?:below|under)\s*$")
MORE = re.compile(r"\s*(?:rpm |revs )?(?:higher|lower|more|less|faster|slower|over|too)\b")
JOINS = re.compile(r"\b(?:joins?|chimes?|comes?|cuts?|kicks?|starts?)\b[^,]{0,12}\bin\b[^,]{0,12}$")
NO_CHANGE = re.compile(r"\bnothing (?:at all )?(?:changes|happens|changed|happened)|\bno (?:change|difference|drop)|\b(?:does|do)(?: not|nt) (?:change|drop|alter)")
NOTHING_ON = re.compile(r"\b(?:nothing|zero|nil|none|no reading)(?: at all)? on the (left|right)")
LEAST_IDLE, MOST_IDLE = 400, 3_500  # 1/min; a figure outside is no warm idle
MMHG_FROM, PSI_FROM, MOST_DROP = 60.0, 25.0, 1_000


SIDE_BEFORE = re.compile(r"\b(?:left|right)(?: side| one| is| at| reads| read| shows)*\s*$")
MOST_TURNS, LEAST_COLUMN = 8, 3


class Figure(msgspec.Struct, frozen=True):
    """One figure of a sentence: its value, its unit as a reading has it, what it is of and on which side."""

    value: str
    unit: str
    topic: str
    side: Side
    before: str


def told_readings(sentence: str, base: Rulebase) -> list[Measured]:
    """Return the readings that a sentence gives; what cannot be one is left out."""
    text = _plain(sentence)
    found: dict[tuple[str, Side, str], Measured] = {}
    topic = ""
    for statement in STATEMENT.split(text):
        topic = _topic(statement) if not _topic(statement, first=True) == "" else topic
        for name, side, words in _readings(statement, topic, base):
            for one in _measured(name, side, words, base):
                found.setdefault((one.reading, one.side, one.given), one)
    return list(found.values())


def _plain(sentence: str) -> str:
    text = sentence.lower().replace("\N{RIGHT SINGLE QUOTATION MARK}", "'").replace("n't", "nt").replace("'s", " is").replace("tickover", "idle")
    for pattern, figure in IN_WORDS:
        text = pattern.sub(figure, text)
    return text


def _number(word: str) -> int:
    return ONES.get(word) or int(word)


def _topic(text: str, *, first: bool = False) -> str:
    """Return what a text was about last; the first thing, if that is asked."""
    at = [(match.start(), name) for name, pattern in TOPICS for match in pattern.finditer(text)]
    if not at:
        return ""
    return min(at)[1] if first else max(at)[1]


def _readings(statement: str, topic: str, base: Rulebase) -> Iterator[tuple[str, Side, str]]:
    """Yield each reading of a statement as (name, side, figure with unit)."""
    shorted = bool(SHORTED.search(statement))
    spread = RANGE.search(statement)
    if spread and shorted and float(spread[1]) > float(spread[2]) >= LEAST_IDLE / 2:
        yield "idle-speed", None, f"{spread[1]} rpm"
        yield "drop-idle", _one_side(statement), f"{float(spread[1]) - float(spread[2]):g} rpm"
        return
    if spread and HUNTS.search(statement) and LEAST_IDLE <= float(spread[1]) < float(spread[2]) <= MOST_IDLE:
        yield "idle-swing", None, f"{float(spread[2]) - float(spread[1]):g} rpm"
        return
    if shorted and NO_CHANGE.search(statement) and _one_side(statement):
        yield "drop-idle", _one_side(statement), "0 rpm"
    if topic == "column" and (none := NOTHING_ON.search(statement)):
        yield "column-idle", _side(none[1]), "0 mmHg"
    for figure in _figures(statement, topic, spread):
        name, unit = _reading_of(figure, statement, shorted)
        if name in base.readings:
            alike = SAME_AS.search(statement) is not None
            sides: Sequence[Side] = (figure.side,) if (figure.side and not alike) or not base.readings[name].sided else BOTH
            for side in sides:
                yield name, side if base.readings[name].sided else None, f"{figure.value} {unit}"


def _one_side(statement: str) -> Side:
    found = set(SIDE_SAID.findall(statement))
    return _side(found.pop()) if len(found) == 1 else None


def _side(word: str) -> Side:
    return "left" if word == "left" else "right"


def _figures(statement: str, topic: str, spread: re.Match[str] | None) -> Iterator[Figure]:
    marks = [*FIGURE.finditer(statement)]
    sides = [*SIDE_SAID.finditer(statement)]
    first = bool(sides and marks and sides[0].start() < marks[0].start())
    for number, mark in enumerate(marks):
        if mark["stuck"] or mark["odd"] or mark["unit"] in OTHERWISE:
            continue
        if spread and spread.start(1) == mark.start():
            continue  # from this to that: the second is how it is
        until = marks[number + 1].start() if number + 1 < len(marks) else len(statement)
        if first:
            near = [one[1] for one in sides if one.start() < mark.start()][-1:]
        else:
            near = [one[1] for one in sides if mark.end() <= one.start() < until][:1]
        side = _side(near[0]) if near else _one_side(statement)
        before = statement[: mark.start()]
        yield Figure(mark["figure"], WORDS_FOR.get(mark["unit"] or "", ""), _topic(before) or _topic(statement) or topic, side, before)


def _reading_of(figure: Figure, statement: str, shorted: bool) -> tuple[str, str]:  # noqa: PLR0911 - one return a kind
    """Return which reading a figure is, and its unit; nothing if it can be several."""
    value, unit, topic = float(figure.value), figure.unit, figure.topic
    by_unit = {
        "V": "charging-volts" if RUNNING.search(statement) else "battery-rest",
        "turns": "mixture-turns" if "out" in statement or topic == "mixture" else "",
        "m": "altitude" if value >= LEAST_IDLE else "",
        "thou": {"points": "points-gap", "plug gap": "plug-gap", "inlet": "clearance-inlet", "exhaust": "clearance-exhaust"}.get(topic, ""),
        "mm": {
            "points": "points-gap",
            "plug gap": "plug-gap",
            "inlet": "clearance-inlet",
            "exhaust": "clearance-exhaust",
            "slack": "cable-slack",
            "level": "fuel-level",
            "spark": "spark-reach",
        }.get(topic, ""),
        "kohm": {"cap": "cap-resistance", "lead": "plug-path-resistance", "secondary": "coil-secondary"}.get(topic, ""),
        "Mohm": {"cap": "cap-resistance", "lead": "plug-path-resistance"}.get(topic, ""),
        "ohm": {"primary": "coil-primary", "cap": "cap-resistance"}.get(topic, ""),
        "%": "leak-down" if topic == "leak down" else "",
        "ml/min": "fuel-flow",
        "s": "hang-time" if topic == "hang" else "",
        "deg": "points-dwell" if topic == "dwell" else "",
        "mmHg": "column-idle",
        "cmHg": "column-idle",
        "inHg": "column-idle",
        "kPa": "compression" if topic == "compression" else "column-idle",
        "bar": "compression" if topic == "compression" else "",
        "psi": "compression" if topic == "compression" else "",
    }
    if unit and unit != "rpm":
        return by_unit.get(unit, ""), unit
    if topic == "compression" and not unit:
        return "compression", "psi" if value > PSI_FROM else "bar"
    if (shorted or topic == "drop") and value <= MOST_DROP and not _is_level(figure):
        return "drop-idle", "rpm"
    if not unit and topic == "mixture" and value < MOST_TURNS and "turn" in statement:
        return "mixture-turns", "turns"
    if not unit and topic == "column" and value >= LEAST_COLUMN and not _is_level(figure) and "." not in figure.value:
        return "column-idle", "mmHg" if value >= MMHG_FROM else "cmHg"
    if not unit and SIDE_BEFORE.search(figure.before) and topic in {"idle", ""} and MMHG_FROM <= value < LEAST_IDLE:
        return "column-idle", "mmHg"
    if _is_idle(figure, statement):
        return "idle-speed", "rpm"
    return "", ""


def _is_level(figure: Figure) -> bool:
    """Whether a figure says at which revs something is."""
    return bool(re.search(r"(?:\bat|\babove|\bbelow|\bpast|\bfrom|\bunder|\buntil)\s*(?:about |around )?$", figure.before)) and (
        float(figure.value) >= LEAST_IDLE
    )


def _is_idle(figure: Figure, statement: str) -> bool:
    value = float(figure.value)
    if not LEAST_IDLE <= value <= MOST_IDLE or figure.topic not in {"idle", "hang", ""}:
        return False
    after = statement[len(figure.before) + len(figure.value) :][:20]
    if re.search(r"\bcold\b", after) or MORE.match(after) or JOINS.search(figure.before):
        return False
    if re.search(r"\b(?:to|until|about|around|at nearly|is)\s*(?:about |around )?$", figure.before):
        return bool(figure.topic) or figure.unit == "rpm"
    if BELOW_WHICH_NOT.search(figure.before) or IDLES_AT.search(figure.before):
        return True
    if figure.unit == "rpm" and figure.topic and "from" in figure.before[-8:]:
        return True
    return bool(figure.topic == "idle" and not NOT_THE_IDLE.search(figure.before) and re.search(r"\b(?:idle|tickover)\s*(?:speed)?\s*$", figure.before))


def _measured(name: str, side: Side, words: str, base: Rulebase) -> list[Measured]:
    try:
        return spoken(name, f"{side or ''} {words}".strip(), base)
    except AdvisorError:
        return []
