"""Drawings: sound SVG that brings nothing with it, can stand twice on a page, and has words that fit."""

import re
from collections.abc import Iterator
from itertools import combinations
from xml.etree import ElementTree as ET

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import AdvisorError
from advisor.places import shipped
from advisor.rulebase import Rulebase
from advisor.rulebase.drawing import drawing
from advisor.rulebase.sheets import SVG
from advisor.rulebase.table_records import Drawing
from tests.rulebase.test_sheets import sheet_of

NAMES = sorted(
    re.findall(r"^([a-z-]+):$", (shipped("rules") / "drawings.yaml").read_text(encoding="utf-8"), re.MULTILINE)
)
# Widths of letters in Helvetica, in thousandths of the size of the type, as in Adobe's AFM files; from memory.
WIDTHS = {
    "ijl'": 222,
    " ft,.:I/": 278,
    "r-()": 333,
    "ckstvxyzJ": 500,
    "wCDHNRU": 722,
    "mMW": 850,
    "GOQ": 778,
    "ABEKPSVXY": 667,
}
ANY_OTHER = 556
WIDER = 1.15  # how much wider than that a page's own type may be
ABOVE, BELOW = 0.78, 0.22  # how far letters reach from their line, as shares of the size of the type


def _parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - made by this project


def _width(text: str, size: float) -> float:
    wide = {letter: width for letters, width in WIDTHS.items() for letter in letters}
    return WIDER * size * sum(wide.get(one, ANY_OTHER) for one in text) / 1000


def _boxes(svg: str) -> Iterator[tuple[str, float, float, float, float]]:
    """Yield every label with its left, top, right and bottom edge."""
    for one in _parsed(svg).iter(f"{{{SVG}}}text"):
        text, size = one.text or "", float(one.attrib["font-size"])
        x, y, width = float(one.attrib["x"]), float(one.attrib["y"]), _width(text, size)
        left = x - {"start": 0.0, "middle": 0.5, "end": 1.0}[one.get("text-anchor", "start")] * width
        yield text, left, y - ABOVE * size, left + width, y + BELOW * size


def test_every_drawing_is_looked_at(base: Rulebase) -> None:
    assert sorted(base.drawings) == NAMES
    assert len(NAMES) >= 13


@pytest.mark.parametrize("name", NAMES)
def test_a_drawing_says_in_words_what_it_shows(base: Rulebase, name: str) -> None:
    top = _parsed(drawing(name, base))
    words = {one.attrib["id"]: one.text for one in top if one.tag in {f"{{{SVG}}}title", f"{{{SVG}}}desc"}}
    page = base.drawings[name]
    assert words == {top.attrib["aria-labelledby"]: page.title, top.attrib["aria-describedby"]: page.says.strip()}
    assert top.attrib["role"] == "img"
    assert len(page.says) > 200


@pytest.mark.parametrize("name", NAMES)
def test_a_drawing_brings_nothing_with_it_and_fetches_nothing(base: Rulebase, name: str) -> None:
    svg = drawing(name, base)
    assert "://" not in svg.replace(SVG, "")
    tags, attributes = set[str](), set[str]()
    for one in _parsed(svg).iter():
        tags.add(one.tag.removeprefix(f"{{{SVG}}}"))
        attributes |= set(one.attrib)
        assert "url(" not in " ".join(one.attrib.values())
        assert one.attrib.get("href", "#").startswith("#")
    assert not tags & {"script", "style", "image", "a", "foreignObject", "animate", "set"}
    assert not [one for one in attributes if one.startswith("on") or one in {"style", "class", "data-in"}]


def test_all_drawings_twice_on_one_page_share_no_id(base: Rulebase) -> None:
    page = "".join(drawing(name, base, copy) for name in NAMES for copy in ("", "-2"))
    ids = re.findall(r'\bid="([^"]*)"', page)
    assert len(ids) == len(set(ids)) > 2 * 2 * len(NAMES)
    assert set(re.findall(r'(?:href="#|aria-\w+=")([^"]*)"', page)) <= set(ids)


