"""Words as people say them, in one plain form: contractions written out, what means the same made one word.

Pages and sentences go through the same, so that they meet. Every way to say no becomes `not`, and every way to say that
something is as it should be becomes `well`: 'won't tick over evenly' and 'does not idle well' are one.
"""

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from advisor.rulebase.search import SAME, stem

NOT, WELL = "not", "well"
WITHOUT = "without"  # a denial that undoes another: it will not idle without dying
SIDES = ("left", "right")
SIDE = "{side}"
WORD = re.compile(r"[a-z]+|\d[\d.,/]*\d|\d")
APOSTROPHES = str.maketrans({"\N{RIGHT SINGLE QUOTATION MARK}": "'", "\N{LEFT SINGLE QUOTATION MARK}": "'", "`": "'"})
# Whole phrases, and what they become. The longest is taken first.
NOES = (
    *("wont", "dont", "doesnt", "didnt", "isnt", "isn", "wasnt", "arent", "werent", "cant", "cannot", "couldnt"),
    *(
        "wouldnt",
        "hasnt",
        "havent",
        "hadnt",
        "shouldnt",
        "aint",
        "never",
        "no",
        "none",
        "nor",
        "neither",
        "nil",
        "zero",
    ),
    *("refuses to", "refuse to", "refused to", "refuses", "fails to", "failed to", "fail to", "unable to", "no longer"),
    *("impossible to", "cant get it to", "cant get her to", "can not get it to", "will not let me", "nae", "na"),
    *("nothing", "nowt", "naething", "isna", "wilna", "lack of", "lacks", "lacking", "free of", "free from"),
    *("gone away", "went away", "disappeared", "is cured", "are cured", "has cleared up", "does not seem to"),
    *("not really", "not at all", "not once", "not ever", "hasnt got any", "there is no", "there are no", "nary a"),
    *("not any more", "not a", "not an", "not any", "no sign of", "no signs of", "no trace of", "no hint of"),
)
PRAISE = (
    *("fine", "good", "great", "ok", "okay", "alright", "all right", "perfect", "perfectly", "sweet", "sweetly"),
    *(
        "lovely",
        "nice",
        "nicely",
        "grand",
        "spot on",
        "normal",
        "normally",
        "properly",
        "proper",
        "healthy",
        "sound as",
    ),
    *("beautiful", "beautifully", "smooth", "smoothly", "evenly", "steadily", "cleanly", "happily", "strongly"),
    *("like a train", "like a dream", "like butter", "like a watch", "like clockwork"),
    *("like stink", "like a rocket", "sweet as a nut", "as it should", "as they should", "as should be", "tip top"),
    *("as new", "like new", "bang on", "right on the mark", "tickety boo", "excellent", "superb", "super"),
    *(
        "no lack of",
        "no shortage of",
        "plenty of",
        "no problem",
        "no problems",
        "no trouble",
        "no troubles",
        "no issue",
        "no issues",
        "no bother",
        "no drama",
    ),
    *("no dramas", "no complaint", "no complaints", "no worries", "no difficulty", "no fault", "no faults"),
    *("nothing wrong with", "nothing wrong", "nothing to complain of", "nothing to complain about"),
    *("nothing to complain", "cant complain", "can not complain", "cannot complain", "cant fault", "not bad"),
    *("not too bad", "not so bad", "not half bad", "trouble free", "without trouble", "without a problem"),
    *("without any trouble", "without problems", "without fuss", "unchanged", "has not changed", "havent changed"),
    *("hasnt changed", "not changed", "in order", "faultless", "faultlessly", "flawless", "flawlessly", "crisp"),
    *(
        "in good shape",
        "in good nick",
        "in good condition",
        "in good order",
        "in spec",
        "within spec",
        "to spec",
        "up to spec",
    ),
    *("within limits", "by the book", "to the book", "as per the book", "as per book", "checks out", "checked out"),
    *(
        "tests well",
        "tested well",
        "all good",
        "a ok",
        "purrs",
        "purring",
        "purrs along",
        "like a clock",
        "like a kitten",
    ),
    *(
        "like a swiss watch",
        "never misses a beat",
        "does not miss a beat",
        "doesnt miss a beat",
        "without missing a beat",
    ),
    *(
        "without a hiccup",
        "no hiccups",
        "not a hiccup",
        "like a charm",
        "a treat",
        "lovely jubbly",
        "a joy",
        "delightful",
    ),
    *(
        "works as it should",
        "works as normal",
        "does what it should",
        "as usual",
        "as always",
        "as ever",
        "same as ever",
    ),
    *(
        "like the clappers",
        "like a bomb",
        "like a scalded cat",
        "instantly",
        "willingly",
        "eagerly",
        "freely",
        "easily",
    ),
    *(
        "is not the problem",
        "isnt the problem",
        "not the problem",
        "not an issue",
        "isnt an issue",
        "non issue",
        "tidy",
    ),
    *(
        "without any problem",
        "without any problems",
        "without any bother",
        "without issue",
        "without issues",
        "satisfactory",
    ),
    *(
        "no qualms",
        "no quarrel with",
        "nothing untoward",
        "nothing unusual",
        "nothing out of the ordinary",
        "nothing odd",
    ),
    *(
        "nothing strange",
        "nothing amiss",
        "not a thing wrong",
        "solid",
        "reliably",
        "reliable",
        "impeccable",
        "impeccably",
    ),
    *("mint", "top notch", "first class", "first rate", "decent", "decently", "just right", "exactly right", "peachy"),
    *("crisply", "healthily", "correct", "correctly", "up to scratch", "up to the mark", "not a problem", "brilliant"),
)
NOTHING_SAID = (  # a word of these is no denial and no praise
    *("as well as", "as well", "no idea why", "no idea", "not sure", "dont know", "do not know", "no doubt"),
    *("no matter what", "no matter", "not only", "i can see", "cant be certain", "cant be sure", "never mind"),
    *("no wonder", "for no reason", "for no apparent reason", "not that", "a good bit of", "good bit of", "a good bit"),
    *("good deal of", "good deal", "good while", "good old", "good few", "good many", "fair bit", "fair enough"),
    *("bit of a", "bit of", "lot of", "kind of", "sort of", "i am good", "well over", "well under", "well past"),
    *("well above", "well below", "well before", "well after", "for good", "so far so good", "whether or not"),
    *("if at all possible", "no choke needed", "you know", "of course", "at all", "no more", "had enough"),
    *("good morning", "good evening", "good afternoon", "good day", "hello", "thank you", "thanks", "sorry"),
    *("cant think", "cant tell", "can not tell", "cant say", "nothing else", "not yet", "why not", "or not"),
)
AS_ONE = {
    "tick over": "idle",
    "ticks over": "idles",
    "ticking over": "idling",
    "ticked over": "idled",
    "tickover": "idle",
    "slow running": "idle",
    "stand gas": "idle",
    "standgas": "idle",
    "ralenti": "idle",
    "empty run": "idle",
    "on fire": "aflame",
    "as if": "asif",
    "as though": "asif",
    "nothing but": "only",
    "no more than": "only",
    "spark plug": "plug",
    "spark plugs": "plugs",
    "sparking plug": "plug",
    "sparking plugs": "plugs",
    "plug lead": "lead",
    "twist grip": "grip",
    "twistgrip": "grip",
    "throttle grip": "grip",
    "stop light": "traffic light",
    "red light": "traffic light",
    "head light": "headlamp",
    "headlight": "headlamp",
    "headlights": "headlamp",
    "put put": "putput",
    "one lung": "one cylinder",
    "one pot": "one cylinder",
    "one side": "one cylinder",
    "right up": "at once",
    "straight up": "at once",
    "first time of asking": "first time",
    "right away": "at once",
    "straight away": "at once",
    "straightaway": "at once",
    "right off": "off",
    "right after": "after",
    "right before": "before",
    "right now": "now",
    "right through": "through",
    "right down": "down",
    "all over the shop": "unsteady",
    "all over the place": "unsteady",
    "up and down": "upanddown",
    "down and up": "upanddown",
    "to and fro": "upanddown",
    "on the over run": "overrun",
    "over run": "overrun",
    "conk out": "die",
    "conks out": "dies",
    "conking out": "dying",
    "conked out": "died",
    "cut out": "cutout",
    "cuts out": "cutout",
    "cutting out": "cutout",
    "back fire": "backfire",
    "back fires": "backfires",
    "back firing": "backfiring",
    "spit back": "spitback",
    "spits back": "spitback",
    "spitting back": "spitback",
    "spat back": "spitback",
    "kick back": "kickback",
    "kicks back": "kickback",
    "kicked back": "kickback",
    "kicking back": "kickback",
    "flat spot": "flatspot",
    "air leak": "airleak",
    "air leaks": "airleak",
    "drawing air": "airleak",
    "sucking air": "airleak",
    "mpg": "fuelconsumption",
    "fuel consumption": "fuelconsumption",
    "petrol consumption": "fuelconsumption",
    "gas mileage": "fuelconsumption",
    "fuel economy": "fuelconsumption",
    "mileage": "fuelconsumption",
    "wen": "when",
    "n": "and",
    "coz": "because",
    "cuz": "because",
    "thru": "through",
    "till": "until",
    "til": "until",
}
SMALL = frozenset(
    "a an and as at be been being but by do does did done for from had has have he her him his i in is it its me my of "
    "on or our she so that the their them then there these they this those to us was we were what which who will with "
    "would you your am are can could may might shall should s t d m re ll ve very really quite pretty rather just too "
    "also now still again always ever much such both either each any some all itself herself myself him one's not "
    "than about bike machine thing bit please sir mate while into onto when if where because".split()
) - {NOT}
LIGHT = frozenset(
    "go get keep come make take give put feel seem look sound up down off out over after before once only back until "
    "through under more less lik run rev one two three thre four five six first second other side turn time want try use tell say see find".split()
)
FORMS = {
    "leaning": "leaning",
    "timing": "timing",
    "died": "die",
    "dying": "die",
    "dieing": "die",
    "went": "go",
    "gone": "go",
    "goe": "go",
    "got": "get",
    "gotten": "get",
    "stuck": "stick",
    "jam": "stick",
    "broke": "break",
    "broken": "break",
    "blew": "blow",
    "blown": "blow",
    "lost": "lose",
    "los": "lose",
    "tore": "tear",
    "torn": "tear",
    "wore": "wear",
    "worn": "wear",
    "spat": "spit",
    "shook": "shake",
    "shaken": "shake",
    "shak": "shake",
    "hung": "hang",
    "stood": "stand",
    "began": "begin",
    "begun": "begin",
    "fell": "fall",
    "fallen": "fall",
    "rose": "rise",
    "risen": "rise",
    "ris": "rise",
    "came": "come",
    "kept": "keep",
    "made": "make",
    "took": "take",
    "taken": "take",
    "held": "hold",
    "felt": "feel",
    "ran": "run",
    "drank": "drink",
    "drunk": "drink",
    "burnt": "burn",
    "leant": "lean",
    "bent": "bend",
    "shut": "close",
    "clos": "close",
    "fitt": "fit",
    "changed": "change",
    "chang": "change",
    "tire": "tyre",
    "muffler": "silencer",
    "muffl": "silencer",
    "cyl": "cylinder",
    "barrel": "cylinder",
    "jug": "cylinder",
    "pot": "cylinder",
    "bogg": "bog",
    "carbur": "carburettor",
    "carbi": "carburettor",
    "carbie": "carburettor",
    "diafragm": "diaphragm",
    "membran": "diaphragm",
    "vacum": "vacuum",
    "indicater": "indicator",
    "blinker": "indicator",
    "deton": "pink",
    "ping": "pink",
    "pinking": "pink",
    "knock": "knock",
    "scuff": "scuff",
    "hesitancy": "hesitat",
    "hesit": "hesitat",
    "stutter": "stutter",
    "stall": "stall",
    "slowly": "slow",
    "slower": "slow",
    "stiffly": "stiff",
    "hotter": "hot",
    "warmed": "warm",
    "warm": "warm",
    "heavier": "heavy",
    "weaker": "weak",
    "higher": "high",
    "lower": "low",
    "louder": "loud",
    "faster": "fast",
    "thirstier": "thirsty",
    "easier": "easy",
    "hangs": "hang",
    "harder": "hard",
    "rougher": "rough",
    "unevenly": "uneven",
    "roughly": "rough",
    "badly": "bad",
    "loosen": "loose",
    "deceleration": "overrun",
    "decel": "overrun",
    "decelerat": "overrun",
    "deceler": "overrun",
}
# Words that say nearly the same of a bike, each line after the one that stands for them: what is said with one of them is
# heard with another, a little less surely.
NEARLY = {
    other: one
    for one, *others in (
        line.split()
        for line in (
            "die stall conk quit expir",
            "smel stink reek whif pong",
            "jerk buck kangaroo lurch snatch",
            "shake vibrat judder shudder buz tingl vibration vibe",
            "mis misfir",
            "overhaul rebuild strip rebuilt",
            "rise climb creep increas",
            "fall drop sag sink",
            "uphil hil incline",
            "traffic junction roundabout",
            "cruis motorway highway",
            "noise sound racket",
            "whit pale chalk grey",
            "black soot sooty",
            "chim join",
            "rattl tick clatter clack",
            "heavy stif",
            "block clog plugg obstruct",
            "guzzl drink thirsty",
        )
    )
    for other in others
}
SAME_HERE = {one: meant for one, meant in SAME.items() if one not in {"bang", "judder", "vibrat", "jam"}}


