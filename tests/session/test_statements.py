"""Each thing said has one number, from the first time that it is shown to the end of the session."""

from contextlib import suppress

from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.case import SignReport
from advisor.errors import AdvisorError
from advisor.rulebase import Rulebase
from advisor.session.events import Began, Change, Corrected, Event, Skipped, Told, Undone
from advisor.session.state import State, fold
from advisor.session.statements import statements
from advisor.session.told_so_far import denied, dropped, told_instead


def told(*signs: str) -> Told:
    return Told(tuple(SignReport(sign=one, side=None, seen=True, how="told") for one in signs))


def numbered(*events: Event) -> dict[int, str]:
    """Return each sign or check that was said, by its number."""
    said = statements((Began("bench", "x"), *events))
    return {one.number: _name(one.event) for one in said}


def _name(event: Event) -> str:
    assert isinstance(event, Told | Skipped)
    return event.reports[0].sign if isinstance(event, Told) else event.check


def _corrected(what: str, number: int, anew: Told, at: tuple[State, Rulebase]) -> Event:
    state, base = at
    if what == "anew":
        return told_instead(number, anew, state)
    return dropped([number], state) if what == "drop" else denied([number], state, base)


SKIPPED = Skipped("look", None, "can't")


def test_what_is_dropped_leaves_its_number_unused() -> None:
    dropped = Corrected((Change(1, told("b")),))
    assert numbered(told("a", "b"), SKIPPED) == {1: "a", 2: "b", 3: "look"}
    assert numbered(told("a", "b"), SKIPPED, dropped) == {2: "b", 3: "look"}
    assert numbered(told("a", "b"), SKIPPED, dropped, told("c")) == {2: "b", 3: "look", 4: "c"}


def test_what_is_said_anew_has_the_number_of_what_it_replaces_and_what_is_more_has_new_ones() -> None:
    anew = Corrected((Change(1, told("x", "y", "b")),))
    assert numbered(told("a", "b"), SKIPPED, anew) == {1: "x", 4: "y", 2: "b", 3: "look"}


def test_what_is_taken_back_leaves_its_number_unused_and_a_correction_taken_back_restores_it() -> None:
    assert numbered(told("a"), told("b"), Undone(1), told("c")) == {1: "a", 3: "c"}
    assert numbered(told("a", "b"), Corrected((Change(1, None),)), Undone(1)) == {1: "a", 2: "b"}
    assert numbered(told("a"), Undone(9)) == {}


@settings(max_examples=100, deadline=None)
@given(data=st.data())
def test_a_number_is_that_of_one_statement_to_the_end(base: Rulebase, data: st.DataObject) -> None:
    """Whatever is dropped, turned round, said anew, taken back or told later."""
    signs = sorted(base.signs)
    more = st.lists(st.sampled_from(signs), min_size=1, max_size=3, unique=True).map(lambda names: told(*names))
    events: list[Event] = [Began("bench", "x"), data.draw(more)]
    ever = said = {one.number: one.event for one in statements(events)}
    for what in data.draw(st.lists(st.sampled_from(["told", "drop", "not", "anew", "undo"]), max_size=9)):
        state, number = fold(events, base), data.draw(st.sampled_from(sorted(said))) if said else 0
        if what == "undo":
            events.append(Undone(1))
        elif what == "told" or not said:
            events.append(data.draw(more))
        else:
            with suppress(AdvisorError):  # that is what it says already
                events.append(_corrected(what, number, data.draw(more), (state, base)))
        now = {one.number: one.event for one in statements(events)}
        if what != "undo":
            assert all(now[one] == said[one] for one in now.keys() & said.keys() - {number})
            assert not now.keys() & (ever.keys() - said.keys())  # no number is given a second time
        ever, said = ever | now, now
