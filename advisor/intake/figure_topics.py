"""What a statement with figures is about: which reading they belong to where they have no unit."""

import re
from functools import lru_cache

SHORTED = re.compile(
    r"\b(?:kill|disconnect|ground|earth)(?:s|ed|ing)? (?:out )?(?:the |my )?(?:left|right)\b|\bdrop of \d+"
    r"|\b(?:pull(?:ed|ing)?|remov\w*) (?:off )?(?:the |my )?(?:left|right)\b"
    r"|\bwith (?:the )?(?:left|right)(?: one| side)? (?:off|cut|out|dead|killed|pulled|earthed|grounded|disconnected)\b"
    r"|\bshort(?:s|ed|ing)?\b|\b(?:caps?|leads?|plugs?|plug wires?) (?:off|pulled)"
    r"|\b(?:pull|unplug|take)\w* (?:off )?(?:the |my )?(?:left |right )?(?:plug|cap|lead|wire|ht)"
)
TOPICS = (  # the reading that a figure without a unit belongs to: the last of these before it
    ("compression", re.compile(r"\bcomp\b|\bcompression")),
    ("drop", SHORTED),
    ("valve", re.compile(r"(?<!exhaust )(?<!inlet )(?<!intake )\b(?:valves?\b|tappet)")),
    ("timing", re.compile(r"\btiming|\bbtdc|\badvance")),
    ("co", re.compile(r"\bco\b|\bcarbon monoxide|\b(?:exhaust )?gas analy")),
    (
        "column",
        re.compile(
            r"\bmercury|(?<!compression )\bgaug|\bdials?\b|\bcolumn|\bvacuum|\bdepression|\bmanomet|\bsync|\bbalanc"
        ),
    ),
    ("points", re.compile(r"\bpoints?\b|\bbreaker")),
    ("plug", re.compile(r"\bplugs? (?:resist|read|measure|meter)")),
    ("plug gap", re.compile(r"\bplugs? gap|\bgap (?:of|on) the plugs?|\bgapped|\bplugs? (?:are|is|set)\b|\bplugs? ?$")),
    ("gap", re.compile(r"(?<!valve )(?<!points )(?<!point )(?<!plug )(?<!plugs )\bgaps?\b")),
    ("mixture", re.compile(r"\bmixture|\bpilot screw|\bair screw|(?<!stop )(?<!idle )\bscrews?\b|\bturns? out")),
    ("stop", re.compile(r"\bstop screws?|\bidle screws?|\bidle stops?|\bthrottle stops?")),
    ("inlet", re.compile(r"\binlets?\b|\bintake valve|\bin valve")),
    ("exhaust", re.compile(r"\bexhaust valve|\bex valve|\bexhausts?\b")),
    ("slack", re.compile(r"\bfree ?play|\bslack|\bcable")),
    ("battery", re.compile(r"\bbattery|\bcharg")),
    ("cap", re.compile(r"\bcaps?\b")),
    ("lead", re.compile(r"\blead\b|\bleads\b")),
    ("coil", re.compile(r"\bcoils?\b")),
    ("primary", re.compile(r"\bprimary")),
    ("secondary", re.compile(r"\bsecondary")),
    ("leak down", re.compile(r"\bleak[- ]?down")),
    ("level", re.compile(r"\bfuel level|\bfuel depth|\bbowl")),
    ("spark", re.compile(r"\bspark")),
    ("dwell", re.compile(r"\bdwell")),
    ("hang", re.compile(r"\bhang|\bcome down|\bcomes down|\bdrop back|\bfall back|\bsettle")),
    (
        "idle",
        re.compile(r"\bidl|\btick|\brevs?\b|\btacho|\brev counter|\bsits at|\bslow running|\bstand ?gas|\bralenti"),
    ),
)


@lru_cache(32)  # it is asked three times for each figure of a statement, which may have seven hundred
def topic_of(text: str) -> str:
    """Return what a text was about last; '' for nothing."""
    return max(
        ((match.start(), name) for name, pattern in TOPICS for match in pattern.finditer(text)), default=(0, "")
    )[1]
