"""What a terminal would obey, or a reader could not see, is spelt out."""

import json
import unicodedata

from hypothesis import given
from hypothesis import strategies as st

from advisor.visible import as_said, visible

JOINERS = "\u200c\u200d\u00ad"  # emoji and some scripts need the joiners; a soft hyphen shows nothing and does nothing


def test_nothing_that_a_terminal_obeys_passes() -> None:
    """Categories of the Unicode Standard, chapter 4.5: control, surrogate, line and paragraph separator."""
    for code in range(0x110000):
        shown = visible(chr(code))
        if unicodedata.category(chr(code)) in {"Cc", "Cs", "Zl", "Zp"} and chr(code) not in "\n\t":
            assert shown.isascii(), hex(code)
        assert shown == chr(code) or json.loads(f'"{shown}"') == chr(code), hex(code)


def test_every_mark_of_direction_is_spelt_out() -> None:
    """The list of Unicode Standard Annex 9 (bidirectional algorithm), section 2: from memory."""
    for mark in "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069":
        assert visible(f"a{mark}b") == f"a\\u{ord(mark):04x}b"


def test_plain_text_of_any_language_stays_as_it_is() -> None:
    for text in ("Leerlauf 1 100/min, gut", "12 °C · ½ turn", "左側のキャブ", "👩\u200d🔧", "a\tb\nc"):
        assert visible(text) == text


@given(st.text() | st.text(alphabet="\x1b\x9b\u202e\udcff\r\n\tab" + JOINERS))
def test_it_is_said_once_and_json_stays_the_same_json(text: str) -> None:
    assert visible(visible(text)) == visible(text)
    assert json.loads(visible(json.dumps(text, ensure_ascii=False)), strict=False) == text


@given(st.text(st.characters(exclude_categories=())))
def test_what_is_said_is_one_line_that_any_file_can_hold(text: str) -> None:
    kept = as_said(text)
    assert kept == as_said(kept)
    assert kept == kept.strip()
    assert kept.splitlines() in ([], [kept])
    assert kept.encode("utf-8").decode("utf-8").split() == [
        "".join("\N{REPLACEMENT CHARACTER}" if "\ud800" <= one <= "\udfff" else one for one in word)
        for word in text.split()
    ]
