"""Whole sessions by forms alone, as somebody at the bench or on the phone goes through them."""

import types
import typing
from http import HTTPStatus
from typing import Any

import msgspec
import pytest
from flask import Flask, g, render_template

from advisor.balance.turns import ADJUSTER, STOP
from advisor.session import shown
from advisor.session.events import ALL_HOLDS, Answered, HandedOver, Noted, PutRight, Read, Told
from advisor.session.next_question import BALANCED, CHECK, HOLDS, REPAIR, Question
from advisor.session.shown import Ended, QuestionShown, Shown
from advisor.session.store import Store
from advisor.sides import BOTH
from advisor.web.desk import ASKING, Desk
from advisor.web.people import Browser
from tests.web.conftest import ByCode
from tests.web.forms import Page, Visitor

LEAKS = "joint-wetting-moves-idle"
SENTENCE = "the revs hang after a blip, and it spits back"


def question(visitor: Visitor, desk: Desk) -> Question:
    """Return the question of the session that a browser is at."""
    return desk.session(int(visitor.where.rsplit("/", 1)[1])).question


# At the bike


def to_the_repair(visitor: Visitor, desk: Desk) -> None:
    """Go to the repair of a leak at the left intake joint: it shows in its own check, and nothing else is looked at."""
    visitor.press("bench", words=SENTENCE)
    visitor.press("workshop")
    visitor.press("What is ticked is so")
    for _ in range(100):
        asked = question(visitor, desk)
        if asked.kind != CHECK:
            break
        leaks = [
            number
            for number, option in enumerate(asked.options, start=1)
            if any(one.seen and one.sign == LEAKS and one.side == "left" for one in option.reports)
        ]
        visitor.press(str(leaks[0]) if leaks else "can't")
    assert asked.kind == REPAIR
    assert "joint" in asked.title


def test_a_fault_is_found_put_right_and_proven(visitor: Visitor, desk: Desk, store: Store) -> None:
    to_the_repair(visitor, desk)
    visitor.press("1")
    assert isinstance(store.events(1)[-1], PutRight)
    assert question(visitor, desk).kind == HOLDS
    visitor.press(ALL_HOLDS)
    assert "put right and proven" in visitor.page.text
    visitor.press("End it here")
    assert "Fixed" in visitor.page.text
    assert "joint" in visitor.get("/session/1/record").text
    assert not visitor.get("/").text.count(SENTENCE), "it is not open any more"
    assert "put right" in visitor.get("/sessions?words=hang").text


def test_what_is_still_there_after_a_repair_is_ticked(visitor: Visitor, desk: Desk, store: Store) -> None:
    to_the_repair(visitor, desk)
    visitor.press("1")
    asked = question(visitor, desk)
    assert len(asked.options) > 2
    form, _ = visitor.button("What is ticked is still there")
    assert [int(value) for value, *_ in form.ticks] == [
        number for number, one in enumerate(asked.options, start=1) if one.event is None and number > 1
    ]
    ways = [f"{number}" for number, one in enumerate(asked.options, start=1) if one.event is not None]
    assert ways
    assert all(visitor.button(way)[0] is not form for way in ways), "a way elsewhere is nothing that is still there"
    visitor.press("What is ticked is still there")
    assert "tick what is still there" in visitor.page.text.lower()
    visitor.press("What is ticked is still there", ticked=[2, 3])
    last = store.events(1)[-1]
    assert isinstance(last, Answered)
    assert last.says == f"{asked.options[1].says} {asked.options[2].says}"


def test_what_was_understood_can_be_crossed_out(visitor: Visitor, store: Store) -> None:
    visitor.press("bench", words="won't idle evenly since I did the valves, but it starts fine")
    visitor.press("workshop")
    form, _ = visitor.button("What is ticked is so")
    assert [(on, says) for _, on, says in form.ticks] == [
        (True, "Bad idle"),
        (True, "Began after work on valves or heads"),
        (True, "Not: Hard to start"),
    ]
    visitor.press("What is ticked is so", ticked=[1, 2])
    (told,) = (one for one in store.events(1) if isinstance(one, Told))
    assert [(one.sign, one.seen) for one in told.reports] == [("idle-bad", True), ("began-after-valve-work", True)]


