"""Words as people say them, in one plain form: contractions written out, what means the same made one word.

Pages and sentences go through the same, so that they meet. Every way to say no becomes `not`, and every way to say that
something is as it should be becomes `well`: 'won't tick over evenly' and 'does not idle well' are one.
"""

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache

from advisor.rulebase.same_words import AS_ONE, FORMS, NEARLY_ONE
from advisor.rulebase.search import SAME, stem
from advisor.rulebase.speech import NOES, NOTHING_SAID, PRAISE, SMALL, UNCHANGED, VANISHES

NOT, WELL = "not", "well"
SAME_AS_BEFORE = "unchanged"
HARDLY = "hardly"  # denies what is not said with it
VANISHED = "vanished"  # a denial of what was there, and no denial of what made it go: cured with the cap open
WITHOUT = "without"  # a denial that undoes another: it will not idle without dying
SIDES = ("left", "right")
SIDE = "{side}"
WORD = re.compile(r"[a-z]+|\d[\d.,/]*\d|\d")
APOSTROPHES = str.maketrans({"\N{RIGHT SINGLE QUOTATION MARK}": "'", "\N{LEFT SINGLE QUOTATION MARK}": "'", "`": "'"})
SAME_HERE = {one: meant for one, meant in SAME.items() if one not in {"bang", "judder", "vibrat", "jam"}}


BECOMES = (
    dict.fromkeys(NOES, NOT)
    | dict.fromkeys(PRAISE, WELL)
    | dict.fromkeys(UNCHANGED, SAME_AS_BEFORE)
    | dict.fromkeys(VANISHES, VANISHED)
    | AS_ONE
    | dict.fromkeys(NOTHING_SAID, "")
    | {"well": WELL}
)
PIECE = re.compile(r"[a-z]+|\d[\d.,/]*\d|\d|[^\w\s]")


def _by_first_word(phrases: Mapping[str, str]) -> dict[str, list[tuple[list[str], list[str]]]]:
    """Return phrases and what they become, by the first word, the longest first."""
    found: dict[str, list[tuple[list[str], list[str]]]] = defaultdict(list)
    for says, becomes in sorted(phrases.items(), key=lambda one: -len(one[0].split())):
        found[says.split()[0]].append((says.split(), becomes.split()))
    return found


PHRASES = _by_first_word(BECOMES)
CONTRACTED = re.compile(r"n't\b")
IS_RIGHT = re.compile(r"'(?:s|re) right\b(?! (?:up|away|off|at|in|on|after|before|down|through))")
ENDS = re.compile(r"'(?:s|re|m|d|ll|ve)\b")


