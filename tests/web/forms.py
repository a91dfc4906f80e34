"""A browser without a screen: it reads the forms of a page and sends them, as a press of a button does."""

import re
from collections.abc import Mapping
from html.parser import HTMLParser

from flask import Flask
from werkzeug.test import TestResponse

from advisor.diagnose import Advisor
from advisor.session.dialogue import Dialogue
from advisor.session.events import BALANCE
from advisor.session.hearing import Hearing
from advisor.session.store import Journal

PORT = 8137
HEARINGS: dict[int, Hearing] = {}
VOID = frozenset({"meta", "link", "input", "br", "rect", "line", "circle", "polyline", "img", "hr"})


def balance(advisor: Advisor, *lines: str) -> Dialogue:
    """Return a balance in memory after these lines."""
    hearing = HEARINGS.setdefault(id(advisor.base), Hearing(advisor.base))
    found = Dialogue(advisor, Journal(None), hearing=hearing)
    found.begin(BALANCE)
    for line in lines:
        found.take(line)
    return found


class Form:
    """One form: where it goes, its fields as they stand, and its buttons as (name, value, text)."""

    def __init__(self, action: str, method: str) -> None:
        self.action = action
        self.method = method
        self.fields: list[tuple[str, str]] = []
        self.free: list[str] = []  # names of fields to type in
        self.ticks: list[tuple[str, bool, str]] = []  # value, whether ticked, text
        self.buttons: list[tuple[str, str, str]] = []


class Page(HTMLParser):
    """A page as it reads: every tag with its attributes, its text, its forms."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.forms: list[Form] = []
        self.links: list[str] = []
        self.words: list[str] = []
        self.open: list[str] = []
        self._button: tuple[str, str] | None = None
        self._tick: tuple[str, bool] | None = None
        self._heard: list[str] = []
        self.feed(text)
        self.close()
        assert self.open == [], "every tag is closed"

    @property
    def text(self) -> str:
        """All words of the page, with blanks evened out."""
        return " ".join(" ".join(self.words).split())

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take in a tag."""
        found = {name: value or "" for name, value in attrs}
        assert len(found) == len(attrs), f"an attribute twice in <{tag}>"
        self.tags.append((tag, found))
        if tag not in VOID:
            self.open.append(tag)
        match tag:
            case "form":
                self.forms.append(Form(found.get("action", ""), found.get("method", "get")))
            case "a":
                self.links.append(found.get("href", ""))
            case "input" if found.get("type") == "checkbox":
                self._tick, self._heard = (found["value"], "checked" in found), []
            case "input" if found.get("type") == "hidden":
                self.forms[-1].fields.append((found["name"], found["value"]))
            case "input" | "textarea" | "select":
                self.forms[-1].free.append(found["name"])
            case "button":
                self._button, self._heard = (found.get("name", ""), found.get("value", "")), []

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Take in a tag that closes itself."""
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.handle_endtag(tag)

    def handle_endtag(self, tag: str) -> None:
        """Take in the end of a tag, which must be the one that was opened last."""
        assert self.open.pop() == tag, f"</{tag}> closes another"
        heard = " ".join(" ".join(self._heard).split())
        if tag == "button" and self._button:
            self.forms[-1].buttons.append((*self._button, heard))
            self._button = None
        if tag == "label" and self._tick:
            self.forms[-1].ticks.append((*self._tick, heard))
            self._tick = None

    def handle_data(self, data: str) -> None:
        """Take in words."""
        self.words.append(data)
        self._heard.append(data)


# What somebody types at a terminal, or that there is one: no page says it.
OF_A_TERMINAL = re.compile(
    r"'(?:also|told|stop|undo|help|list|more|know|again|not known|can't|why|where)\b|WORDS|NUMBER\b|FILE\b|Ctrl|"
    r"'(?:drop|not) \d|'save|[Pp]ress Enter|\bEnter (?:shows|takes|goes|ends)|--[a-z]|\btype '|"
    r"\badvisor (?:bench|phone|balance|tune-up|practice|record|report|measure)\b"
)


class Walks:
    """Somebody at a page, who presses its buttons; `get` and `post` come from who knows how to ask."""

    def __init__(self) -> None:
        self.page = Page("")
        self.status = 0
        self.where = ""

    def post(self, path: str, data: Mapping[str, str | list[str]]) -> Page:
        """Send a form's fields."""
        raise NotImplementedError

    def button(self, text: str) -> tuple[Form, tuple[str, str]]:
        """Return the one button of these words, or whose value they are, and its form."""
        every = [(form, one) for form in self.page.forms for one in form.buttons]
        found = [(form, one) for form, one in every if text in {one[1], one[2]}]
        found = found or [(form, one) for form, one in every if text in one[2]]
        assert found, f"no button '{text}' on: {self.page.text}"
        form, (name, value, _) = found[0]
        return form, (name, value)

    def fields(
        self, text: str, ticked: list[int] | None = None, **typed: str
    ) -> tuple[str, dict[str, str | list[str]]]:
        """Return where a button sends its form, and what with; `ticked` are the ticks instead of those that stand."""
        form, (name, value) = self.button(text)
        ticks = [one for one, on, _ in form.ticks if (on if ticked is None else int(one) in ticked)]
        data: dict[str, str | list[str]] = dict(form.fields)
        data |= {"tick": ticks} if form.ticks else {}
        assert set(typed) <= set(form.free), (typed, form.free)
        return form.action, data | typed | ({name: value} if name else {})

    def press(self, text: str, ticked: list[int] | None = None, **typed: str) -> Page:
        """Press a button, after typing in the fields of its form."""
        path, data = self.fields(text, ticked, **typed)
        return self.post(path, data)


class Visitor(Walks):
    """One browser at the pages of an application, with its own cookies."""

    def __init__(self, app: Flask, host: str = f"localhost:{PORT}", *, hostile: bool = False) -> None:
        """`hostile`: it may type what a page then repeats."""
        super().__init__()
        self.hostile = hostile
        self.client = app.test_client()
        self.host = host

    def get(self, path: str, **headers: str) -> Page:
        """Load a page."""
        return self._came(self.client.get(path, headers={"Host": self.host, **headers}, follow_redirects=True))

    def post(self, path: str, data: Mapping[str, str | list[str]], **headers: str) -> Page:
        """Send a form's fields."""
        origin = {"Origin": f"http://{self.host}", "Host": self.host}
        return self._came(self.client.post(path, data=data, headers=origin | headers, follow_redirects=True))

    def _came(self, answer: TestResponse) -> Page:
        self.status, self.where = answer.status_code, answer.request.path
        self.page = Page(answer.get_data(as_text=True))
        if answer.mimetype == "text/html" and not self.hostile:
            assert not OF_A_TERMINAL.search(self.page.text), self.page.text
        answer.close()  # a file of the static ones
        return self.page