@pytest.mark.parametrize("name", NAMES)
def test_all_words_are_inside_the_picture(base: Rulebase, name: str) -> None:
    svg = drawing(name, base)
    _, _, width, height = map(float, _parsed(svg).attrib["viewBox"].split())
    assert width <= 440, "at the width of a telephone its words would be too small"
    out = [one for one, *box in _boxes(svg) if box[0] < 0 or box[1] < 0 or box[2] > width or box[3] > height]
    assert out == []


@pytest.mark.parametrize("name", NAMES)
def test_no_word_lies_on_another(base: Rulebase, name: str) -> None:
    pairs = combinations(_boxes(drawing(name, base)), 2)
    on = [
        (one, two)
        for (one, *a), (two, *b) in pairs
        if min(a[2], b[2]) > max(a[0], b[0]) and min(a[3], b[3]) > max(a[1], b[1])
    ]
    assert on == []


def test_words_stand_where_they_are_written() -> None:
    """No label is moved, turned or made smaller by a group round it, or the two tests above would look elsewhere."""
    for path in (shipped("rules") / "drawings").glob("*.svg"):
        top = _parsed(path.read_text(encoding="utf-8"))
        moved = [one for one in top.iter() if "transform" in one.attrib and [*one.iter(f"{{{SVG}}}text")]]
        named = [one for one in top.iter() if "id" in one.attrib and [*one.iter(f"{{{SVG}}}text")]]
        assert moved + named == [], path.name


STATES = '<g data-in="open shut"><path d="M0,0 V9"/></g><path data-in="open" d="M0,0 H9"/><path d="M0,0 H5"/>'


@pytest.mark.parametrize(
    ("state", "lines"), [("open", ["M0,0 V9", "M0,0 H9", "M0,0 H5"]), ("shut", ["M0,0 V9", "M0,0 H5"])]
)
def test_only_what_belongs_to_a_state_is_drawn(base: Rulebase, state: str, lines: list[str]) -> None:
    assert re.findall(r' d="([^"]*)"', drawing("one", _only(base, STATES, state=state))) == lines


def _only(base: Rulebase, inner: str, name: str = "one", **of_page: str) -> Rulebase:
    """Return a rule base with this one drawing."""
    page = Drawing(id=name, file="", line=0, **{"title": "A part", "says": "Its words.", "sheet": "a", **of_page})
    sheet, _ = sheet_of(inner)
    return msgspec.structs.replace(base, drawings={name: page}, sheets={"a": sheet})


@given(name=st.text(min_size=1), title=st.text(st.characters(codec="utf-8", exclude_categories=["Cc", "Cs"])))
def test_a_drawing_of_any_name_and_title_is_sound_and_says_them(base: Rulebase, name: str, title: str) -> None:
    found = drawing(name, _only(base, '<path id="x" d="M0,0 H9"/><use href="#x"/>', name, title=title))
    top = _parsed(found)
    assert top[0].text == (title.strip() or None)
    marks = [one.attrib["id"] for one in top.iter() if "id" in one.attrib]
    assert len(set(marks)) == 3
    assert all(re.fullmatch(r"[A-Za-z0-9_-]+", one) for one in marks)


def test_a_drawing_that_is_none_is_named(base: Rulebase) -> None:
    with pytest.raises(AdvisorError, match=r"no drawing is called 'intake-jiont' \(did you mean 'intake-joint'\?\)"):
        drawing("intake-jiont", base)


def test_the_steps_that_a_picture_helps_most_have_one(base: Rulebase) -> None:
    for check in (
        *("compare-columns-at-idle", "cover-the-port", "wet-the-joint", "short-each-plug-at-idle", "measure-the-slack"),
        *("lift-the-slide", "look-at-the-joint", "turn-bars-and-feel-slack", "take-out-the-idle-jet"),
        *("push-the-enricher-shut", "count-the-mixture-turns", "look-at-the-plug", "turn-the-stop-screw"),
    ):
        assert base.checks[check].drawing in base.drawings, check
