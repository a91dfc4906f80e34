"""Drawing sheets: a closed grammar, and how sheets, drawings and checks must fit each other."""

from pathlib import Path

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.errors import Problem, RulesError
from advisor.places import shipped
from advisor.rulebase import Rulebase, cache, load, whole
from advisor.rulebase.drawing import drawing
from advisor.rulebase.sheets import DEEPEST, sheet
from advisor.rulebase.source import MOST_OF_A_SHEET, contents
from advisor.rulebase.table_records import Drawing, Sheet

TOP = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 500">'


def sheet_of(inner: str, top: str = TOP) -> tuple[Sheet, list[Problem]]:
    """Return a sheet with this in it, and its mistakes."""
    problems: list[Problem] = []
    return sheet("part", f"{top}\n{inner}\n</svg>", "part.svg", problems), problems


def test_a_sheet_of_the_grammar_has_no_mistake() -> None:
    found, problems = sheet_of(
        """<!-- a note -->
        <defs><path id="head" class="air head" d="M0,0 L-9,-4 L-9,4 Z"/></defs>
        <g data-in="open shut"><use href="#head" transform="translate(10 10)"/></g>
        <rect class="metal" x="1" y="1" width="9" height="9" rx="2" data-in="open"/>
        <text class="name" x="10" y="20" text-anchor="middle">a part &amp; another</text>"""
    )
    assert problems == []
    assert found.states == ("open", "shut")


@pytest.mark.parametrize(
    ("inner", "says"),
    [
        ("<script>alert(1)</script>", "<script> has no place in a sheet"),
        ("<style>*{color:red}</style>", "<style> has no place in a sheet"),
        ('<image href="x.png"/>', "<image> has no place in a sheet"),
        ("<foreignObject/>", "<foreignObject> has no place in a sheet"),
        ('<a href="#x"/>', "<a> has no place in a sheet"),
        ("<title>words</title>", "<title> has no place in a sheet"),
        ('<pth d="M0,0"/>', "<pth> has no place in a sheet (did you mean 'path'?)"),
        ('<path xmlns="http://www.w3.org/1999/xhtml" d="M0,0"/>', "<path> has no place in a sheet"),
        ('<path d="M0,0" onclick="alert(1)"/>', "<path> takes no 'onclick'"),
        ('<path d="M0,0" style="fill:red"/>', "<path> takes no 'style'"),
        ('<path d="M0,0" fill="url(http://x)"/>', "<path> takes no 'fill'"),
        ('<g xmlns:l="http://www.w3.org/1999/xlink" l:href="#x"/>', "<g> takes no 'href'"),
        ('<path d="M0,0" class="metall"/>', "no class is called 'metall' (did you mean 'metal'?)"),
        ('<use href="http://x/y.svg#z"/>', "'http://x/y.svg#z' is no part of this sheet"),
        ('<path id="part" d="M0,0"/><use href="#prt"/>', "'#prt' is no part of this sheet (did you mean 'part'?)"),
        ('<path id="x" d="M0,0"/>\n<path id="x" d="M0,0"/>', "the id 'x' is given twice; first in line 2"),
        ('<path id="X y" d="M0,0"/>', "'X y' cannot be an id"),
        ('<path id="x" d="M0,0" data-in="open"/>', "'x' has an id, so it must be there in every state"),
        ('<g data-in="open"><g><path id="x" d="M0,0"/></g></g>', "'x' has an id, so it must be there in every state"),
        ('<path id="x" d="M0,0"/><g id="y"><use href="#x"/></g>', "what others use may use nothing itself"),
        ("<g>loose words</g>", "'loose words' is not drawn; words belong in <text>"),
        ("<?xml-stylesheet href='x.css'?>", "a sheet calls for no style and no program"),
        ("<g>", "this is not SVG: mismatched tag"),
        ("&nbsp;", "this is not SVG: undefined entity"),
    ],
)
def test_what_is_not_in_the_grammar_is_refused_with_its_line(inner: str, says: str) -> None:
    _, problems = sheet_of(inner)
    assert any(one.text.startswith(says) for one in problems), problems
    assert {one.line for one in problems} <= {2, 3}


