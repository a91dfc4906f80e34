"""Reads a page of HTML as strictly as it is written: every tag closed in its order, every name of an element once."""

import xml.etree.ElementTree as ET
from html.parser import HTMLParser

import msgspec

VOID = {"meta", "br", "hr", "img", "input", "link"}


def svg_of(text: str) -> ET.Element:
    """Return a drawn picture, read as XML."""
    return ET.fromstring(text)  # noqa: S314 - drawn by the test


class Figure(msgspec.Struct):
    """A figure of a page: its picture's label, the figures of the job in the picture, and the words below."""

    label: str = ""
    said: list[str] = []
    caption: str = ""


class Markup(HTMLParser):
    """The tags of a page in their order, their attributes, its words, and its figures."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[tuple[str, str]] = []
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.words: list[str] = []
        self.figures: list[Figure] = []
        self.feed(page)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take a tag that opens."""
        found = {name: value or "" for name, value in attrs}
        assert len(found) == len(attrs), "an attribute twice"
        self.tags.append(tag)
        self.attributes += found.items()
        if tag == "figure":
            self.figures.append(Figure())
        if tag == "svg" and self._within("figure"):
            assert found["role"] == "img"
            self.figures[-1].label = found.get("aria-label", "") or found["aria-labelledby"]
        if tag not in VOID:
            self.open.append((tag, found.get("class", "")))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take a tag that opens and closes at once."""
        self.handle_starttag(tag, attrs)
        self.open.pop()

    def handle_endtag(self, tag: str) -> None:
        """Take a tag that closes: the last one opened."""
        assert self.open.pop()[0] == tag

    def handle_data(self, data: str) -> None:
        """Take words."""
        if self._within("style"):
            return
        self.words.append(data)
        if self._within("figcaption"):
            self.figures[-1].caption += data
        elif ("g", "said") in self.open and data.strip():
            self.figures[-1].said.append(data.strip())

    def _within(self, tag: str) -> bool:
        return any(one == tag for one, _ in self.open)

    @property
    def text(self) -> str:
        """All words of the page, with single blanks."""
        return " ".join(" ".join(self.words).split())

    def values(self, name: str) -> list[str]:
        """Return the values of an attribute, wherever it stands."""
        return [value for one, value in self.attributes if one == name]
