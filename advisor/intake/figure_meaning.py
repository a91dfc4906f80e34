"""Which reading a figure is, and in which unit: by its unit, by what it is about, and by its size.

The sizes by which a figure without a unit is told are common practice, no source; a foot is 0.3048 m by definition.
"""

import re

from advisor.intake.figures_said import Figure

RUNNING = re.compile(r"\brunning|\brevs|\brpm|\bcharg|\bengine on")
HOW = (
    r"(?:there|here|steady|enough|happy|just|now|dead|bang|right|rock|solid|level|well|fine|sweet|still|all day|\w+ly)"
)
IDLES_AT = re.compile(
    r"(?:\bidl\w*|\btick\w*(?: over| along)?|\bsits|\bsat|\bsitting|\bslow running|\bup|\bsays|\bshows|\breads"
    r"|\bsettles|\bsteady|\bstays|\bstands)"
    rf",? *(?:{HOW},? )*(?:is |was )?(?:at|about|around|on|is)?\s*"
    r"(?:about |around |nearly |over |only |steady at )*$"
)
HOW_FAST_AT = re.compile(  # the idle is fine, maybe a touch high at 1100
    r"\bidl\w*[^.;\d]{0,40}\b(?:high|low|fast|slow|quick|steady|even|ok|okay|fine|good|well|happy|\w+ly)"
    r" (?:at|on)\s*(?:about |around )?$"
    r"|\bhold\w*(?: (?:the|its|her|a))? (?:revs|idle)(?: steady)? (?:at|on)\s*(?:about |around )?$"
)
GOES_TO = re.compile(
    r"\b(?:drop|fall|sag|climb|ris|creep|go|come|set|settl)\w*(?: up| down| back)* (?:to|at)"
    r"\s*(?:about |around |only )?$"
    r"|\bup to\s*$|\bhover\w* (?:around|at|about)\s*$"
    r"|\bidle (?:speed )?(?:of|set to|set at)\s*(?:about )?$|\bstuck at\s*(?:about )?$"
    r"|\b(?:revs|rpm) (?:sit|stay|stick|are)\w*(?: stuck)?(?: at| on)?\s*(?:about )?$"
)
BELOW_WHICH_NOT = re.compile(
    r"\b(?:not|will|wont|cannot|cant)\b.*\b(?:idl|tick|settle|run|go|come|drop)\w*(?: over| down)?"
    r" (?:below|under|(?:lower|less|slower) than)\s*$"
)
MORE = re.compile(
    r"\s*(?:(?:rpm|revs|mm|cm|mmhg|cmhg|inches|thou|psi|bar|turns?) (?:of mercury |hg )?)?"
    r"(?:higher|lower|more|less|faster|slower|over|too)\b"
)
JOINS = re.compile(r"\b(?:joins?|chimes?|comes?|cuts?|kicks?|starts?)\b[^,]{0,12}\bin\b[^,]{0,12}$")
OF_OIL = re.compile(r"\bof oil\b|\b(?:mm|cm|inch|inches) oil\b|\boil (?:tube|manometer|column)")
IN_A_TUBE = re.compile(rf"\bmercury\b|hg\b|\bof water\b|{OF_OIL.pattern}")
APART = re.compile(r"\bdiffer|\bapart\b")
LENGTHS = {"cm": "cm", "mm": "mm", "inHg": "in"}
FULL_ADVANCE = re.compile(r"\bfull\b|\bflat out\b|\ball in\b|\bfully\b")
OF_TIMING = re.compile(r" (?:degrees )?(?:btdc|before|(?:at|on) (?:idle|full)|flat out|fully? )\b")
MOST_TIMING = 60  # deg
TIMING = re.compile(r"\btiming|\bbtdc|\badvance|\bbefore (?:top|tdc)")
AT_REVS = re.compile(r"(?:\bat|\babove|\bbelow|\bpast|\bfrom|\bunder|\buntil)\s*(?:about |around )?$")
COLD = re.compile(r"\bcold\b")
# Revs that come and go: where they hang, or what they are now and then, is not the idle to which it settles.
PASSING = re.compile(
    r"\bafter (?:a|each|every) (?:blip|rev)|\bhang\w*(?: up)? (?:at|around|about|on|near)\b"
    r"|\bat (?:the |traffic )?lights\b|\bsometimes\b|\bnow and (?:then|again)\b|\boccasional"
)
WAS, NOW = re.compile(r"\bwas\b"), re.compile(r"\bnow\b")
NOT_SO_NOW = re.compile(
    r"\bused to\b|\bbooks?\b|\bmanual\b|\bshould\b|\bspec|\bsupposed\b|\bought to\b|\binstead of\s*$"
)
AT_IDLE = re.compile(r"(?: ?rpm| ?revs)?(?: on the \w+)? (?:at idle|idling|when idling|on idle)")
TO = re.compile(r"\b(?:to|until|about|around|at nearly|is)\s*(?:about |around )?$")
FROM = re.compile(r"\bfrom\s*(?:about )?$")
IDLES = re.compile(r"\bidl|\btick")
LEAST_HEIGHT, FOOT = 400, 0.3048  # m
LEAST_IDLE, MOST_IDLE, MOST_OF_COLUMNS = 400, 3_500, 1_600  # 1/min; a figure outside is no warm idle
MMHG_FROM, PSI_FROM, MOST_DROP = 60.0, 25.0, 1_000  # a column is in mmHg from here, else in cm; psi; 1/min
FALLS_BY = re.compile(r"\b(?:drops?|dropped|fell|falls?|fallen)\b(?! (?:back |down )?to\b)")
DROPS = re.compile(r"\bdrop|\bfall|\bfell|\blos|\bdown|\bby\b")
CRANKING = re.compile(r"\bcrank|\bstarter|\bturning over")
DROPS_TO = re.compile(
    r"\b(?:drop|fall|fell|sag|go|run)\w* (?:down |back )?(?:to|at|on at)\s*(?:about |only |around )?$"
)
FALLS = re.compile(
    r"\breturn|\b(?:come|comes|coming) (?:back|down)\b|\bhang|\bdrop|\bfall|\bsettle|\bdie down"
    r"|\bback (?:down )?to idle"
)
VALVE = re.compile(r"^(?: mm)?(?: on the| on| for the| the)? (?P<which>inlet|intake|in|exhaust|ex)\b")
VALVE_BEFORE = re.compile(r"\b(?:inlet|intake|in|exhaust|ex)s?(?: valves?| is| are| at| of)*\s*$")
MOST_INCHES = {"inlet": 0.015, "exhaust": 0.015}  # a valve clearance below is in inches; other gaps are wider
LEAST_INCHES = 0.0015  # in, of a valve clearance
LEAST_GAP, MOST_GAP = 0.01, 0.6  # mm
VOLTS = re.compile(r"\bvolt|\bbattery|\bcharg")
AT_SPEED = re.compile(r"[a-z ]{0,20}\bat (?:about )?(?:[1-6]\d{3}|[2-6](?:\.\d)?k)\b")  # with the engine running
VOLTS_BESIDE = re.compile(
    r" (?:at rest|standing|engine off|ignition off|running|charging)\b|[a-z ]{0,8}\bat (?:about )?[1-6]\d{3}\b"
)
STANDING = re.compile(r"\brest\b|\bstanding|\bengine off|\bstopped|\bnot running")
NEXT = re.compile(r",|\band\b")
CLAUSE = re.compile(r",|\band\b|\bbut\b|\bnormally\b|\busually\b")
CO_IS = re.compile(
    r"\bco\b(?: (?:is|was|at|of|reads?|reading|shows?|set|to|about|on|the|left|right|side|both|sides))*[ :=,]*$"
    r"|\bco\b[^.;]*\d[^.;]*\b(?:left|right)\W*$|\bco\b(?: \w+)? \d[\d.]* left\W+$"
)
MOST_LEAK = 100  # %
MOST_CO = 12  # %: more is another figure
LEAST_DWELL, MOST_DWELL = 40, 200  # deg, of the crank or of a breaker cam
MOST_AT_REST = 13.4  # V: a lead battery that is not being charged shows less; from memory
FLAT, FULL = 9, 17  # V, of a 12 V battery with and without the engine charging it
COLUMN_UNITS = {"cm": "cmHg", "mm": "mmHg", "inHg": "inHg"}
SIDE_BEFORE = re.compile(r"\b(?:left|right)(?: side| one| is| at| reads| read| shows)*\s*$")
OF_MIXTURE = re.compile(r"\bout\b|\blean|\brich|\bmixture|\b(?:pilot|air) screw")
CAP_AND_LEAD = re.compile(r"\blead and cap\b|\bcap and lead\b|\bcap with lead\b|\blead with cap\b")
TURNED = re.compile(r"\bturn|\bout\b|\d\.\d+$")
MOST_TURNS, LEAST_COLUMN = 8, 3  # of a mixture screw; cm
GAPS = {"points": "points-gap", "plug gap": "plug-gap", "inlet": "clearance-inlet", "exhaust": "clearance-exhaust"}
BY_TOPIC = {  # the readings that have a unit in common, by what a figure is about
    "thou": GAPS,
    "mm": GAPS | {"slack": "cable-slack", "level": "fuel-level", "spark": "spark-reach"},
    "kohm": {
        "cap": "cap-resistance",
        "lead": "plug-path-resistance",
        "plug": "plug-resistance",
        "secondary": "coil-secondary",
        "coil": "coil-secondary",
    },
    "Mohm": {"cap": "cap-resistance", "lead": "plug-path-resistance"},
    "ohm": {"primary": "coil-primary", "coil": "coil-primary", "cap": "cap-resistance", "lead": "plug-path-resistance"},
    "%": {"leak down": "leak-down", "co": "exhaust-co"},
    "turns": {"mixture": "mixture-turns", "stop": "stop-turns"},
    "inHg": {"column": "column-idle"},
}
ALWAYS = {
    "notches": "needle-notch",
    "ml/min": "fuel-flow",
    "mmHg": "column-idle",
    "cmHg": "column-idle",
    "kPa": "column-idle",
}


