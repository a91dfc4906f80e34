"""What was written with other rules is kept, named, and never in the way."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Bike, Means
from advisor.diagnose import Advisor
from advisor.intake.casefile import parse_case
from advisor.intake.valid import refuse_invalid
from advisor.rulebase import Rulebase
from advisor.session.dialogue import Dialogue
from advisor.session.events import (
    ALL_HOLDS,
    Answered,
    AtHand,
    Began,
    Event,
    HandedOver,
    OfBike,
    PutRight,
    Read,
    RuledOut,
    Skipped,
    Told,
    Undone,
)
from advisor.session.hearing import Hearing
from advisor.session.known_here import known_here
from advisor.session.shown import Ended, OtherRules, SaveAs, Sheet, Standing
from advisor.session.state import fold
from advisor.session.store import Journal
from advisor.yaml_nodes import read_text
from tests.cases import figure, report

SHOP = Means(person="mechanic", tools=frozenset({"shop-tool"}), engine="warm")


def written(base: Rulebase) -> list[Event]:
    """Return the events of a session with other rules: each kind of name is not known here, and one is."""
    reading = figure("idle-speed", None, 1000.0, base)
    return [
        Began("phone", "it hangs", ("/a shop/rules",)),
        AtHand(SHOP),
        OfBike(Bike(name="nine", parts={"shop-part": "blue"}, figures={"shop-figure": (1.0, 2.0)}, tyre="wide")),
        Told((report("idle-hangs", how="told"), report("shop-sign", "left"), report("idle-bad", how="shop-word"))),
        Told((report("idle-bad", "left"),)),  # here it has no sides
        Answered("shop-check", None, "It is blue.", (report("shop-sign", "right"), report("spit-back"))),
        Answered("watch-the-idle", "left", "It is steady.", ()),
        Read((reading, replace(reading, reading="shop-reading"), replace(reading, unit="furlong"))),
        Skipped("shop-check", "left", "can't"),
        RuledOut("shop-cause", None),
        RuledOut("plug-dead", None),  # here it is on a side
        PutRight("shop-cause", "left"),
        Skipped("watch-the-idle", None, "not known"),
    ]


NAMES = (
    *("the tool 'shop-tool'", "the part 'shop-part: blue'", "the figure 'shop-figure'", "the tyre"),
    *("the sign 'shop-sign'", "the word 'shop-word'", "the sign 'idle-bad'", "the check 'shop-check'"),
    *("the reading 'shop-reading'", "the reading 'idle-speed'", "the cause 'shop-cause'", "the cause 'plug-dead'"),
)


def test_what_is_known_counts_and_the_rest_is_named(advisor: Advisor) -> None:
    state = fold(written(advisor.base), advisor.base)
    refuse_invalid(state.case, advisor.base)
    assert [one.sign for one in state.case.seen] == ["idle-hangs", "spit-back"]
    assert [one.reading for one in state.case.measured] == ["idle-speed"]
    assert state.case.means == replace(SHOP, tools=frozenset())
    assert state.case.bike == Bike(name="nine")
    assert state.case.not_again == (("watch-the-idle", None),)
    assert (state.case.ruled_out, state.case.put_right) == ((), ())
    assert state.unknown == NAMES
    assert state.counting == tuple(written(advisor.base))
    assert state.undoable == 10


def test_a_person_that_is_not_known_here_is_asked_for(base: Rulebase) -> None:
    assert known_here(AtHand(replace(SHOP, person="neighbour")), base).event is None
    assert known_here(AtHand(replace(SHOP, tools=None)), base).unknown == ()
    sure = known_here(AtHand(replace(SHOP, tools=None), frozenset({"meter", "shop-tool"})), base).event
    assert isinstance(sure, AtHand)
    assert sure.sure == frozenset({"meter"})
    assert known_here(AtHand(Means(person="rider", tools=None, engine="glowing")), base).event == AtHand(
        Means(person="rider", tools=None, engine="")
    )


def test_all_of_a_session_that_is_known_stays_as_it_is(base: Rulebase) -> None:
    bike = Bike(name="nine", gears=(14.0, 9.0), tyre="120/90-18")
    for event in (OfBike(bike), Told(()), Read(()), HandedOver(), Answered("plug-dead", "left", ALL_HOLDS, ())):
        assert known_here(event, base).event == event
        assert known_here(event, base).unknown == ()


def test_it_is_said_once_and_kept_wherever_a_session_is_shown(advisor: Advisor) -> None:
    events = written(advisor.base)
    at = Dialogue(advisor, Journal(None, 3, list(events)))
    found = at.resume()
    (said,) = (one for one in found if isinstance(one, OtherRules))
    assert said == OtherRules(
        begun_with=("/a shop/rules",),
        unknown=NAMES,
        command="advisor phone --session 3 --rules '/a shop/rules'",
    )
    for line in ("why", "why not plug dead", "what if 1", "help", "1"):
        assert not any(isinstance(one, OtherRules) for one in at.take(line))
    (standing,) = at.take("where")
    assert isinstance(standing, Standing)
    (sheet,) = at.take("hand over")
    assert isinstance(sheet, Sheet)
    told = {"Revs hang after a blip", "shop-sign left (not known here)", "Bad idle (not known here)"}
    stands = [one for _, one in standing.said]
    assert told <= set(stands)
    for shown in (stands, sheet.found.found):
        assert told <= {part for line in shown for part in line.removeprefix("told: ").split(", ")}
    for shown in (stands, sheet.found.found):
        assert "shop-check (not known here): It is blue." in shown
        assert "put right: shop-cause left (not known here)" in shown
    (saved,) = at.take("save x.yaml")
    assert isinstance(saved, SaveAs)
    problems: list[Any] = []
    root = read_text(saved.text, "x.yaml", problems)
    assert root is not None
    case = parse_case(root, advisor.base)
    assert [one.sign for one in case.seen][:2] == ["idle-hangs", "spit-back"]
    assert "# found sound: shop-cause (not known here)\n" in saved.text
    assert "# the tool 'shop-tool' (not known here)\n" in saved.text
    assert at.session.journal.events[: len(events)] == events
    ends = at.take("stop")[-1]
    assert isinstance(ends, Ended)


def test_all_of_it_can_be_taken_back(advisor: Advisor) -> None:
    at = Dialogue(advisor, Journal(None, 3, written(advisor.base)))
    at.resume()
    at.take("undo all")
    assert at.session.state.undoable == 0


@pytest.mark.parametrize(
    ("begun_with", "now", "said"),
    [((), (), False), (None, ("/a",), False), (("/a",), ("/a",), False), (("/a",), (), True), ((), ("/a",), True)],
)
def test_other_folders_are_said_even_if_all_names_are_known(
    advisor: Advisor, begun_with: tuple[str, ...] | None, now: tuple[str, ...], said: bool
) -> None:
    at = Dialogue(advisor, Journal(None, 3, [Began("phone", "", begun_with)]))
    assert any(isinstance(one, OtherRules) for one in at.resume(rules=now)) is said


def events(base: Rulebase) -> st.SearchStrategy[list[Event]]:
    """Return sessions of any events, as another rule base may have written them."""
    sides = st.sampled_from(["left", "right", None])
    some = st.sampled_from

    def name(known: Any) -> st.SearchStrategy[str]:
        return some([*known]) | some(["shop-thing", "", "idle hangs\n", "\x1b[2J"])

    reports = st.lists(
        st.builds(report, name(base.signs), sides, seen=st.booleans(), how=name(base.words.trust)), max_size=3
    ).map(tuple)
    readings = st.lists(
        st.builds(
            lambda reading, side, value, unit: replace(
                figure("idle-speed", None, value, base), reading=reading, side=side, unit=unit
            ),
            name(base.readings),
            sides,
            st.floats(-1e9, 1e9),
            name(base.units),
        ),
        max_size=2,
    ).map(tuple)
    checks, causes = name([*base.checks, *base.causes]), name(base.causes)
    tools = st.none() | st.frozensets(name(base.tools), max_size=3)
    one: Any = st.one_of(
        st.builds(Told, reports),
        st.builds(Read, readings),
        st.builds(Answered, checks, sides, some([ALL_HOLDS, "It is so."]), reports),
        st.builds(Skipped, checks, sides, some(["can't", "not known", ""])),
        st.builds(PutRight, causes, sides),
        st.builds(RuledOut, causes, sides),
        st.builds(Undone, st.integers(-3, 20)),
        st.builds(HandedOver),
        st.builds(AtHand, st.builds(Means, person=name(base.persons), tools=tools, engine=some(["", "warm", "red"]))),
        st.builds(OfBike, st.builds(Bike, parts=st.dictionaries(name(base.parts), some(["", "x"]), max_size=2))),
        st.builds(Began, some(["bench", "phone", "shop"]), st.text(max_size=5)),
    )
    return st.lists(one, max_size=8).map(lambda more: [Began("phone", "it hangs"), *more])


@pytest.mark.wide
@settings(max_examples=12, deadline=None)
@given(data=st.data())
def test_whatever_was_written_it_goes_on(advisor: Advisor, hearing: Hearing, data: st.DataObject) -> None:
    goes_on(advisor, hearing, data)


@pytest.mark.slow
@settings(max_examples=400, deadline=None)
@given(data=st.data())
def test_whatever_was_written_it_goes_on_at_length(advisor: Advisor, hearing: Hearing, data: st.DataObject) -> None:
    goes_on(advisor, hearing, data)


@pytest.fixture(scope="module")
def hearing(base: Rulebase) -> Hearing:
    """Return what all dialogues here hear with: its index is made once."""
    return Hearing(base)


def goes_on(advisor: Advisor, hearing: Hearing, data: st.DataObject) -> None:
    told = data.draw(events(advisor.base))
    refuse_invalid(fold(told, advisor.base).case, advisor.base)
    at = Dialogue(advisor, Journal(None, 1, list(told)), hearing=hearing)
    assert at.resume()
    for line in ("where", "save x", data.draw(st.sampled_from(["1", "undo", "undo all", "why", "not known", "stop"]))):
        at.take(line)
    assert at.session.journal.events[: len(told)] == told