@pytest.mark.parametrize(
    ("top", "says"),
    [
        ("<svg>", 'a sheet begins with <svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 400 500">'),
        ('<svg xmlns="http://www.w3.org/2000/svg">', "write the size of the sheet in whole numbers"),
        ('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 0 9">', "write the size of the sheet in whole numbers"),
        (TOP.replace(">", ' onload="x()">'), "<svg> takes no 'onload'"),
        (f'<!DOCTYPE svg [<!ENTITY a "b">]>{TOP}', "a sheet has no DOCTYPE and no entities"),
    ],
)
def test_a_sheet_begins_as_it_should(top: str, says: str) -> None:
    _, problems = sheet_of("", top)
    assert any(one.text.startswith(says) for one in problems), problems


def test_a_sheet_is_not_nested_without_end() -> None:
    _, problems = sheet_of("<g>" * (DEEPEST - 2) + "</g>" * (DEEPEST - 2))
    assert problems == []
    _, problems = sheet_of("<g>" * 20_000 + "</g>" * 20_000)
    assert [one.text for one in problems] == [f"<g> is the {DEEPEST}th element within others; that is too deep"]


@given(
    name=st.sampled_from(sorted(path.name for path in (shipped("rules") / "drawings").glob("*.svg"))),
    cut=st.tuples(st.integers(0, 12_000), st.integers(0, 40)),
    put=st.sampled_from(
        ["", "<", ">", '"', "&amp;", "</g>", "<g>", '<use href="#x"/>', 'id="x" ', "\x00", "<!--", "]]>"]
    )
    | st.text(max_size=5),
)
def test_a_sheet_spoilt_anywhere_is_refused_or_can_be_drawn(
    base: Rulebase, name: str, cut: tuple[int, int], put: str
) -> None:
    text = (shipped("rules") / "drawings" / name).read_text(encoding="utf-8")
    start, length = cut
    problems: list[Problem] = []
    found = sheet("part", text[:start] + put + text[start + length :], name, problems)
    for state in () if problems else found.states or ("",):
        page = Drawing(id="part", file="", line=1, title="A part", says="Its words.", sheet="part", state=state)
        assert "A part" in drawing(
            "part", msgspec.structs.replace(base, drawings={"part": page}, sheets={"part": found})
        )


DRAWING = "extra:\n  title: A part\n  says: Its words.\n  sheet: extra\n"
ONE = f'{TOP}<path d="M0,0 H9"/></svg>'
TWO = f'{TOP}<path data-in="on off" d="M0,0 H9"/></svg>'
CHECK = """\
look-once-more:
  title: Look once more
  do: [Look.]
  drawing: extra
  sides: once
  who: mechanic
  how: seen
  minutes: 1
  outcomes:
    - {says: "It hangs.", shows: {idle-hangs: yes}}
    - {says: "It does not.", shows: {idle-hangs: no}}
"""


def _shop(folder: Path, drawings: str = DRAWING, sheet: str = ONE, checks: str = CHECK) -> Path:
    (folder / "drawings").mkdir(parents=True)
    (folder / "balance").mkdir()
    for name, text in (("drawings.yaml", drawings), ("drawings/extra.svg", sheet), ("balance/checks.yaml", checks)):
        if text:
            (folder / name).write_text(text, encoding="utf-8")
    return folder


def test_a_shop_draws_a_part_of_its_own(tmp_path: Path) -> None:
    base = load([shipped("rules"), _shop(tmp_path / "shop")])
    assert base.checks["look-once-more"].drawing == "extra"
    assert base.sheets["extra"].text == ONE


