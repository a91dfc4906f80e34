"""Figures in words as figures, and where a statement has figures: each with its unit, its side and what it is about."""

import re
from collections.abc import Callable, Iterator

import msgspec

from advisor.intake.figure_topics import topic_of
from advisor.sides import Side

UP_TO_TWELVE = ("one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
ONES = {word: number for number, word in enumerate(UP_TO_TWELVE, start=1)}
ONES |= {"a": 1, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "eighteen": 18, "twenty": 20}
ONE = "|".join(ONES)
TENS = {"ten": 10, "twenty": 20, "thirty": 30, "forty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80}
TENS |= {"ninety": 90}
TEN = "|".join(TENS)


def _mixed(found: re.Match[str]) -> str:
    """Return turns written with a fraction: 1 3/4 or 3/4."""
    return f"{int(found[1] or 0) + int(found[2]) / int(found[3]):g}"


QUARTERS = {"1/2": ".5", "1/4": ".25", "3/4": ".75"}
FRACTION_SIGNS = {
    "\N{VULGAR FRACTION ONE HALF}": "1/2",
    "\N{VULGAR FRACTION ONE QUARTER}": "1/4",
    "\N{VULGAR FRACTION THREE QUARTERS}": "3/4",
}
NOTCHES = {"top": 1, "first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5}
NUMBER = r"\d+(?:\.\d+)?"
ABOUT = re.compile(  # words that say that a figure is rough: it is taken as it stands
    r"(?<=\d)[- ]?ish\b|\b(?:or so|or thereabouts|give or take)\b|(?<=\d) odd\b|[~\u2248]|(?<=ty|ve|en|ed|nd)[- ]?ish\b"
)
RANGE_MARK, MOST_OF_RANGE = (
    "~",
    2.0,
)  # between the two ends of a range, of which the higher is at most so many times the lower
BOTH = re.compile(r"\b(?:both|each|either)\b[^,;.\d]*$")  # before a figure that is said of either side
BOTH_AFTER = re.compile(r"\s*(?:\w+ )?(?:on |for |at )?(?:both|each|either|per side|a side|all round)\b")

ONE_TO_NINE = "|".join(UP_TO_TWELVE[:9])
FRACTIONS = {"half": 0.5, "quarter": 0.25, "quarters": 0.75}
MEASURES = (  # units of what can be read on both sides
    r"thou|mm|cm|psi|bar|percent|per cent|%|turns?|kohms?|k ohms?|kilohms?|ohms|kpa|mmhg|cmhg|volts|ml a minute"
)
THOU = "|".join(UP_TO_TWELVE[2:])  # one exhaust, two inlets: those are no clearances
OF_VALVE = r"(?:inlet|intake|exhaust)s?(?: valves?| tappets?| is| are| at| to)*"

SIDE_LETTERS = {"l": "left", "r": "right"}
SECONDS = r"(?:seconds?|secs?)\b"


def _range(found: re.Match[str]) -> str:
    """Return two figures as one range, if the second is the higher one and not far from the first."""
    low, high = (float(_either(found[at])) for at in (1, 2))
    return f"{low:g}{RANGE_MARK}{high:g}" if low < high <= MOST_OF_RANGE * low else found[0]


def _decimal(found: re.Match[str]) -> str:
    """Return a figure with a point for its comma, which many write."""
    return f"{found[1] or found[3]}.{found[2] or found[4]}"


def _one_hundred(found: re.Match[str]) -> str:
    """Return a hundred with how many there are: 'hundred and thirty' is one of them."""
    before = (found[1] or "").strip()
    return found[0] if before in ONES or before.isdigit() else f"{found[1] or ''}one hundred"


IN_WORDS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], str]], ...] = (
    (re.compile(r"\b([lr])[./ ]{0,2}h(?:\.?[./ ]?s\b\.?|\b\.?)(?: side\b)?"), lambda f: SIDE_LETTERS[f[1]]),
    (re.compile(r"\bl ?(?:/|and|&) ?r\b"), lambda _: "left and right"),
    (re.compile(rf"(?<![\d,.])(\d{{1,2}}),(\d{{1,2}})(?= ?(?:{MEASURES}|k|v)(?!\w))|\b(0),(\d{{1,2}})\b"), _decimal),
    (re.compile(r"\b([1-6])\.(\d{3})(?= ?(?:rpm|revs)\b)"), lambda f: f"{f[1]}{f[2]}"),
    (re.compile(r"(\w+ )?\bhundred(?= and \w)"), _one_hundred),
    (re.compile(rf"\b({ONE}),? (?:or |to |maybe )?({ONE})(?= {SECONDS})"), _range),
    (re.compile(r"\b(?:the|just a|a bare|a good) (?=(?:thousand|grand)\b)"), lambda _: "a "),
    (
        re.compile(rf"\b({ONE}|\d+) thousand and ({TEN})\b"),
        lambda f: f"{_number(f[1]) * 1000 + TENS[f[2]]}",
    ),
    (
        re.compile(rf"\b({ONE}) ({TEN})[- ]({ONE_TO_NINE})\b"),
        lambda f: f"{_number(f[1]) * 100 + TENS[f[2]] + ONES[f[3]]}",
    ),
    (re.compile(rf"\b({TEN})[- ]({ONE_TO_NINE})\b"), lambda f: f"{TENS[f[1]] + ONES[f[2]]}"),
    (re.compile(rf"\b({ONE}|\d+) point ({ONE}|\d+)\b"), lambda f: f"{_number(f[1])}.{_number(f[2])}"),
    (
        re.compile(rf"(?<!\d )\bpoint ({ONE_TO_NINE})(?: ({ONE_TO_NINE}))?\b"),
        lambda f: f"0.{ONES[f[1]]}{ONES[f[2]] if f[2] else ''}",
    ),
    (re.compile(r"\bhalf a (?=mm|millimet)"), lambda _: "0.5 "),
    (re.compile(r"(?<![\w] )\bturn and a half\b|^turn and a half\b"), lambda _: "1.5 turns"),
    (
        re.compile(r"\b(first|second|third|fourth|fifth) (?:notch |groove |slot |one )?(?:down )?from (?:the )?top\b"),
        lambda f: f"{NOTCHES[f[1]]} notches",
    ),
    (
        re.compile(rf"\b({ONE}|\d+) turns? and (?:a |one |three )?(half|quarters?)\b"),
        lambda f: f"{_number(f[1]) + FRACTIONS[f[2]]:g} turns",
    ),
    (
        re.compile(rf"\b(?P<named>{OF_VALVE} )?({THOU}) (?:thou )?(inlet|intake|exhaust)\b"),
        lambda f: f[0] if f["named"] else f"{f[3]} {_number(f[2])} thou",
    ),
    (re.compile(rf"\b({OF_VALVE}) ({THOU})\b(?! ?(?:{MEASURES})\b)"), lambda f: f"{f[1]} {_number(f[2])} thou"),
    (re.compile(rf"\b({OF_VALVE}) ([3-9]|1\d)\b(?! ?[\w.%/]| and)"), lambda f: f"{f[1]} {f[2]} thou"),
    (re.compile(rf"\b({NUMBER}) and ({NUMBER}) ?({MEASURES})(?!\w)"), lambda f: f"{f[1]} {f[3]} and {f[2]} {f[3]}"),
    (re.compile(r"\bthe (left|right) off\b"), lambda f: f"the {f[1]} one off"),
    (
        re.compile(rf"\b({NUMBER}) ?(?:/|and) ?({NUMBER}),? (left)( and |/| )right\b"),
        lambda f: f"left {f[1]}, right {f[2]}",
    ),
    (
        re.compile(rf"\b(left)(?: and |/| )right:? ({NUMBER}) ?(?:/|and) ?({NUMBER})\b"),
        lambda f: f"left {f[2]}, right {f[3]}",
    ),
    (
        re.compile(rf"\b({'|'.join(NOTCHES)}) (?:notch|groove)\b(?! from the bottom)"),
        lambda f: f"{NOTCHES[f[1]]} notches",
    ),
    (re.compile(r"\b(?:notch|groove) (?:number )?([1-6])\b(?! from the bottom)"), lambda f: f"{f[1]} notches"),
    (
        re.compile(r"\b((?:idl|tick|sits?|sat|settl|hang|stay|stuck|hover)\w*(?:\W+[a-z]+){0,3}?\W+)(\d(?:\.\d+)?)k\b"),
        lambda f: f"{f[1]}{float(f[2]) * 1000:g}",
    ),
    (re.compile(rf"\b({ONE}|\d+) and (?:a|one) half\b"), lambda f: f"{_number(f[1])}.5"),
    (
        re.compile(rf"\b({ONE}|\d+) and (?:a|three)[- ]quarters?\b"),
        lambda f: f"{_number(f[1])}.{'75' if 'three' in f[0] else '25'}",
    ),
    (re.compile(r"\b(\d+(?:\.\d+)?)k(?= ?(?:rpm|revs|at idle)\b)"), lambda f: f"{float(f[1]) * 1000:g}"),
    (re.compile(r"\b(?:three|3) quarters? (?:of )?(?:a )?(?=turn)"), lambda _: "0.75 "),
    (re.compile(r"\bhalf (?:of )?(?:a )?(?=turn)"), lambda _: "0.5 "),
    (re.compile(r"\b(?:a |one )?quarter (?:of )?(?:a )?(?=turn)"), lambda _: "0.25 "),
    (re.compile(r"\b([lr])\s*[:=]?\s*(?=\d)"), lambda f: f"{SIDE_LETTERS[f[1]]} "),
    (
        re.compile(rf"(?<=\d)( ?(?:{MEASURES}|k|v)(?!\w))?\s*([lr])\b"),
        lambda f: f"{f[1] or ''} {SIDE_LETTERS[f[2]]}",
    ),
    (re.compile(r"\b(?:(\d+)[ -])?([1-9])/([1-9])(?= (?:of a )?turn)"), _mixed),
    (
        re.compile(rf"\b({ONE}|\d+) hundred and ({TEN})\b"),
        lambda f: f"{_number(f[1]) * 100 + TENS[f[2]]}",
    ),
    (re.compile(rf"\b({ONE})[ -]({TEN})\b(?! (?:miles|minutes|mph))"), lambda f: f"{_number(f[1]) * 100 + TENS[f[2]]}"),
    (re.compile(r"\b(\d+\.\d+) (?:thousand|grand)\b"), lambda f: f"{float(f[1]) * 1000:g}"),
    (
        re.compile(rf"\b({ONE}|\d+) thousand ({ONE}) hundred\b"),
        lambda f: f"{_number(f[1]) * 1000 + _number(f[2]) * 100}",
    ),
    (re.compile(rf"\b({ONE}|\d+)(?: |-)?(?:thousand|grand)\b"), lambda f: f"{_number(f[1]) * 1000}"),
    (re.compile(rf"\b({ONE}|\d+)(?: |-)?hundred\b"), lambda f: f"{_number(f[1]) * 100}"),
    (re.compile(r"(?<![\d.])\.(\d)"), lambda f: f"0.{f[1]}"),
    (
        re.compile(
            rf"\b((?:valve|tappet|clearance|gap)s?\b[^.;\d]{{0,20}})"
            rf"({NUMBER}|{ONE}) ?(?:and|/|&) ?({NUMBER}|{ONE})( thou| mm)?(?= |$|[,.;])"
        ),
        lambda f: f"{f[1]}inlet {_either(f[2])}{f[4] or ''} exhaust {_either(f[3])}{f[4] or ''}",
    ),
    (
        re.compile(
            rf"(exhaust {NUMBER}(?: thou| mm)? *(?:on the )?(?:left|right),? (?:and )?)"
            rf"({NUMBER}) ?(?:and|/) ?({NUMBER})"
        ),
        lambda f: f"{f[1]}inlet {f[2]} exhaust {f[3]}",
    ),
    (re.compile(r"\b(two|three|four)(?= (?:turns )?out\b)"), lambda f: f"{ONES[f[1]]}"),
    (re.compile(r"\bclips?(?: number| no\.?| position)? ([1-6])\b"), lambda f: f"{f[1]} notches"),
    (re.compile(r"\b(\d{1,2}),(\d{3})\b"), lambda f: f"{f[1]}{f[2]}"),
    (re.compile(r"\b(\d+) (?:and )?(1/2|[13]/4)(?!\w)"), lambda f: f"{f[1]}{QUARTERS[f[2]]}"),
    (re.compile(r"\b(two|three|four|five)(?= on the (?:left|right)\b)"), lambda f: f"{ONES[f[1]]}"),
    (
        re.compile(
            rf"\b({ONE}|{TEN}) (turns?|thou|mm|volts|seconds?|secs|inches|bar|degrees|psi|percent|per cent|kohms?"
            r"|k ohms?|kilohms?|ohms|k)\b"
        ),
        lambda f: f"{_number(f[1])} {f[2]}",
    ),
    (re.compile(rf"(?<![\w./-])({NUMBER}) ?(?:-|\u2013|or) ?({NUMBER})(?![\d/.-]*\d)"), _range),
    (re.compile(rf"(?<![\w./-])({NUMBER})(?: to |, )({NUMBER})(?= ?{SECONDS})"), _range),
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
    "millimetres": "mm",
    "millimetre": "mm",
    "millimeters": "mm",
    "millimeter": "mm",
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
    "ml in a minute": "ml/min",
    "cc a minute": "ml/min",
    "cc in a minute": "ml/min",
    "notch": "notches",
    "notches": "notches",
    "ml per minute": "ml/min",
    "ml/min": "ml/min",
    "percent": "%",
    "per cent": "%",
    "bars": "bar",
    "pounds": "psi",
} | {one: one for one in ("rpm", "bar", "psi", "thou", "mm", "cm", "turns", "kohm", "ohm", "m", "s", "deg", "%", "ft")}
OTHERWISE = frozenset(  # a figure before one of these is no reading
    [
        *("mph", "km", "kms", "kmh", "km/h", "mile", "miles", "minute", "minutes", "min", "mins", "hour", "hours"),
        *("day", "days", "week", "weeks", "month", "months", "year", "years", "litre", "litres", "liter", "liters"),
        *("gallon", "mpg", "gear", "times", "time", "cylinder", "cylinders", "st", "nd", "rd", "th", "weather", "or"),
        *("of", "per", "pints", "nights"),
    ]
)
UNITS = "|".join(re.escape(one) for one in sorted((*WORDS_FOR, *OTHERWISE), key=lambda one: -len(one)))
FIGURE = re.compile(
    rf"(?<![\w./{RANGE_MARK}])(?P<figure>{NUMBER})(?:{RANGE_MARK}(?P<upto>{NUMBER}))?(?P<odd>/\d+)?(?:\s*(?P<unit>(?:{UNITS}))(?![\w])|(?P<stuck>\w+))?(?!\w)"
)
SIDE_SAID = re.compile(r"\b(left|right)\b(?! (?:up|away|off))")