def test_words_that_mean_nothing_lead_to_the_main_troubles(visitor: Visitor, store: Store) -> None:
    visitor.press("bench", words="xyzzy")
    visitor.press("workshop")
    assert "What is it most like?" in visitor.page.text
    form, _ = visitor.button("That is it")
    assert form.ticks
    assert not any(on for _, on, _ in form.ticks)
    visitor.press("That is it", ticked=[1])
    assert sum(isinstance(one, Told) for one in store.events(1)) == 1


def test_figures_are_typed_in_fields(visitor: Visitor, desk: Desk, store: Store) -> None:
    """Of the first check that takes figures, each in its own field; left stands on the left."""
    visitor.press("bench", words="the balance won't hold")
    visitor.press("workshop")
    visitor.press("What is ticked is so")
    for _ in range(25):
        asked = question(visitor, desk)
        if asked.takes:
            break
        visitor.press("not known")
    form, _ = visitor.button("Take these figures")
    names = [one for one in form.free if one.endswith((".left", ".right"))]
    assert names == sorted(names, key=lambda one: (form.free.index(one.rpartition(".")[0] + ".left"), one))
    page = desk.advisor.base.readings[asked.takes[0]]
    middle = f"{(page.lowest + page.highest) / 2:.2f}"
    visitor.press("Take these figures", None, **{one: middle for one in form.free if one.startswith(asked.takes[0])})
    taken = [one for one in store.events(1) if isinstance(one, Read | Answered) and one.readings]
    assert {one.reading for one in taken[-1].readings} == {asked.takes[0]}


def test_a_form_without_its_figures_loses_nothing(visitor: Visitor) -> None:
    visitor.press("balance")
    for button in ("1", "3", "2", "1"):
        visitor.press(button)
    page = visitor.press("Take these figures", left="240", revs="1000")
    assert visitor.status == HTTPStatus.UNPROCESSABLE_ENTITY
    assert "both figures" in page.text
    typed = {one["name"]: one["value"] for tag, one in page.tags if tag == "input" and "inputmode" in one}
    assert typed == {"left": "240", "right": "", "revs": "1000"}


def test_tools_are_asked_for_when_a_step_needs_one_and_can_be_listed(visitor: Visitor, desk: Desk) -> None:
    visitor.press("bench", words="it idles badly")
    visitor.press("mechanic")
    visitor.press("What is ticked is so")
    for _ in range(30):
        if "Have you got" in visitor.page.text:
            break
        visitor.press("not known")
    visitor.press("undo")
    assert "Have you got" not in visitor.page.text, "the answer that led to it is asked for again"
    visitor.press("not known")
    visitor.press("Yes")
    assert desk.session(1).state.sure
    while "Have you got" in visitor.page.text:
        visitor.press("No")
    visitor.press("tools")
    form, _ = visitor.button("That is what is there")
    on = [int(value) for value, is_on, _ in form.ticks if is_on]
    assert on
    visitor.press("That is what is there", ticked=[])
    assert desk.session(1).state.sure == frozenset()
    visitor.press("who")
    visitor.press("workshop")
    assert desk.session(1).state.case.means.person == "workshop"


def test_the_last_answer_is_taken_back(visitor: Visitor, desk: Desk) -> None:
    visitor.press("bench", words="it idles badly")
    visitor.press("workshop")
    visitor.press("What is ticked is so")
    before = question(visitor, desk)
    visitor.press("not known")
    visitor.press("undo")
    assert "Taken back" in visitor.page.text
    assert question(visitor, desk) == before