@pytest.mark.parametrize(
    ("changed", "file", "says"),
    [
        (
            {"checks": CHECK.replace("drawing: extra", "drawing: xtra")},
            "checks.yaml",
            "no drawing is called 'xtra' (did you mean 'extra'?)",
        ),
        ({"sheet": ""}, "drawings.yaml", "no sheet is called 'extra'"),
        ({"sheet": TWO}, "drawings.yaml", "the sheet 'extra' has several states; add 'state:', one of: off, on"),
        (
            {"sheet": TWO, "drawings": f"{DRAWING}  state: of\n"},
            "drawings.yaml",
            "'of' is not a valid state of this sheet; one of: off, on",
        ),
        (
            {"drawings": f"{DRAWING}  state: on\n"},
            "drawings.yaml",
            "the sheet 'extra' is always drawn alike; take out 'state'",
        ),
        ({"sheet": ONE.replace("path", "pth")}, "extra.svg", "<pth> has no place in a sheet"),
        ({"sheet": " " * (MOST_OF_A_SHEET + 1)}, "extra.svg", "is over 0 MB; an SVG file is needed"),
    ],
)
def test_checks_drawings_and_sheets_must_fit(tmp_path: Path, changed: dict[str, str], file: str, says: str) -> None:
    shop = _shop(tmp_path / "shop", **changed)
    with pytest.raises(RulesError) as caught:
        load([shipped("rules"), shop])
    assert [Path(one.file).name for one in caught.value.problems] == [file]
    assert caught.value.problems[0].text.startswith(says)


def test_a_sheet_that_spoils_a_shipped_drawing_is_the_one_at_fault(tmp_path: Path) -> None:
    (tmp_path / "drawings").mkdir()
    spoilt = tmp_path / "drawings" / "u-tube.svg"
    spoilt.write_text(ONE, encoding="utf-8")
    with pytest.raises(RulesError) as caught:
        load([shipped("rules"), tmp_path])
    assert {one.file for one in caught.value.problems} == {str(spoilt)}
    assert "the sheet 'u-tube' is always drawn alike" in caught.value.problems[0].text


def test_what_is_kept_is_not_used_once_a_sheet_has_changed(tmp_path: Path) -> None:
    shop = _shop(tmp_path / "shop")
    before = cache.source(contents([shop]))
    assert cache.source(contents([shop])) == before
    (shop / "drawings" / "extra.svg").write_text(ONE.replace("H9", "H8"), encoding="utf-8")
    assert cache.source(contents([shop])) != before


def _with_extra(base: Rulebase, folder: str) -> Rulebase:
    """Return the rule base with a sheet of two states and a drawing of one of them, in this folder."""
    sheet = Sheet(id="extra", file=f"{folder}/extra.svg", line=0, text=TWO, states=("off", "on"))
    one = Drawing(id="extra", file=f"{folder}/drawings.yaml", line=1, title="", says="", sheet="extra", state="off")
    drawings, sheets = {**base.drawings, "extra": one}, {**base.sheets, "extra": sheet}
    return msgspec.structs.replace(base, drawings=drawings, sheets=sheets)


def test_what_no_check_and_no_drawing_shows_is_found(base: Rulebase) -> None:
    top = base.folders[-1]
    assert [str(problem) for problem in whole.problems(_with_extra(base, top))] == [
        f"{top}/drawings.yaml:1: no check uses the drawing 'extra'",
        f"{top}/extra.svg: no drawing shows the sheet 'extra' in the state 'on'",
    ]


def test_a_shop_need_not_show_the_pictures_of_the_checks_that_it_replaces(base: Rulebase) -> None:
    below = msgspec.structs.replace(_with_extra(base, base.folders[-1]), folders=(*base.folders, "/shop"))
    assert list(whole.problems(below)) == []


@pytest.mark.parametrize("name", ["extra.svg", "drawings/extra.png", "drawings/deeper/extra.svg"])
def test_a_picture_that_is_no_sheet_is_a_mistake(tmp_path: Path, name: str) -> None:
    path = tmp_path / name
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_text(ONE, encoding="utf-8")
    with pytest.raises(RulesError, match=r"is not read; a page is a plain file that ends in \.yaml"):
        load([shipped("rules"), tmp_path])


def test_a_sheet_in_another_code_is_a_mistake(tmp_path: Path) -> None:
    shop = _shop(tmp_path / "shop")
    (shop / "drawings" / "extra.svg").write_bytes(ONE.encode("utf-16"))
    with pytest.raises(RulesError, match="is not UTF-8 text; save the file as UTF-8"):
        load([shipped("rules"), shop])


def test_every_shipped_sheet_and_state_is_shown(base: Rulebase) -> None:
    shown = {(one.sheet, one.state) for one in base.drawings.values()}
    assert shown == {(one.id, state) for one in base.sheets.values() for state in one.states or ("",)}