class Figure(msgspec.Struct, frozen=True):
    """One figure of a statement: its value, its unit as a reading has it (or ''), what it is about, and its side.

    `before` and `after` are what stands before and after its digits; of a range, `value` is the lower end and `upto`
    the higher one.
    """

    value: str
    unit: str
    topic: str
    side: Side
    before: str
    after: str
    upto: str = ""

    @property
    def written(self) -> str:
        """The figure, or its range, as a reading is written."""
        return f"{self.value} to {self.upto}" if self.upto else self.value

    @property
    def size(self) -> float:
        """The figure as a number."""
        return float(self.value)


def in_figures(sentence: str) -> str:
    """Return a sentence in small letters with its numbers as digits."""
    text = (
        sentence.lower()
        .replace("\N{RIGHT SINGLE QUOTATION MARK}", "'")
        .replace("n't", "nt")
        .replace("'s", " is")
        .replace("tickover", "idle")
        .replace("\N{GREEK SMALL LETTER OMEGA}", "ohm")
    )
    text = ABOUT.sub("", text)
    for sign, fraction in FRACTION_SIGNS.items():
        text = text.replace(sign, f" {fraction}")
    for pattern, figure in IN_WORDS:
        text = pattern.sub(figure, text)
    return text


def _either(word: str) -> str:
    return f"{ONES[word]}" if word in ONES else word