OF_A_SIDE = (  # what a ship's side may be said of: a vacuum port is none
    r"(?:hand|cylinder|pot|barrel|jug|one|carb\w*|plug|cap|lead|coil|exhaust|pipe|header|silencer|cable|float|bowl|tappets?"
    r"|valves?|head)"
)
HAND = re.compile(
    r"\b(?P<hand>[lr])\s?/?\.?\s?h(?:\.?\s?/?s)?\b|\b(?P<name>left|right)[ -]?hand(?:ed)?(?: side)?\b"
    rf"|\b(?P<ship>port|starboard)(?: side\b|\b(?= {OF_A_SIDE}\b))"
)
NUMBER = r"(?:\d|one|two|three|four|five|six|seven|eight|nine|ten|twelve|fifteen|twenty|thirty|half|hour|many|few)\b"
A_GOOD = re.compile(rf"\ba good (?={NUMBER})")
ENDS_THERE = r"(?=\s*(?:[,.;:!?]|$|(?:and|but|until|when|then|at|from|to|sometimes|now|again)\b))"
ON_ONE = re.compile(rf"\bon (?:just |only )?one\b{ENDS_THERE}")
GRAND = re.compile(r"\b(\d|one|two|three|four|five|six|seven) ?grand\b")
LEAKS = re.compile(
    r"\b(petrol|fuel|gasoline)(?: is| was|s)? (?:coming|comes|running|runs|pouring|pours|dripping|drips|trickling)"
    r" (?:out of|out from|from|down)\b"
)
OF_COLUMNS = re.compile(r"\b(?:gauges?|columns?|vacuum|manometer|sync\w*|balanced?|level|apart|unequal|equal)\b")
OFF_IDLE = re.compile(r"\b(?:at|above|from) (?:about |around )?(?:[2-4][,.]?\d00|[2-4]k)\b(?: ?rpm| revs)?")
GONE = re.compile(r"\b(?:gone|vanished|cured)(?=\s*(?:[,.;:!?]|$|(?:and|but)\b))")
THAT_I_SEE = re.compile(
    r"\b(?:that|as far as|so far as|not that) (?:i|we|you|anyone) ?(?:can|could|d|would|ve|have|m|am)?(?: ever)?"
    r" (?:notic|see|saw|seen|hear|feel|felt|find|found|tell|know|aware)\w*(?: of)?(?! it| the| is)\b"
)
AGES_TO_FALL = re.compile(
    r"\btak(?:es|ing|e) (?:for ?ever|ages|an age|its time|a (?:long )?(?:time|while)|too long|an eternity|years"
    r"|(?:some|several|\d+|two|three|four|five|six|ten) (?:seconds|secs))"
    r" (?:to|before it) (?:come|drop|fall|settle|return|go|die)s?(?: back| down| away)*\b"
)
DEAD_ON = re.compile(r"\b(?:is |are |both )?dead on(?= at\b| and\b| both\b|\s*(?:[,.;:!]|$))")
HARD_TO = re.compile(
    r"\ba (?:right |real |proper |bit of a |total )?(?:divil|devil|bugger|sod|bitch|pain|pig|swine|beast|nightmare|job"
    r"|struggle|trial|battle|palaver|performance|nuisance|pain in the (?:neck|arse|backside)) to\b"
)
TEENS = (
    *("three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen", "fourteen"),
    *("fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"),
)
TENS = ("thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
NUMBERS = {word: str(number) for number, word in enumerate(TEENS, start=3)}
NUMBERS |= {word: str(10 * number) for number, word in enumerate(TENS, start=3)}
IN_NUMBERS = re.compile(
    rf"\b(?:{'|'.join(NUMBERS)})\b(?= (?:miles?|minutes?|mins?|km|kilometres|hours?|weeks|months|years)\b)"
)
AT_SPEED = re.compile(
    r"\b(?:(?:sits?|sat|sitting|cruis(?:es?|ing)|hold(?:s|ing)?|steady) (?:on|at|around|about)"
    r" (?:a )?(?:steady |constant )?|at (?:a )?(?:steady |constant ))"
    r"(?:[3-9]\d|1[0-4]\d|thirty|forty|fifty|sixty|seventy|eighty|ninety)\b"
    r"(?! ?(?:rpm|revs|mm|cm|\d))(?: ?mph| ?kmh| ?km/h| ?k)?"
)
AT_ROAD_SPEED = re.compile(
    r"\bat (?:about |around )?(?:[4-9]0|1[0-3]0|forty|fifty|sixty|seventy|eighty|ninety)(?: ?mph| ?km/h| ?kmh| ?kph)?\b"
    r"(?! ?(?:rpm|revs|degrees|percent|%|miles|mm|thou|psi|hundred|thousand|\d|[.,/]\d))"
)
A_FEW_SECONDS = re.compile(
    r"\b(?:for|after|within|in) (?:only |just |about |maybe |around |the first )*"
    r"(?:a |one |two |three |four |five |six |ten |couple |few |half |\d{1,2} |or |to |of |- ?)+(?:seconds?|secs?)\b"
)
SHIP = {"port": "left", "starboard": "right"}


def _hand(found: re.Match[str]) -> str:
    if found["ship"]:
        return SHIP[found["ship"]]
    return found["name"] or {"l": "left", "r": "right"}[found["hand"]]


SIMILE_OF = r"(?:bum|bottom|backside|mouse|pond|machine|clock|watch|nut|pie|glass|bone|ground)"
NO_PRAISE = r"(?:bag|sack|bucket|box|cement|concrete|gravel|tractor|cobble|sandpaper|brick|badger|dog|pig)"
LIKE_WHAT = (
    r"as (?!(?:it|she|he|they|before|ever|the (?:left|right|other))\b)(?:a |an |the |any )?"
    rf"(?!{NO_PRAISE})[a-z]+(?: {SIMILE_OF}\b)?"
)
SMOOTH_AS = re.compile(  # as smooth as a baby's bum: that it is like something is praise
    rf"\b(?:as )?(?:smooth|sweet|steady|solid|sound|regular|happy|crisp|easy|even|strong|keen|true) {LIKE_WHAT}\b"
)
MOCKED_AS = re.compile(rf"\b(?:as )?(?:smooth|sweet|steady|quiet|regular|even) as (?:a |an )?{NO_PRAISE}\b")
QUIET_AS = re.compile(rf"\b(?:as )?(quiet|silent|dry|clean|level|tight|cool|fresh) {LIKE_WHAT}\b")
STAYS_THERE = re.compile(  # of a trouble after parts were swapped
    r"\b(?:stay|stays|stayed|staying|remains?|remained|is still|was still|stuck)(?: \w+ly| put)? (?:on|at|with) the"
    r" (same|left|right)\b"
)


IDIOMS: tuple[tuple[tuple[str, ...], re.Pattern[str], str | Callable[[re.Match[str]], str]], ...] = (
    # what a text must have for it to be looked for, which is quicker than the pattern
    (("grand",), GRAND, r"\1 thousand"),
    (("petrol", "fuel", "gasoline"), LEAKS, r"\1 leaks from"),
    (("that", "far"), THAT_I_SEE, ""),
    ((" to",), HARD_TO, "hard to"),
    (("sit", "sat", "cruis", "hold", "steady", "constant", "at a "), AT_SPEED, "cruises"),
    (("at ",), AT_ROAD_SPEED, "at cruise"),
    (("dead on",), DEAD_ON, "is well"),
    (("tak",), AGES_TO_FALL, "hangs"),
    (("sec",), A_FEW_SECONDS, "for a few seconds"),
    (("mile", "min", "km", "kilo", "hour", "week", "month", "year"), IN_NUMBERS, lambda found: NUMBERS[found[0]]),
    (("a good",), A_GOOD, ""),
    ((" as ",), MOCKED_AS, "not well"),
    ((" as ",), SMOOTH_AS, "well"),
    ((" as ",), QUIET_AS, r"\1"),
    (("swap", "swop", "chang", "exchang"), STAYS_THERE, r"not move on the \1"),
    (("one",), ON_ONE, "on one cylinder"),
    (("gone", "vanished", "cured"), GONE, VANISHED),
)


def pieces(text: str) -> list[str]:
    """Return the words and marks of a text in small letters, its phrases in one form."""
    low = text.lower().translate(APOSTROPHES)
    if "'" in low:
        low = ENDS.sub("", IS_RIGHT.sub(" is right", CONTRACTED.sub("nt", low))).replace("'", "")
    low = HAND.sub(_hand, low.replace("-", " "))
    if OF_COLUMNS.search(low):
        low = OFF_IDLE.sub("off idle", low)  # columns are read at idle, or held above it
    for has, idiom, instead in IDIOMS:
        if any(one in low for one in has):
            low = idiom.sub(instead, low)
    said, found, at = PIECE.findall(low), list[str](), 0
    while at < len(said):
        for phrase, becomes in PHRASES.get(said[at], ()):
            if said[at : at + len(phrase)] == phrase:
                found += becomes
                at += len(phrase)
                break
        else:
            found.append(said[at])
            at += 1
    return found


def spoken_words(text: str) -> list[str]:
    """Return the words of a text, in one form, without marks and placeholders."""
    return [one for one in pieces(text.replace(SIDE, " ")) if WORD.match(one)]


def plain(text: str) -> str:
    """Return a text in small letters with its phrases in one form; marks stay, as words of their own."""
    return " ".join(pieces(text))


@cache
def root(word: str) -> str:
    """Return the plain form of one word: hanging, hangs and hung are one, and so are petrol and fuel."""
    if word in {NOT, WELL, SAME_AS_BEFORE} or word[0].isdigit():
        return word
    if word in {WITHOUT, VANISHED}:
        return NOT
    if word in FORMS:
        return FORMS[word]
    base = stem(word)
    base = FORMS.get(base, base)
    return word if base in {NOT, WELL} else SAME_HERE.get(base, base)


SAYS_NOTHING = frozenset(
    [
        "about",
        "around",
        "roughly",
        "another",
        "a",
        "an",
        "the",
        "it",
        "its",
        "is",
        "are",
        "was",
        "were",
        "my",
        "she",
        "her",
    ]
)


def in_order(text_words: Iterable[str]) -> Iterator[tuple[int, str]]:
    """Yield each word that says anything, in plain form, with its place among all words."""
    for place, word in enumerate(text_words):
        if word not in SAYS_NOTHING:
            yield place, "#" if word[0].isdigit() else root(word)


NEARLY = {root(other): root(one) for one, others in NEARLY_ONE.items() for other in others if root(other) != root(one)}
IN_CLASSES = frozenset([*NEARLY, *NEARLY.values()])


def nearly(word: str) -> str:
    """Return the word that stands for all that say nearly the same."""
    return NEARLY.get(word, word)


def telling(said: Iterable[str]) -> Iterator[str]:
    """Yield words in plain form, without those that say nothing alone; sides are left out."""
    for word in said:
        if word not in SMALL and word not in SIDES and not word[0].isdigit():
            yield root(word)
