"""Draws a picture as SVG to stand in a page: text as text, colours of the page, nothing fetched, no id that clashes.

**The only module that imports matplotlib's canvas.** A picture is the same each time it is drawn. Its colours are names
that the page's style sheet gives a value, so that it is dark at night and black on white on paper.
"""

import io
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import matplotlib as mpl
import msgspec
from matplotlib.axes import Axes
from matplotlib.backends.backend_svg import FigureCanvasSVG
from matplotlib.figure import Figure

from advisor.visible import visible

# Each stands for a colour of the page. The figures are unlike any that matplotlib has of its own.
INK, FAINT, LINE, FILL, MARK = "#010203", "#020304", "#030405", "#040506", "#050607"
COLOURS = {INK: "ink", FAINT: "faint", LINE: "line", FILL: "fill", MARK: "mark"}
WIDE = (
    5.0  # inches: at 72 points to the inch about the width of a telephone's screen, so that its letters stay as large
)
SAID = "said"  # what has a figure of the job, which the words beside the picture must say too
STYLE = {
    "axes.edgecolor": FAINT,
    "axes.facecolor": "none",
    "axes.labelcolor": INK,
    "axes.labelsize": 11,
    "axes.linewidth": 0.8,
    "axes.spines.right": False,
    "axes.spines.top": False,
    "axes.formatter.useoffset": False,
    "axes.formatter.use_mathtext": False,
    "figure.facecolor": "none",
    "figure.constrained_layout.use": True,
    "font.size": 11,
    "path.simplify": False,
    "svg.fonttype": "none",
    "svg.hashsalt": "advisor",
    "text.color": INK,
    "text.parse_math": False,  # a dollar in a name is a dollar
    "xtick.color": FAINT,
    "xtick.labelcolor": INK,
    "ytick.color": FAINT,
    "ytick.labelcolor": INK,
}
LINKED = "{http://www.w3.org/1999/xlink}href"


class Picture(msgspec.Struct, frozen=True, kw_only=True):
    """A picture for a page: its title, what it shows in short, all its figures in `lines` of words, and its SVG."""

    title: str
    label: str
    lines: tuple[str, ...]
    svg: str


def drawn(draw: Callable[[Figure], None], name: str, label: str, high: float) -> str:
    """Return as SVG what `draw` draws; `name` keeps its ids apart from other pictures', `high` is in inches."""
    with _style():
        figure = Figure(figsize=(WIDE, high))
        canvas = FigureCanvasSVG(figure)
        draw(figure)
        for one in figure.findobj(lambda artist: hasattr(artist, "set_clip_on")):
            one.set_clip_on(False)  # a clip is kept under an id, and all that is drawn here lies within its axes
        sheet = io.StringIO()
        canvas.print_svg(sheet, metadata={"Date": None, "Creator": None})  # type: ignore[no-untyped-call]
    return _for_a_page(sheet.getvalue(), name, visible(label))


@contextmanager
def _style() -> Iterator[None]:
    """Draw by this style alone, whatever the user's own settings of the library are."""
    with mpl.rc_context():
        mpl.rcdefaults()
        mpl.rcParams.update(STYLE)  # type: ignore[arg-type] # it knows only its own names
        yield


def said(axes: Axes, x: float, y: float, text: str, **how: object) -> None:
    """Write a figure of the job into a picture, on one line."""
    axes.text(x, y, visible(" ".join(text.split())), gid=SAID, **how)  # type: ignore[arg-type] # the library's own keywords


def _for_a_page(text: str, name: str, label: str) -> str:
    root = ET.fromstring(text)  # noqa: S314 - written by the library a moment ago
    for parent in list(root.iter()):
        for child in [one for one in parent if _bare(one.tag) in {"metadata", "style"}]:
            parent.remove(child)
    used = {one.get(LINKED, "").removeprefix("#") for one in root.iter()} - {""}
    for one in root.iter():
        one.tag = _bare(one.tag)
        kept = {_bare(key): _coloured(value) for key, value in one.attrib.items()}
        own = kept.pop("id", "")
        if own in used:
            kept["id"] = f"{name}-{own}"
        elif own == SAID:
            kept["class"] = SAID
        if "href" in kept:
            kept["href"] = f"#{name}-{kept['href'].removeprefix('#')}"
        one.attrib.clear()
        one.attrib.update(kept)
    root.attrib = {"viewBox": root.get("viewBox", ""), "role": "img", "aria-label": label}
    return ET.tostring(root, encoding="unicode")


def _bare(name: str) -> str:
    return name.rpartition("}")[2]


def _coloured(value: str) -> str:
    for colour, name in COLOURS.items():
        value = value.replace(colour, f"var(--{name})")
    return value