def _number(word: str) -> int:
    return ONES.get(word) or TENS.get(word) or int(word)


def figures(statement: str, topic: str, left_out: int) -> Iterator[Figure]:
    """Yield the figures of a statement after one that was about a `topic`, but for the one at `left_out`.

    The side is the last one named before a figure, or the next one where they stand after the figures.
    """
    marks, sides = [*FIGURE.finditer(statement)], [*SIDE_SAID.finditer(statement)]
    first = bool(sides and marks and sides[0].start() < marks[0].start())
    for number, mark in enumerate(marks):
        until = marks[number + 1].start() if number + 1 < len(marks) else len(statement)
        if mark["stuck"] or mark["odd"] or mark["unit"] in OTHERWISE or mark.start() == left_out:
            continue
        part = _part(statement, mark)
        if len(part) == 1:
            near = part
        elif first:
            near = [one[1] for one in sides if one.start() < mark.start()][-1:]
        else:
            near = [one[1] for one in sides if mark.end() <= one.start() < until][:1]
        before = statement[: mark.start()]
        after = statement[mark.end("upto" if mark["upto"] else "figure") :]
        both = BOTH.search(before) or BOTH_AFTER.match(after)
        yield Figure(
            value=mark["figure"],
            unit=WORDS_FOR.get(mark["unit"] or "", ""),
            topic=_gap_of(topic_of(before), before, statement) or topic_of(before) or topic_of(statement) or topic,
            side=None if both else side_of(near[0]) if near else only_side(statement),
            before=before,
            after=after,
            upto=mark["upto"] or "",
        )


def _gap_of(topic: str, before: str, statement: str) -> str:
    """Return which gap is meant, where a gap is: that of what was named last; '' where none is."""
    if topic != "gap":
        return ""
    named = re.findall(r"plug|point|valve|tappet", before) or re.findall(r"plug|point|valve|tappet", statement)
    return {"plug": "plug gap", "point": "points"}.get(named[-1], "valve") if named else "gap"


def _part(statement: str, mark: re.Match[str]) -> list[str]:
    """Return the sides named in the part of a statement, between commas, in which a figure stands."""
    start = max(statement.rfind(sign, 0, mark.start()) for sign in (",", " and ", " but "))
    ends = [at for at in (statement.find(sign, mark.end()) for sign in (",", " and ", " but ")) if at >= 0]
    return list(dict.fromkeys(SIDE_SAID.findall(statement[max(start, 0) : min(ends, default=len(statement))])))


def only_side(statement: str) -> Side:
    """Return the side that a statement names, if it names one only."""
    found = set(SIDE_SAID.findall(statement))
    return side_of(found.pop()) if len(found) == 1 else None


def side_of(word: str) -> Side:
    """Return the side that a word names."""
    return "left" if word == "left" else "right"
