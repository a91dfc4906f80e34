"""The browser of the system, and what it does at a page: each request, each complaint, each broken policy."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Literal
from urllib.parse import urlsplit

from playwright.sync_api import Browser, ConsoleMessage, Locator, Page, sync_playwright

PHONE, DESKTOP, NARROWEST = (390, 844), (1280, 800), (320, 640)  # CSS pixels
SIZES = (PHONE, DESKTOP)
Size = tuple[int, int]
Scheme = Literal["light", "dark"]
SCHEMES: tuple[Scheme, Scheme] = ("light", "dark")
HERE = {"127.0.0.1", "localhost"}
NOT_SENT = {"data", "file", "about"}  # addresses that go nowhere
QUIET = (
    "--disable-gpu",
    "--host-resolver-rules=MAP * ~NOTFOUND , EXCLUDE 127.0.0.1 , EXCLUDE localhost",
)  # it finds no other machine
PATIENCE = 20_000  # ms for one thing that a page is to do


@contextmanager
def running(path: str) -> Iterator[Browser]:
    """Start the browser, and end it whatever happens. If this process is killed, its driver ends it."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=list(QUIET))
        try:
            yield browser
        finally:
            browser.close()


class Tab:
    """One browser of one person, with its own cookies: a page, all that it asked for, and all that went wrong on it."""

    def __init__(
        self, browser: Browser, address: str, size: Size = PHONE, scheme: Scheme = "light", *, script: bool = True
    ) -> None:
        self.context = browser.new_context(
            base_url=address,
            viewport={"width": size[0], "height": size[1]},
            color_scheme=scheme,
            java_script_enabled=script,
        )
        self.context.set_default_timeout(PATIENCE)
        self.asked: list[str] = []
        self.wrong: list[str] = []
        self.refused: set[int] = set()  # statuses that a test asks for: the console names each
        self.context.on("request", lambda one: self.asked.append(one.url))
        self.context.on("console", self._console)
        self.context.on("weberror", lambda one: self.wrong.append(f"script: {one.error}"))
        self.page: Page = self.context.new_page()

    def _console(self, said: ConsoleMessage) -> None:
        asked_for = any(f"responded with a status of {one} " in said.text for one in self.refused)
        if said.type in {"error", "warning"} and not asked_for:
            self.wrong.append(f"{said.page.url if said.page else ''}: {said.text}")

    def close(self) -> None:
        """Close it."""
        self.context.close()

    def was_clean(self) -> None:
        """Raise AssertionError if anything went wrong, or a request left this machine."""
        assert self.left() == [], "asked for elsewhere"
        assert self.wrong == [], "the console says so"

    def left(self) -> list[str]:
        """Return what was asked for elsewhere than on this machine."""
        parts = [(one, urlsplit(one)) for one in self.asked]
        return [one for one, found in parts if found.scheme not in NOT_SENT and found.hostname not in HERE]

    def go(self, path: str) -> Page:
        """Load a page."""
        self.page.goto(path)
        return self.page

    def control(self, words: str) -> Locator:
        """Return the first button or link that has these words."""
        return self.page.get_by_role("button", name=words).or_(self.page.get_by_role("link", name=words)).first

    def press(self, words: str) -> Page:
        """Press a button or link that has these words, and wait for the page that comes."""
        with self.page.expect_navigation():
            self.control(words).click()
        return self.page

    def number(self, number: int) -> Page:
        """Press the answer of a number."""
        with self.page.expect_navigation():
            self.page.locator(f"button[name=say][value='{number}']").first.click()
        return self.page

    def type(self, **figures: str) -> None:
        """Type into fields by their names."""
        for name, value in figures.items():
            self.page.locator(f"[name='{name}']").first.fill(value)

    def unfold(self) -> None:
        """Open all that is folded away."""
        folded = self.page.locator("details:not([open]) > summary:visible")
        while folded.count():
            folded.first.click()

    @property
    def heading(self) -> str:
        """The heading of the page."""
        return self.page.locator("h1").first.inner_text()
