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
    (
        re.compile(rf"\b({ONE}|\d+) and (?:a|three) quarters?\b"),
        lambda f: f"{_number(f[1])}.{'75' if 'three' in f[0] else '25'}",
    ),
    (re.compile(r"\b(\d+(?:\.\d+)?)k(?= ?(?:rpm|revs)\b)"), lambda f: f"{float(f[1]) * 1000:g}"),
    (re.compile(r"\b(?:three|3) quarters? (?:of )?(?:a )?(?=turn)"), lambda _: "0.75 "),
    (re.compile(r"\bhalf (?:of )?(?:a )?(?=turn)"), lambda _: "0.5 "),
    (re.compile(r"\b(?:a |one )?quarter (?:of )?(?:a )?(?=turn)"), lambda _: "0.25 "),
    (re.compile(r"\b([lr]) (?=\d)"), lambda f: {"l": "left ", "r": "right "}[f[1]]),
    (re.compile(rf"\b({ONE}|\d+)(?: |-)?(?:thousand|grand)\b"), lambda f: f"{_number(f[1]) * 1000}"),
    (re.compile(rf"\b({ONE}|\d+)(?: |-)?hundred\b"), lambda f: f"{_number(f[1]) * 100}"),
    (re.compile(r"\b(\d{1,2}),(\d{3})\b"), lambda f: f"{f[1]}{f[2]}"),
    (re.compile(r"\b(\d+) 1/2\b"), lambda f: f"{f[1]}.5"),
    (
        re.compile(rf"\b({ONE}) (turns?|thou|mm|volts|seconds?|secs|inches|bar|degrees)\b"),
        lambda f: f"{_number(f[1])} {f[2]}",
    ),
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
    "kilohm": "kohm",
    "kilohms": "kohm",
    "inches": "inHg",
    "inch": "inHg",
    "feet": "ft",
    "foot": "ft",
    "mls": "ml",
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
} | {one: one for one in ("rpm", "bar", "psi", "thou", "mm", "cm", "turns", "kohm", "ohm", "m", "s", "deg", "%", "ft")}
OTHERWISE = (  # a figure before one of these is no reading
    *(
        "mph",
        "km",
        "kms",
        "kmh",
        "km/h",
        "mile",
        "miles",
        "minute",
        "minutes",
        "min",
        "mins",
        "hour",
        "hours",
        "day",
        "days",
    ),
    *(
        "week",
        "weeks",
        "month",
        "months",
        "year",
        "years",
        "litre",
        "litres",
        "liter",
        "liters",
        "gallon",
        "mpg",
        "gear",
    ),
    *(
        "times",
        "time",
        "cylinder",
        "cylinders",
        "st",
        "nd",
        "rd",
        "th",
        "weather",
        "or",
        "of",
        "per",
        "pints",
        "nights",
    ),
)
UNITS = "|".join(re.escape(one) for one in sorted((*WORDS_FOR, *OTHERWISE), key=lambda one: -len(one)))
FIGURE = re.compile(
    rf"(?<![\w./])(?P<figure>\d+(?:\.\d+)?)(?P<odd>/\d+)?(?:\s*(?P<unit>(?:{UNITS}))(?![\w])|(?P<stuck>\w+))?(?!\w)"
)
STATEMENT = re.compile(r"[.;!?]+(?!\d)\s*|\n")
SIDE_SAID = re.compile(r"\b(left|right)\b(?! (?:up|away|off))")
SAME_AS = re.compile(r"\bsame as the (?:left|right|other)")
RANGE = re.compile(
    r"(?:from |between )?\b(\d+(?:\.\d+)?)\s*(?:rpm|revs)?\s*(?:to|and|down to|up to|-)\s*(\d+(?:\.\d+)?)\b"
)
SHORTED = re.compile(
    r"\b(?:kill|disconnect|ground|earth)(?:s|ed|ing)? (?:out )?(?:the |my )?(?:left|right)\b|\bdrop of \d+|\bshort(?:s|ed|ing)?\b|\b(?:pull|unplug|take|pulling|pulled)\w* (?:off )?(?:the |my )?(?:left |right )?(?:plug|cap|lead|wire|ht)|\b(?:cap|lead|plug wire) (?:off|pulled)"
)
HUNTS = re.compile(r"\bhunt|up and down|upanddown|\bbetween\b|\bswing|\bsurg|\bwander|\boscillat")
TOPICS = (  # the reading that a figure without a unit belongs to: the last of these before it
    ("compression", re.compile(r"\bcomp\b|\bcompression")),
    ("drop", SHORTED),
    ("valve", re.compile(r"\bvalves?\b|\btappet|\bclearance")),
    ("timing", re.compile(r"\btiming|\bbtdc|\badvance")),
    ("co", re.compile(r"\bco\b|\bcarbon monoxide")),
    ("column", re.compile(r"\bmercury|\bgaug|\bcolumn|\bvacuum|\bdepression|\bmanomet|\bsync|\bbalanc")),
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
    (
        "idle",
        re.compile(
            r"\bidl|\btick|\brevs?\b|\btacho|\brev counter|\bsits at|\bslow running|\bstand ?gas|\bralenti|\bit is up at|\bup at"
        ),
    ),
)
RUNNING = re.compile(r"\brunning|\brevs|\brpm|\bcharg|\bengine on")
NOT_THE_IDLE = re.compile(
    r"(?:\babove|\bpast|\bover|\bat|\buntil|\bin|\bbelow|\bunder|\bcruising at|\bheld at|\bby)\s*(?:about |around )?$"
)
IDLES_AT = re.compile(
    r"(?:\bidl\w*|\btick\w*|\bsits|\bup|\bsays|\bshows|\breads|\bsettles|\bsteady|\bstays|\bstands)\s*(?:steady |enough )*(?:at|about|around|on|is)?\s*(?:about |around |nearly |over |only |steady at )*$"
)
GOES_TO = re.compile(
    r"\b(?:drop|fall|sag|climb|ris|creep|go|come|set|settl)\w*(?: up| down| back)* (?:to|at)\s*(?:about |around |only )?$|\bidle (?:speed )?(?:of|set to|set at)\s*(?:about )?$"
    r"|\b(?:revs|rpm) (?:sit|stay|stick|are)\w*(?: stuck)?(?: at| on)?\s*(?:about )?$|\bstuck at\s*(?:about )?$"
)
BELOW_WHICH_NOT = re.compile(
    r"\b(?:not|will|wont|cannot|cant)\b.*\b(?:idl|tick|settle|run|go|come|drop)\w*(?: over| down)? (?:below|under)\s*$"
)
MORE = re.compile(r"\s*(?:rpm |revs )?(?:higher|lower|more|less|faster|slower|over|too)\b")
JOINS = re.compile(r"\b(?:joins?|chimes?|comes?|cuts?|kicks?|starts?)\b[^,]{0,12}\bin\b[^,]{0,12}$")
NO_CHANGE = re.compile(
    r"\bnothing (?:at all )?(?:changes|happens|changed|happened)|\bno (?:change|difference|drop)|\b(?:does|do)(?: not|nt) (?:change|drop|alter)"
)
NOTHING_ON = re.compile(r"\b(?:nothing|zero|nil|none|no reading)(?: at all)? on the (left|right)")
SWINGS_BY = re.compile(r"\b(?:by|of|about) (\d{2,4})(?: rpm| revs)?\b")
OPEN = re.compile(r"\bopen circuit|\binfinit[ey]|\breads open\b|\bover ?load")
LEAST_IDLE, MOST_IDLE = 400, 3_500  # 1/min; a figure outside is no warm idle
MMHG_FROM, PSI_FROM, MOST_DROP = 60.0, 25.0, 1_000


