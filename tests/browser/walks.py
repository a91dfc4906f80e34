"""Ways through the pages that come by every kind of them. Each step of a way yields the name of the page it is at."""

from collections.abc import Callable, Iterator
from http import HTTPStatus

from advisor.session.next_question import BALANCED, CHECK, REPAIR, Question
from tests.browser.chromium import Tab
from tests.browser.served import Pages
from tests.web.test_pages import SENTENCE, Bench

Way = Callable[[Tab, Pages], Iterator[str]]
LOOKS = ("where", "why", "told", "what-if?answer=1", "sheet", "record", "why?cause=joint")


def question(tab: Tab, pages: Pages) -> Question:
    """Return what is asked at the session that a tab is at."""
    return pages.desk.session(int(tab.page.url.rsplit("/", 1)[1])).question


def begin(tab: Tab, kind: str, words: str = "") -> None:
    """Begin a session."""
    tab.go("/")
    if words:
        tab.type(words=words)
    tab.press(kind)


def at_the_bike(tab: Tab, pages: Pages) -> Iterator[str]:
    """Go from a sentence to a cause that is put right and proven, and look at every page on the way."""
    tab.refused.add(HTTPStatus.UNPROCESSABLE_ENTITY)
    tab.go("/")
    yield "start"
    tab.press("I am at the bike")
    yield "start, nothing said"
    tab.type(words=SENTENCE)
    tab.press("I am at the bike")
    yield "who"
    tab.press("Workshop")
    yield "understood"
    tab.press("What is ticked is so")
    yield "question"
    yield from looks(tab)
    yield from to_the_repair(tab, pages)
    yield "repair"
    tab.number(1)
    yield "does it hold"
    tab.press("What is ticked is still there")
    yield "does it hold, nothing ticked"
    tab.number(1)
    yield "fixed"
    tab.press("End it here")
    yield "ended"
    tab.press("The record")
    yield "record"


def looks(tab: Tab) -> Iterator[str]:
    """Look at all pages that only look, say more, and take an answer back."""
    home = tab.page.url
    for name in LOOKS:
        tab.go(f"{home}/{name}")
        yield f"look: {name}"
    tab.go(home)
    for words, back in (("Tools", "That is what is there"), ("Somebody else is at the bike", "Workshop")):
        tab.unfold()
        tab.press(words)
        yield words
        tab.press(back)
    tab.page.get_by_label("In words").fill("it backfires when I close the throttle")
    tab.press("Something else")
    yield "something else"
    tab.press("What is ticked is so")
    tab.press("Not known")
    tab.press("Undo the last answer")
    yield "undone"


def to_the_repair(tab: Tab, pages: Pages) -> Iterator[str]:
    """Answer each check so that the likeliest cause becomes likelier still."""
    for _ in range(40):
        asked = question(tab, pages)
        if asked.kind != CHECK:
            break
        yield f"check: {asked.title}"
        chances = [one.chance for one in asked.options]
        tab.number(chances.index(max(chances)) + 1)
    assert asked.kind == REPAIR


def by_figures(tab: Tab, pages: Pages) -> Iterator[str]:
    """Lead a balance from its first question to its end."""
    tab.refused.add(HTTPStatus.UNPROCESSABLE_ENTITY)
    begin(tab, "Balance the carburettors")
    for number in (1, 3, 2, 1):
        yield f"balance: {question(tab, pages).title}"
        tab.number(number)
    tab.type(left="240")
    tab.press("Take these figures")
    yield "balance: a figure is missing"
    yield from to_the_balance(tab, pages)
    yield "balanced"
    tab.press("The record")
    yield "balance: record"


def to_the_balance(tab: Tab, pages: Pages) -> Iterator[str]:
    """Turn and read as asked until it is balanced; after the first turn look at what can be looked at."""
    bench, turns, home = Bench(), 0, tab.page.url
    for _ in range(40):
        asked = question(tab, pages)
        if asked.kind == BALANCED:
            break
        yield f"balance: {asked.title}"
        if asked.takes == ("idle-speed",):
            tab.type(figure=f"{980 + 12 * sum(bench.stops.values())}")
        elif asked.takes:
            bench.turn(asked)
            tab.type(**bench.read(asked))
        if asked.takes:
            tab.press("Take these figures")
        else:
            tab.number(1)
        turns += bool(asked.turns)
        if asked.turns and turns == 1:
            for name in ("where", "why", "told"):
                tab.go(f"{home}/{name}")
                yield f"balance: look: {name}"
            tab.go(home)
    assert asked.kind == BALANCED


def on_the_phone(tab: Tab, pages: Pages) -> Iterator[str]:
    """Take a call to its sheet, and the beginning of one with a danger in it."""
    begin(tab, "A rider is on the phone", "one exhaust is cold")
    yield "call: understood"
    tab.page.get_by_label("The left exhaust stays cooler").check()
    tab.press("That is it")
    yield "call: question"
    assert question(tab, pages).kind == CHECK
    tab.number(1)
    tab.unfold()
    tab.page.get_by_label("What to keep").fill("Ann Example")
    tab.press("Keep it")
    yield "call: noted"
    tab.press("End the call")
    yield "call: ended"
    tab.press("The sheet for the workshop")
    yield "call: sheet"
    begin(tab, "A rider is on the phone", "fuel drips and one exhaust is cold")
    yield "call: danger, understood"
    tab.press("What is ticked is so")
    yield "call: danger"


def others(tab: Tab, pages: Pages) -> Iterator[str]:
    """Go to the pages that no other way comes by."""
    begin(tab, "I am at the bike", "xyzzy")
    tab.press("Mechanic")
    yield "troubles"
    begin(tab, "A whole tune-up")
    yield "tune-up"
    begin(tab, "I am at the bike", "the balance won't hold")
    tab.press("What is ticked is so")
    asks_figures = asks_tool = False
    for _ in range(30):
        if "Have you got" in tab.heading:
            if not asks_tool:
                yield "tool"
            asks_tool = True
            tab.press("Yes")
        elif question(tab, pages).takes and not asks_figures:
            asks_figures = True
            yield "check with figures"
        elif asks_figures and asks_tool:
            break
        else:
            tab.press("Not known")
    assert asks_figures
    assert asks_tool
    tab.go("/")
    yield "start with open sessions"
    tab.go("/sessions")
    yield "list"
    tab.go("/sessions?kind=phone&words=nothing+like+it")
    yield "list with nothing on it"
    tab.refused.add(HTTPStatus.NOT_FOUND)
    tab.go("/session/999")
    yield "error"


WAYS: dict[str, Way] = {one.__name__: one for one in (at_the_bike, by_figures, on_the_phone, others)}