def test_more_is_told_in_words(visitor: Visitor, desk: Desk) -> None:
    visitor.press("bench", words="it idles badly")
    visitor.press("workshop")
    visitor.press("What is ticked is so")
    visitor.press("Something else", words="it backfires when I close the throttle")
    visitor.press("What is ticked is so")
    assert len(desk.session(1).all_said()) == 2
    visitor.press("That is the answer", words="gibberish of no meaning")
    assert "is not an answer here" in visitor.page.text
    assert question(visitor, desk).title in visitor.page.text, "the question stands below"


# On the phone


def test_a_call_ends_with_its_sheet(visitor: Visitor, desk: Desk, store: Store) -> None:
    visitor.press("phone", words="one exhaust is cold")
    assert question(visitor, desk)
    assert "Which of it is so?" in visitor.page.text, "nothing is ticked yet, so there is nothing to cross out"
    visitor.press("That is it", ticked=[1])
    assert "Read back “So: The left exhaust stays cooler. Is that right?”" in visitor.page.text
    assert "Say “" in visitor.page.text
    visitor.press("Keep it", about="name", words="Ann Example")
    assert isinstance(store.events(1)[-1], Noted)
    visitor.press("not known")
    visitor.press("End the call")
    assert isinstance(store.events(1)[-1], HandedOver)
    assert "It is kept" in visitor.page.text
    sheet = visitor.get("/session/1/sheet").text
    assert "For the workshop" in sheet
    assert "Ann Example" in sheet
    assert "The left exhaust stays cooler" in sheet


def test_danger_comes_first(visitor: Visitor) -> None:
    visitor.press("phone", words="fuel drips and one exhaust is cold")
    text = visitor.page.text
    assert text.index("Take care, if it is so") < text.index("I understood this")
    visitor.press("What is ticked is so")
    text = visitor.page.text
    assert text.index("Stop Fuel tap off") < text.index("Say “")
    assert "Do not ride it" in text


# The balance


class Bench:
    """A plain bench: what a column stands at and how fast it idles follow the screws in straight lines."""

    def __init__(self) -> None:
        self.stops = dict.fromkeys(BOTH, 0)  # sixteenths of a turn in
        self.cables = dict.fromkeys(BOTH, 0)

    def turn(self, asked: Question) -> None:
        """Turn what is asked for."""
        for one in asked.turns:
            assert one.side
            screws = {STOP: self.stops, ADJUSTER: self.cables}[one.screw]
            screws[one.side] += one.sixteenths

    def read(self, asked: Question) -> dict[str, str]:
        """Return what the fields of a question are to hold."""
        if asked.takes[0] == "drop-idle":
            return {"left": "210", "right": "215"}
        off_idle = asked.takes[0] == "column-off-idle"
        if off_idle:  # an adjuster turned in gives slack: that throttle closes, and its column rises
            found = {side: f"{start + 5 * self.cables[side]:.0f}" for side, start in zip(BOTH, (120, 150), strict=True)}
        else:
            found = {side: f"{start - 5 * self.stops[side]:.0f}" for side, start in zip(BOTH, (240, 205), strict=True)}
        revs = 980 + 12 * sum(self.stops.values())
        return {**found} | ({"revs": f"{revs}"} if len(asked.takes) > 1 else {})


def test_a_balance_is_led_to_its_end(visitor: Visitor, desk: Desk, store: Store) -> None:
    visitor.press("balance")
    for button in ("1", "3", "2", "1"):
        visitor.press(button)
    bench, drawn = Bench(), 0
    for _ in range(40):
        asked = question(visitor, desk)
        if asked.kind == BALANCED:
            break
        drawn += any(tag == "rect" and one.get("class") == "left" for tag, one in visitor.page.tags)
        if asked.takes == ("idle-speed",):
            visitor.press("Take these figures", figure=f"{980 + 12 * sum(bench.stops.values())}")
        elif asked.takes:
            bench.turn(asked)
            visitor.press("Take these figures", None, **bench.read(asked))
        else:
            visitor.press("1")
    assert asked.kind == BALANCED
    assert drawn > 2
    assert "It is balanced" in visitor.page.text
    left, right = ([240, 205][number] - 5 * bench.stops[side] for number, side in enumerate(BOTH))
    assert abs(left - right) <= 10, "mmHg: the limit of the pages"
    assert visitor.get("/session/1/record").text
    assert sum(isinstance(one, Read) for one in store.events(1)) > 4


