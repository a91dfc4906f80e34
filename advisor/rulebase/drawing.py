"""A drawing as SVG to put into a page: its sheet in one state, with title and words for those who cannot see it."""

import re
from functools import lru_cache
from xml.etree import ElementTree as ET

from advisor.errors import AdvisorError, nearest
from advisor.rulebase.look import LOOK
from advisor.rulebase.model import Rulebase
from advisor.rulebase.sheets import LINK, STATES, SVG
from advisor.rulebase.table_records import Drawing, Sheet

FONT = "system-ui, sans-serif"
NOT_IN_AN_ID = re.compile(r"[^A-Za-z0-9-]")


def drawing(name: str, base: Rulebase, copy: str = "") -> str:
    """Return the SVG text of a drawing. It has no size of its own: it fills the width of what it is put into.

    Every id in it begins with the drawing's name, so two drawings on one page do not clash; where one page shows the
    same drawing twice, give each a `copy` of its own. Raises AdvisorError if there is no such drawing.
    """
    if name not in base.drawings:
        msg = f"no drawing is called '{name}'{nearest(name, base.drawings)}"
        raise AdvisorError(msg)
    page = base.drawings[name]
    mark = NOT_IN_AN_ID.sub(lambda found: f"_{ord(found[0]):x}_", f"{name}{copy}")
    return _drawn(page, base.sheets[page.sheet], mark)


@lru_cache(maxsize=64)
def _drawn(page: Drawing, sheet: Sheet, mark: str) -> str:
    top = ET.fromstring(sheet.text)  # noqa: S314 - it was read by the closed grammar of sheets, without any entity
    _leave_out(top, page.state)
    for one in top.iter():
        one.tag = one.tag.removeprefix(f"{{{SVG}}}")
        one.text, one.tail = one.text if one.tag == "text" else None, None
        for attribute, value in LOOK.get(one.attrib.pop("class", ""), {}).items():
            one.set(attribute, value)
        if "id" in one.attrib:
            one.set("id", f"{mark}-{one.attrib['id']}")
        if LINK in one.attrib:
            one.set(LINK, f"#{mark}-{one.attrib[LINK].removeprefix('#')}")
        one.attrib.pop(STATES, None)
    title, words = f"{mark}--title", f"{mark}--words"  # no id of a sheet can be one of these
    top[:] = [_words("title", page.title, title), _words("desc", page.says, words), *top]
    top.attrib |= {"xmlns": SVG, "font-family": FONT, "role": "img"}
    top.attrib |= {"aria-labelledby": title, "aria-describedby": words}
    return ET.tostring(top, encoding="unicode")


def _leave_out(element: ET.Element, state: str) -> None:
    """Take out what is drawn in other states only."""
    element[:] = [one for one in element if STATES not in one.attrib or state in one.attrib[STATES].split()]
    for one in element:
        _leave_out(one, state)


def _words(tag: str, text: str, name: str) -> ET.Element:
    element = ET.Element(tag, {"id": name})
    element.text = text.strip()
    return element