def reading_of(figure: Figure, statement: str, *, shorted: bool) -> tuple[str, str]:
    """Return the reading and its unit; nothing if it can be several. `shorted`: one cylinder is cut out."""
    if figure.unit in COLUMN_UNITS and (figure.topic == "column" or IN_A_TUBE.search(statement)):
        apart = APART.search(statement) or MORE.match(figure.after)
        return ("", "") if apart else ("column-idle", _tube_unit(figure, statement))
    if figure.unit and figure.unit != "rpm":
        return _by_unit(figure, statement), figure.unit
    if not figure.unit and (found := _by_size(figure, statement)):
        return found
    if (shorted or figure.topic == "drop") and figure.size <= MOST_DROP and not _is_level(figure):
        to_there = figure.size >= LEAST_IDLE and DROPS_TO.search(figure.before)  # on the other side alone
        falls = not to_there and (figure.size < LEAST_IDLE or DROPS.search(statement))
        return ("drop-idle", "rpm") if falls else ("", "")
    if not figure.unit and (found := _column(figure)):
        return found
    return ("idle-speed", "rpm") if _is_idle(figure) else ("", "")


def _tube_unit(figure: Figure, statement: str) -> str:
    """Return the unit of a length in a tube: oil and water stand some fifteen times as high as mercury."""
    fluid = "water" if "water" in statement else "oil" if OF_OIL.search(statement) else ""
    return f"{LENGTHS[figure.unit]} of {fluid}" if fluid else COLUMN_UNITS[figure.unit]