BECOMES = (
    dict.fromkeys(NOES, NOT) | dict.fromkeys(PRAISE, WELL) | AS_ONE | dict.fromkeys(NOTHING_SAID, "") | {"well": WELL}
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
ENDS = re.compile(r"'(?:s|re|m|d|ll|ve)\b")


HAND = re.compile(
    r"\b(?P<hand>[lr])\s?/?\.?\s?h\.?\s?/?s?\b|\b(?P<name>left|right)[ -]?hand(?:ed)?(?: side)?\b|\b(?P<ship>port|starboard)(?: side)?\b"
)
SHIP = {"port": "left", "starboard": "right"}


def _hand(found: re.Match[str]) -> str:
    if found["ship"]:
        return SHIP[found["ship"]]
    return found["name"] or {"l": "left", "r": "right"}[found["hand"]]


def pieces(text: str) -> list[str]:
    """Return the words and marks of a text in small letters, its phrases in one form."""
    low = text.lower().translate(APOSTROPHES)
    if "'" in low:
        low = ENDS.sub("", CONTRACTED.sub("nt", low)).replace("'", "")
    low = HAND.sub(_hand, low.replace("-", " "))
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
    if word in {NOT, WELL} or word[0].isdigit():
        return word
    if word == WITHOUT:
        return NOT
    if word in FORMS:
        return FORMS[word]
    base = stem(word)
    base = FORMS.get(base, base)
    return SAME_HERE.get(base, base)


SAYS_NOTHING = frozenset("a an the it its is are was were my she her".split())


def in_order(text_words: Iterable[str]) -> Iterator[tuple[int, str]]:
    """Yield each word that says anything, in plain form, with its place among all words."""
    for place, word in enumerate(text_words):
        if word not in SAYS_NOTHING:
            yield place, root(word)


def nearly(word: str) -> str:
    """Return the word that stands for all that say nearly the same."""
    return NEARLY.get(word, word)


def telling(said: Iterable[str]) -> Iterator[str]:
    """Yield words in plain form, without those that say nothing alone; sides are left out."""
    for word in said:
        if word not in SMALL and word not in SIDES and not word[0].isdigit():
            yield root(word)