def test_left_is_drawn_on_the_left(visitor: Visitor) -> None:
    visitor.press("balance")
    for button in ("1", "3", "2", "1"):
        visitor.press(button)
    page = visitor.press("Take these figures", left="240", right="205", revs="1000")
    columns = {one["class"]: one for tag, one in page.tags if tag == "rect" and one.get("class") in BOTH}
    assert float(columns["left"]["x"]) < float(columns["right"]["x"])
    assert float(columns["left"]["height"]) > float(columns["right"]["height"])
    fields = [one["name"] for tag, one in page.tags if tag == "input" and "inputmode" in one]
    assert fields == ["left", "right", "revs"]


def test_a_tune_up_goes_in_its_order(visitor: Visitor, desk: Desk) -> None:
    visitor.press("tune-up")
    assert question(visitor, desk).title.startswith("Now: ")
    seen = [question(visitor, desk).title]
    for _ in range(3):
        visitor.press("Done lately")
        seen.append(question(visitor, desk).title)
    assert len(set(seen)) == len(seen)


# Twice, and two


def test_a_page_loaded_again_answers_nothing_twice(visitor: Visitor, store: Store) -> None:
    path, data = visitor.fields("bench", words="it idles badly")
    for _ in range(3):
        visitor.post(path, data)
    assert len(store.sessions("bench")) == 1
    visitor.press("workshop")
    path, data = visitor.fields("What is ticked is so")
    for _ in range(3):
        visitor.post(path, data)
    path, data = visitor.fields("not known")
    count = len(store.events(1))
    for _ in range(3):
        visitor.post(path, data)
        assert "was not taken" not in visitor.page.text
    assert len(store.events(1)) == count + 1
    text = visitor.page.text
    assert visitor.get("/session/1").text == text


def test_the_second_of_two_people_is_told(app: Flask, visitor: Visitor, desk: Desk, store: Store) -> None:
    other = Visitor(app)
    visitor.press("bench", words="it idles badly")
    visitor.press("workshop")
    visitor.press("What is ticked is so")
    other.get("/session/1")
    title = question(visitor, desk).title
    visitor.press("not known")
    events = store.events(1)
    other.press("That is the answer", words="it rattles at the left")
    assert "Somebody else went on here meanwhile" in other.page.text
    assert f"not known: {title}" in other.page.text
    assert "it rattles at the left" in [one.get("value") for tag, one in other.page.tags if tag == "input"]
    assert store.events(1) == events
    other.press("not known")
    assert "Somebody else" not in other.page.text.replace("Somebody else is at the bike", "")
    assert len(store.events(1)) == len(events) + 1


def test_an_open_page_can_ask_whether_somebody_has_answered(visitor: Visitor, store: Store) -> None:
    visitor.press("bench", words="it idles badly")
    answer = visitor.client.get("/session/1/events", headers={"Host": visitor.host})
    assert answer.json == {"events": len(store.events(1))}


# The list


