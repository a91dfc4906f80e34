"""On which side of the bike a clause says that something is. Left and right are the rider's."""

from collections.abc import Mapping, Sequence

from advisor.sides import BOTH, Side, other

# After these 'left' is what somebody did, and 'right' is how well something is.
DID = frozenset(
    [
        "i",
        "have",
        "had",
        "ve",
        "was",
        "is",
        "been",
        "be",
        "when",
        "if",
        "has",
        "just",
        "get",
        "got",
        "being",
        "were",
        "he",
        "she",
        "we",
    ]
)
THEN = frozenset(["it", "to", "standing", "for", "over", "out", "alone", "with", "them"])  # left to idle, left standing
IS_RIGHT = frozenset(
    ["not", "is", "isnt", "sounds", "feels", "run", "runs", "running", "quite", "just", "about", "looks", "set"]
)
AT_ONCE = frozenset(
    ["away", "up", "off", "now", "before", "after", "when", "at", "in", "through", "down", "where"]
)  # right away
BARS = frozenset(["bars", "bar", "lock", "handlebar", "handlebars", "steering", "leaning", "lean", "corner", "bend"])
TURNED = frozenset(["turn", "turned", "turning"])
IS_TURNED = frozenset(["screw", "screws", "stop", "adjuster", "knob", "nut", "out"])  # not the bars
NAMES = frozenset(["the", "on", "my"])  # before a side
EACH = frozenset(["both", "each"])
ELSE = frozenset(["other"])
COMPARES = frozenset(["than", "unlike", "versus", "vs"])
COMPARES_WITH = {  # 'compared with the other', 'ahead of the left': what follows is not where it is
    "compared": {"with", "to"},
    "ahead": {"of"},
    "next": {"to"},
    "before": {"the"},
    "after": {"the"},
    "behind": {"the"},
    "beside": {"the"},
}


def sides_at(raw: Sequence[str]) -> dict[int, Side]:
    """Return where words name a side, among the words of a clause."""
    found: dict[int, Side] = {}
    for at, word in enumerate(raw):
        before, after = raw[at - 1] if at else "", raw[at + 1] if at + 1 < len(raw) else ""
        if word == "left" and not ((before in DID and after not in BOTH) or after in THEN):
            found[at] = "left"
        elif word == "right" and (before in NAMES or not (after in AT_ONCE or (before in IS_RIGHT and not after))):
            found[at] = "right"
    return found


def _compares(raw: Sequence[str], at: int) -> bool:
    """Whether what follows a word is only what something is compared with."""
    after = raw[at + 1] if at + 1 < len(raw) else ""
    if raw[at] in {"before", "after", "behind", "beside"} and not {"left", "right", "other"} & set(
        raw[at + 2 : at + 3]
    ):
        return False
    return raw[at] in COMPARES or after in COMPARES_WITH.get(raw[at], ())


def of_the_other(raw: Sequence[str]) -> bool:
    """Whether a clause tells something of the other side, and does not only compare with it."""
    than = next((at for at in range(len(raw)) if _compares(raw, at)), len(raw))
    return bool(ELSE & set(raw[:than]))


def sides_of_bike(where: Mapping[int, Side], raw: Sequence[str]) -> tuple[Side, ...]:
    """Return the sides of the bike that a clause names: what stands after 'than' or says where the bars are is none."""
    said = set(raw)
    if BARS & said or (TURNED & said and not IS_TURNED & said):
        return ()
    than = min((at for at in range(len(raw)) if _compares(raw, at)), default=len(raw))
    if "same" in raw and "as" in raw[raw.index("same") :]:
        than = min(than, raw.index("same"))
    found = dict.fromkeys(side for at, side in where.items() if at < than)
    return tuple(found) or (
        tuple(other(side) for side in dict.fromkeys(where.values())) if where and than < len(raw) else ()
    )