def _by_unit(figure: Figure, statement: str) -> str:  # noqa: PLR0911 - one return a unit
    match figure.unit:
        case "V":
            return "" if CRANKING.search(_beside(figure)) else _volts(figure, statement)
        case "turns" if figure.topic != "stop" and OF_MIXTURE.search(statement):
            return "mixture-turns"
        case "kohm" if CAP_AND_LEAD.search(statement):
            return "plug-path-resistance"
        case "m" | "ft":
            return "altitude" if figure.size >= (LEAST_HEIGHT if figure.unit == "m" else LEAST_HEIGHT / FOOT) else ""
        case "s":
            return "hang-time" if FALLS.search(statement) else ""
        case "deg":
            return "points-dwell" if figure.topic == "dwell" else _timing(figure, statement)
        case "bar" | "psi":
            return "" if "tyre" in statement else "compression"
        case "kPa" if figure.topic == "compression":
            return "compression"
        case "%" if "leak" in statement:
            return "leak-down"
    return ALWAYS.get(figure.unit, "") or BY_TOPIC.get(figure.unit, {}).get(figure.topic, "")


def _by_size(figure: Figure, statement: str) -> tuple[str, str] | None:  # noqa: PLR0911 - one return a size
    """Return what a figure without a unit can only be."""
    valve = VALVE.search(figure.after)
    if valve and not VALVE_BEFORE.search(figure.before) and LEAST_GAP < figure.size < MOST_GAP:
        return f"clearance-{'exhaust' if valve['which'].startswith('ex') else 'inlet'}", "mm"
    least = LEAST_INCHES if figure.topic in MOST_INCHES else LEAST_GAP
    if figure.topic in GAPS and "." in figure.value and least < figure.size < MOST_GAP * 2:
        return GAPS[figure.topic], "in" if figure.size < MOST_INCHES.get(figure.topic, LEAST_GAP * 3) else "mm"
    if figure.topic == "timing" and figure.size < MOST_TIMING and OF_TIMING.match(figure.after):
        return _timing(figure, statement), "deg"
    if figure.topic == "dwell" and LEAST_DWELL < figure.size < MOST_DWELL:
        return "points-dwell", "deg"
    volts = VOLTS.search(statement) or (figure.topic == "" and VOLTS_BESIDE.match(figure.after))
    if volts and "." in figure.value and FLAT < figure.size < FULL:
        return _volts(figure, statement), "V"
    if figure.topic == "co" and CO_IS.search(figure.before) and figure.size < MOST_CO:
        return "exhaust-co", "%"
    if figure.topic == "leak down" and figure.size <= MOST_LEAK:
        return "leak-down", "%"
    if figure.topic == "compression":
        return "compression", "psi" if figure.size > PSI_FROM else "bar"
    if figure.topic == "mixture" and figure.size < MOST_TURNS and TURNED.search(f"{statement} {figure.value}"):
        return "mixture-turns", "turns"
    return None