FALLS = re.compile(r"\bhang|\bcome down|\bcomes down|\bdrop|\bfall|\bsettle|\bback (?:down )?to idle")
VALVE = re.compile(r"^[\d.]+(?: mm)?(?: on the| on| for the| the)? (?P<which>inlet|intake|in|exhaust|ex)\b")
LEAST_GAP, MOST_GAP = 0.01, 0.6  # mm
FLAT, FULL = 9, 17  # V
COLUMN_UNITS = {"cm": "cmHg", "mm": "mmHg", "inHg": "inHg", "V": "V"}
PAIR = re.compile(
    r"\b(left|right)\b\W+(?:[a-z]+ ){0,3}(\d+(?:\.\d+)?)(?![\w%]| ?(?:psi|bar|mm|rpm|turn))\W+(?:(?:and|but|the|only) ){0,3}(left|right)\b\W+(?:[a-z]+ ){0,3}(\d+(?:\.\d+)?)(?![\w%]| ?(?:psi|bar|mm|rpm|turn))"
)
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
    text = (
        sentence.lower()
        .replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
        .replace("n't", "nt")
        .replace("'s", " is")
        .replace("tickover", "idle")
    )
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
    if HUNTS.search(statement) and (swing := SWINGS_BY.search(statement)):
        yield "idle-swing", None, f"{swing[1]} rpm"
    if OPEN.search(statement) and (
        name := {"cap": "cap-resistance", "lead": "plug-path-resistance"}.get(_topic(statement))
    ):
        yield name, _side(SIDE_SAID.findall(statement)[-1]) if SIDE_SAID.search(statement) else None, "open circuit"
    pair = None if topic in {"compression", "drop"} or shorted else PAIR.search(statement)
    if (
        pair
        and pair[1] != pair[3]
        and max(float(pair[2]), float(pair[4])) < LEAST_IDLE
        and float(pair[2]) >= LEAST_COLUMN
    ):
        unit = "mmHg" if float(pair[2]) >= MMHG_FROM else "cmHg"
        yield "column-idle", _side(pair[1]), f"{pair[2]} {unit}"
        yield "column-idle", _side(pair[3]), f"{pair[4]} {unit}"
        return
    last: tuple[str, str, Side] = ("", "", None)
    for figure in _figures(statement, topic, spread):
        name, unit = _reading_of(figure, statement, shorted)
        if not figure.unit and last[0] and figure.side and last[2] and figure.side != last[2]:
            name, unit = last[:2]
        last = (name, unit, figure.side)
        if name in base.readings:
            alike = SAME_AS.search(statement) is not None
            sides: Sequence[Side] = (
                (figure.side,) if (figure.side and not alike) or not base.readings[name].sided else BOTH
            )
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
        yield Figure(
            mark["figure"],
            WORDS_FOR.get(mark["unit"] or "", ""),
            _topic(before) or _topic(statement) or topic,
            side,
            before,
        )


