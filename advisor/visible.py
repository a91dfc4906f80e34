"""Text made safe to show: what a terminal would obey, or a reader could not see, is spelt out.

A name in a file may hold an escape sequence that clears the screen, or a mark that turns the reading direction round so
that a line reads as another one. All output goes through here: `cli` for plain lines, `show/screen` for drawn ones.
"""

import re

# Control characters (C0, DEL, C1) but for line end and tab; halves of characters (also bytes that are no text); line
# and paragraph marks; marks of direction and other invisible ones. The joiners stay: emoji and some scripts need them.
HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\U000e0001-\U000e007f]"
)


def visible(text: str) -> str:
    r"""Return the text with every control, escape and direction character spelt out, as JSON spells it.

    So a JSON text stays the same JSON. Line ends and tabs stay as they are.

    >>> visible("left\x1b[2J")
    'left\\u001b[2J'
    """
    return HIDDEN.sub(_spelt, text)


def _spelt(found: re.Match[str]) -> str:
    units = found[0].encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[place] * 256 + units[place + 1]:04x}" for place in range(0, len(units), 2))