def _beside(figure: Figure) -> str:
    """Return what is said of a figure between the commas, or the 'and', on both sides of it."""
    return f"{NEXT.split(figure.before)[-1]} {NEXT.split(figure.after)[0]}"


def _volts(figure: Figure, statement: str) -> str:
    if AT_SPEED.match(figure.after):
        return "charging-volts"
    if STANDING.search(figure.before[-25:] + figure.after[:25]):
        return "battery-rest"
    if figure.size > MOST_AT_REST:
        return "charging-volts"
    return (
        "charging-volts"
        if RUNNING.search(NEXT.split(statement)[0] if NEXT.search(figure.after) else statement)
        else "battery-rest"
    )


def _column(figure: Figure) -> tuple[str, str] | None:
    said = figure.topic == "column" and figure.size >= LEAST_COLUMN and not _is_level(figure)
    beside = SIDE_BEFORE.search(figure.before) and figure.topic in {"idle", ""} and not FALLS_BY.search(figure.before)
    if (said and "." not in figure.value) or (beside and MMHG_FROM <= figure.size < LEAST_IDLE):
        return "column-idle", column_unit(figure.size)
    return None


def column_unit(size: float) -> str:
    """Return the unit of a column by its size: the depression at idle is some 200 mmHg, or 20 cmHg."""
    return "mmHg" if size >= MMHG_FROM else "cmHg"


def _timing(figure: Figure, statement: str) -> str:
    if not TIMING.search(statement):
        return ""
    beside = NEXT.split(figure.after)[0]
    full = FULL_ADVANCE.search(beside)
    if IDLES.search(beside) or full:
        return "timing-full" if full else "timing-idle"
    return "timing-full" if FULL_ADVANCE.search(statement) else "timing-idle"


def is_level(figure: Figure) -> bool:
    """Whether a figure says at which revs the columns were read at idle."""
    return LEAST_IDLE <= figure.size <= MOST_OF_COLUMNS and _is_level(figure)


def _is_level(figure: Figure) -> bool:
    """Whether a figure says at which revs something is."""
    return figure.size >= LEAST_IDLE and bool(AT_REVS.search(figure.before))


def _clause(figure: Figure) -> str:
    """Return what stands round a figure between commas, 'and' and 'but'."""
    return CLAUSE.split(figure.before)[-1] + CLAUSE.split(figure.after)[0]


def _is_idle(figure: Figure) -> bool:
    """Whether a figure says how fast it idles, warm."""
    is_rpm = figure.unit == "rpm"
    if not LEAST_IDLE <= figure.size <= MOST_IDLE or figure.topic not in {"idle", "hang", ""}:
        return False
    was = WAS.search(CLAUSE.split(figure.before)[-1]) and NOW.search(figure.after)
    if PASSING.search(_clause(figure)) or NOT_SO_NOW.search(_clause(figure)) or was:
        return False
    if COLD.search(re.split(r"\d", figure.after)[0][:20]) or MORE.match(figure.after) or JOINS.search(figure.before):
        return False
    how_fast = HOW_FAST_AT.search(figure.before) and figure.size <= MOST_OF_COLUMNS
    if AT_IDLE.match(figure.after) or GOES_TO.search(figure.before) or how_fast:
        return True
    if TO.search(figure.before):
        return bool(figure.topic) or is_rpm
    from_there = is_rpm and figure.topic and FROM.search(figure.before)
    of_the_idle = figure.topic == "idle" and IDLES.search(figure.before) and not AT_REVS.search(figure.before)
    return bool(BELOW_WHICH_NOT.search(figure.before) or IDLES_AT.search(figure.before) or from_there or of_the_idle)
