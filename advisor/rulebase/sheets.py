"""The sheets that drawings are made from: SVG in a closed grammar, so that nobody's sheet can do harm on a page.

A sheet says what there is and, by its classes, what it is made of (`look` says how that is drawn). Whatever could
fetch, run or style something else (links, scripts, styles, entities) is not in the grammar, and so is refused.
"""

import re
from collections.abc import Collection
from pathlib import Path
from xml.parsers import expat

import msgspec

from advisor.errors import AdvisorError, Problem, nearest, shortened
from advisor.rulebase.look import LOOK
from advisor.rulebase.source import sheet_bytes, sheet_files
from advisor.rulebase.table_records import Sheet

SVG = "http://www.w3.org/2000/svg"
LINK, STATES = "href", "data-in"  # a reference within the sheet; the states in which a part is drawn
DEEPEST = 16  # elements within each other
SHAPES = {
    "path": ("d",),
    "line": ("x1", "y1", "x2", "y2"),
    "polyline": ("points",),
    "rect": ("x", "y", "width", "height", "rx"),
    "circle": ("cx", "cy", "r"),
    "use": (LINK,),
    "text": ("x", "y", "text-anchor"),
    "g": (),
    "defs": (),
}
OF_ALL = ("class", "transform", STATES, "id")
ID = re.compile(r"[a-z][a-z0-9-]*")
BOX = re.compile(r"0 0 [1-9]\d{1,3} [1-9]\d{1,3}")


class _Open(msgspec.Struct):
    """An element that the parser is in: whether it is drawn only in some states, and whether others may refer to it."""

    name: str
    sometimes: bool
    named: bool


class _Reader:
    """What the parser has met on the way through one sheet."""

    def __init__(self, file: str, problems: list[Problem]) -> None:
        self.file, self.problems = file, problems
        self.parser = expat.ParserCreate("UTF-8", " ")
        self.ids: dict[str, int] = {}
        self.links: list[tuple[str, int]] = []
        self.states: set[str] = set()
        self.within: list[_Open] = []
        self.parser.StartElementHandler = self._start
        self.parser.EndElementHandler = lambda _: self.within.pop()
        self.parser.CharacterDataHandler = self._words
        self.parser.StartDoctypeDeclHandler = lambda *_: self._wrong("a sheet has no DOCTYPE and no entities")
        self.parser.ProcessingInstructionHandler = lambda *_: self._wrong("a sheet calls for no style and no program")

    def read(self, text: str) -> None:
        """Go through the whole text; note every mistake."""
        try:
            self.parser.Parse(text.encode(), True)  # noqa: FBT003 - it is the last part
        except expat.ExpatError as error:
            self._wrong(f"this is not SVG: {expat.ErrorString(error.code)}", error.lineno)
            return
        for link, line in self.links:
            if not link.startswith("#") or link[1:] not in self.ids:
                self._wrong(f"'{link}' is no part of this sheet{nearest(link.removeprefix('#'), self.ids)}", line)

    def _wrong(self, text: str, line: int = 0) -> None:
        self.problems.append(Problem(self.file, line or self.parser.CurrentLineNumber, text))

    def _start(self, tag: str, given: dict[str, str]) -> None:
        space, _, name = tag.rpartition(" ")
        inner = self.within[-1] if self.within else None
        if inner is None:
            self._top(space, name, given)
        elif space != SVG or name not in SHAPES:
            self._wrong(f"<{name}> has no place in a sheet{nearest(name, SHAPES)}; it may hold: {', '.join(SHAPES)}")
        else:
            self._shape(name, given, inner)
        some = given.get(STATES, "").split()
        self.states |= set(some)
        outer = inner or _Open(name, sometimes=False, named=False)
        self.within.append(_Open(name, outer.sometimes or STATES in given, outer.named or "id" in given))
        if len(self.within) == DEEPEST:
            self._wrong(f"<{name}> is the {DEEPEST}th element within others; that is too deep")

    def _words(self, said: str) -> None:
        if said.strip() and self.within[-1].name != "text":
            self._wrong(f"'{shortened(said.strip())}' is not drawn; words belong in <text>")

    def _top(self, space: str, name: str, given: dict[str, str]) -> None:
        if (space, name) != (SVG, "svg"):
            self._wrong(f'a sheet begins with <svg xmlns="{SVG}" viewBox="0 0 400 500">')
        elif not BOX.fullmatch(given.get("viewBox", "")):
            self._wrong('write the size of the sheet in whole numbers, like viewBox="0 0 400 500"')
        self._allowed(name, given, ("viewBox",))

    def _shape(self, name: str, given: dict[str, str], inner: _Open) -> None:
        self._allowed(name, given, (*SHAPES[name], *OF_ALL))
        look = given.get("class", "")
        if look and look not in LOOK:
            self._wrong(f"no class is called '{look}'{nearest(look, LOOK)}; one of: {', '.join(LOOK)}")
        if LINK in given:
            self.links.append((given[LINK], self.parser.CurrentLineNumber))
        if name == "use" and inner.named:
            self._wrong("what others use may use nothing itself; draw it here")
        if "id" in given:
            self._named(given["id"], inner.sometimes or STATES in given)

    def _allowed(self, name: str, given: dict[str, str], may: tuple[str, ...]) -> None:
        for one in given:
            if one not in may:
                said = one.rpartition(" ")[2]
                self._wrong(f"<{name}> takes no '{said}'{nearest(said, may)}; it may have: {', '.join(may)}")

    def _named(self, name: str, sometimes: bool) -> None:
        if not ID.fullmatch(name):
            self._wrong(f"'{shortened(name)}' cannot be an id; use small letters, figures and hyphens, like air-head")
        if name in self.ids:
            self._wrong(f"the id '{name}' is given twice; first in line {self.ids[name]}")
        if sometimes:
            self._wrong(f"'{name}' has an id, so it must be there in every state; put it outside any '{STATES}'")
        self.ids.setdefault(name, self.parser.CurrentLineNumber)


def sheet(name: str, text: str, file: str, problems: list[Problem]) -> Sheet:
    """Return a sheet; note every mistake in it."""
    reader = _Reader(file, problems)
    reader.read(text)
    return Sheet(id=name, file=file, line=0, text=text, states=tuple(sorted(reader.states)))


def read_sheets(folders: list[Path], problems: list[Problem], without: Collection[Path] = ()) -> dict[str, Sheet]:
    """Return the sheets of all folders by name, noting every mistake; one of a later folder replaces an earlier one."""
    found: dict[str, Sheet] = {}
    for path in (one for folder in folders for one in sheet_files(folder) if one not in without):
        try:
            text = sheet_bytes(path).decode("utf-8-sig")
        except AdvisorError as error:
            problems += error.problems
        except UnicodeDecodeError:
            problems.append(Problem(str(path), 0, "is not UTF-8 text; save the file as UTF-8"))
        else:
            found[path.stem] = sheet(path.stem, text, str(path), problems)
    return found
