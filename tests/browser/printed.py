"""A page as it comes out of the printer: its sheets, their words, and where their ink stands."""

import re
from pathlib import Path

import msgspec
import numpy as np
import pypdfium2
from playwright.sync_api import Page

# Width and height in mm: ISO 216, and ANSI/ASME Y14.1 for Letter.
PAPERS = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
PER_MM = 4  # dots
WHITE = 250  # of 255, or more
POINT = 25.4 / 72  # mm


class Sheet(msgspec.Struct, frozen=True):
    """One sheet: its size (mm), its words, and how far its ink stays from each edge (mm: left, top, right, bottom)."""

    size: tuple[float, float]
    text: str
    margins: tuple[float, float, float, float]


def printed(page: Page, paper: str, to: Path) -> list[Sheet]:
    """Print a page as its reader would, and read the file."""
    page.pdf(path=to, format=paper)
    with pypdfium2.PdfDocument(to) as found:
        return [_sheet(found[number]) for number in range(len(found))]


def _sheet(sheet: pypdfium2.PdfPage) -> Sheet:
    dots = np.asarray(sheet.render(scale=PER_MM * POINT, grayscale=True).to_numpy()).squeeze() < WHITE
    across, down = np.flatnonzero(dots.any(axis=0)), np.flatnonzero(dots.any(axis=1))
    edges = (across[0], down[0], dots.shape[1] - 1 - across[-1], dots.shape[0] - 1 - down[-1])
    left, top, right, bottom = (float(one) / PER_MM for one in edges)
    return Sheet(
        size=(sheet.get_width() * POINT, sheet.get_height() * POINT),
        text=sheet.get_textpage().get_text_range(),
        margins=(left, top, right, bottom),
    )


def squeezed(text: str) -> str:
    """Return a text without blanks and hyphens: a line may break anywhere."""
    return re.sub(r"[\s\u00ad\ufffe\u2010-]", "", text)