def test_sessions_are_listed_and_looked_for(visitor: Visitor) -> None:
    visitor.press("bench", words="it idles badly in the mornings")
    visitor.get("/")
    visitor.press("phone", words="it stalls at stops")
    visitor.press("Keep it", about="name", words="Ann Example")
    start = visitor.get("/").text
    assert "Open at the bike" in start
    assert "Open calls" in start
    assert "mornings" in visitor.get("/sessions?words=MORNINGS").text
    assert "None of this kind has these words" in visitor.get("/sessions?words=stalls&kind=bench").text
    assert "Call, Ann Example" in visitor.get("/sessions?words=stalls").text
    assert "it stalls at stops" in visitor.get("/sessions?kind=phone&words=ann").text
    assert "mornings" in visitor.get("/sessions?kind=nonsense").text
    assert "/session/1" in visitor.get("/sessions").links


def test_on_a_network_the_list_has_the_own_ones(by_code: ByCode) -> None:
    for number in range(3):
        visitor = by_code.let_in()
        visitor.get("/")
        visitor.press("bench", words=f"it idles badly, place {number}")
        found = visitor.get("/sessions").text
        assert [f"place {other}" in found for other in range(3)] == [other == number for other in range(3)]


# Every record is drawn


def sample(kind: Any, name: str = "") -> Any:  # noqa: PLR0911 - one return a kind of type
    """Return a value of a type, as full as it can be: every tuple has an item, every text its field's name."""
    origin = typing.get_origin(kind)
    if origin in {typing.Union, types.UnionType}:
        options = [one for one in typing.get_args(kind) if one is not type(None)]
        return sample(options[0], name)
    if origin is typing.Literal:
        return typing.get_args(kind)[0]
    if origin in {tuple, list}:
        inside = [one for one in typing.get_args(kind) if one is not Ellipsis]
        return tuple(sample(one, name) for one in inside)
    if origin is frozenset:
        return frozenset({sample(typing.get_args(kind)[0], name)})
    if origin is dict:
        key, value = typing.get_args(kind)
        return {sample(key, name): sample(value, name)}
    if isinstance(kind, type) and issubclass(kind, msgspec.Struct):
        hints = typing.get_type_hints(kind)
        return kind(**{one.name: sample(hints[one.name], one.name) for one in msgspec.structs.fields(kind)})
    return {str: f"the {name}", int: 1, float: 0.5, bool: True}.get(kind, f"the {name}")


# No page waits for words or for a file; the other two stand below a list.
NOT_ALONE = (shown.AskWords, shown.AskReplace, shown.AskNumbers, shown.AskTools)


def records() -> list[Any]:
    return [pytest.param(one, id=one.__name__) for one in typing.get_args(Shown) if one not in NOT_ALONE]


@pytest.mark.parametrize("kind", records())
@pytest.mark.parametrize("session", ["bench", "phone"])
def test_every_record_of_a_dialogue_is_drawn(
    kind: type, session: str, app: Flask, visitor: Visitor, desk: Desk
) -> None:
    visitor.press("bench", words="it idles badly")
    one = sample(kind)
    if hasattr(one, "kind"):
        one = msgspec.structs.replace(one, kind=session)
    if kind is shown.KeptInWords:
        one = shown.KeptInWords(number=1)
    browser = Browser("x" * 43)
    plain = desk.turn(1, browser)
    turn = msgspec.structs.replace(plain, shown=() if kind in ASKING else (one,), asks=(one,) if kind in ASKING else ())
    if kind in {shown.Understood, shown.Troubles}:
        turn = msgspec.structs.replace(turn, asks=(one, shown.AskNumbers(most=1)))
    bare = msgspec.structs.replace(turn, shown=(), asks=())
    with app.test_request_context(headers={"Host": visitor.host}):
        g.browser = browser
        given = {
            "at": desk.session(1),
            "rows": (),
            "columns": None,
            "shows": None,
            "mistake": "",
            "given": {},
            "said": (),
        }
        given |= {"live": None, "moves": None, "does": {}, "follows": ""}
        with_it, without = (render_template("session.html", turn=one, **given) for one in (turn, bare))
    assert len(Page(with_it).text) > len(Page(without).text) or kind in {Ended, QuestionShown}