def _reading_of(figure: Figure, statement: str, shorted: bool) -> tuple[str, str]:  # noqa: PLR0911 - one return a kind
    """Return which reading a figure is, and its unit; nothing if it can be several."""
    value, unit, topic = float(figure.value), figure.unit, figure.topic
    by_unit = {
        "V": "charging-volts" if RUNNING.search(statement) else "battery-rest",
        "turns": "mixture-turns" if "out" in statement or topic == "mixture" else "",
        "m": "altitude" if value >= LEAST_IDLE else "",
        "ft": "altitude" if value >= MOST_IDLE / 2 else "",
        "thou": {
            "points": "points-gap",
            "plug gap": "plug-gap",
            "inlet": "clearance-inlet",
            "exhaust": "clearance-exhaust",
        }.get(topic, ""),
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
        "%": "leak-down" if "leak" in statement else "exhaust-co" if topic == "co" else "",
        "cm": "",
        "ml/min": "fuel-flow",
        "s": "hang-time" if FALLS.search(statement) else "",
        "deg": "points-dwell" if topic == "dwell" else _timing(statement),
        "mmHg": "column-idle",
        "cmHg": "column-idle",
        "inHg": "column-idle" if topic == "column" or "hg" in statement else "",
        "kPa": "compression" if topic == "compression" else "column-idle",
        "bar": "compression" if "tyre" not in statement else "",
        "psi": "compression" if "tyre" not in statement else "",
    }
    if unit in COLUMN_UNITS and (topic == "column" or "mercury" in statement):
        return "column-idle", COLUMN_UNITS[unit]
    if not unit and (valve := VALVE.search(statement[len(figure.before) :])) and LEAST_GAP < value < MOST_GAP:
        return f"clearance-{'exhaust' if valve['which'].startswith('ex') else 'inlet'}", "mm"
    if not unit and "voltage" in statement and FLAT < value < FULL:
        return "battery-rest", "V"
    if unit == "V" and "crank" in statement:
        return "", ""
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


def _timing(statement: str) -> str:
    if not re.search(r"\btiming|\bbtdc|\badvance", statement):
        return ""
    return "timing-full" if re.search(r"\bfull", statement) else "timing-idle"


def _is_level(figure: Figure) -> bool:
    """Whether a figure says at which revs something is."""
    return bool(
        re.search(r"(?:\bat|\babove|\bbelow|\bpast|\bfrom|\bunder|\buntil)\s*(?:about |around )?$", figure.before)
    ) and (float(figure.value) >= LEAST_IDLE)


def _is_idle(figure: Figure, statement: str) -> bool:
    value = float(figure.value)
    if not LEAST_IDLE <= value <= MOST_IDLE or figure.topic not in {"idle", "hang", ""}:
        return False
    after = statement[len(figure.before) + len(figure.value) :][:20]
    if re.search(r"\bcold\b", after) or MORE.match(after) or JOINS.search(figure.before):
        return False
    if figure.unit == "rpm" and re.match(
        r"(?: rpm| revs)? (?:at idle|idling|when idling|on tickover|at tickover)", after
    ):
        return True
    if GOES_TO.search(figure.before):
        return True
    if re.search(r"\b(?:to|until|about|around|at nearly|is)\s*(?:about |around )?$", figure.before):
        return bool(figure.topic) or figure.unit == "rpm"
    if BELOW_WHICH_NOT.search(figure.before) or IDLES_AT.search(figure.before):
        return True
    if figure.unit == "rpm" and figure.topic and "from" in figure.before[-8:]:
        return True
    return bool(
        figure.topic == "idle"
        and not NOT_THE_IDLE.search(figure.before)
        and re.search(r"\b(?:idle|tickover)\s*(?:speed)?\s*$", figure.before)
    )


def _measured(name: str, side: Side, words: str, base: Rulebase) -> list[Measured]:
    try:
        return spoken(name, f"{side or ''} {words}".strip(), base)
    except AdvisorError:
        return []
