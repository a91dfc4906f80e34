"""Text made safe to show: what a terminal would obey, or a reader could not see, is spelt out.

A name in a file may hold an escape sequence that clears the screen, or a mark that turns the reading direction round so
that a line reads as another one. All output goes through here: plain lines through the stream `Visible`, drawn ones
through the console of `show/screen`, which adds colours of its own after that.
"""

import codecs
import io
import re

# Control characters (C0, DEL, C1) but for line end and tab; halves of characters (also bytes that are no text); line
# and paragraph marks; marks of direction and other invisible ones. The joiners stay: emoji and some scripts need them.
HIDDEN = re.compile(
    "[\x00-\x08\x0b-\x1f\x7f-\x9f\ud800-\udfff\u061c\u180e\u200b\u200e\u200f\u2028-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb"
    "\U000e0001-\U000e007f]"
)
SPELT = "advisor-spelt-out"  # the name of our way with characters that an encoding lacks
HALF = re.compile("[\ud800-\udfff]")  # no file in UTF-8 can hold these


def as_said(text: str) -> str:
    """Return what a person said as it is kept: any text, with its blanks evened out, and a mark for half a character.

    >>> as_said(" it  hunts   at idle ")
    'it hunts at idle'
    """
    text = " ".join(text.split())
    return text if text.isascii() else HALF.sub("\N{REPLACEMENT CHARACTER}", text)


def visible(text: str) -> str:
    r"""Return the text with every control, escape and direction character spelt out, as JSON spells it.

    So a JSON text stays the same JSON. Line ends and tabs stay as they are.

    >>> visible("left\x1b[2J")
    'left\\u001b[2J'
    """
    return HIDDEN.sub(_spelt, text)


def _spelt(found: re.Match[str]) -> str:
    return _as_in_json(found[0])


def _as_in_json(text: str) -> str:
    units = text.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\u{units[place] * 256 + units[place + 1]:04x}" for place in range(0, len(units), 2))


def _not_encoded(error: UnicodeError) -> tuple[str, int]:
    """Spell out what an encoding lacks: the form of an error handler of Python's codecs."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return _as_in_json(error.object[error.start : error.end]), error.end


codecs.register_error(SPELT, _not_encoded)


class Visible(io.TextIOWrapper):
    """A text stream that takes over the file of another one, and spells out hidden characters in all that is written.

    So it does with what the stream's encoding lacks. `drawn` takes text that is safe already.
    """

    def __init__(self, stream: io.TextIOWrapper) -> None:
        coding, lines = stream.encoding, stream.line_buffering
        super().__init__(stream.detach(), encoding=coding, errors=SPELT, line_buffering=lines)

    def write(self, text: str) -> int:
        """Write text with its hidden characters spelt out."""
        return super().write(visible(text))

    def drawn(self, text: str) -> int:
        """Write text as it is."""
        return super().write(text)
