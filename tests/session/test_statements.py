"""Each thing said has one number, from the first time that it is shown to the end of the session."""

from contextlib import suppress

from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.events import Began, Change, Corrected, Event, Skipped, Told, Undone
from advisor.session.statements import statements
from tests.session.sessions import session
from tests.session.test_told_so_far import SENTENCE


def told(*signs: str) -> Told:
    return Told(tuple(SignReport(sign=one, side=None, seen=True, how="told") for one in signs))


def numbered(*events: Event) -> dict[int, str]:
    """Return each sign or check that was said, by its number."""
    said = statements((Began("bench", "x"), *events))
    names = (one.event.reports[0].sign if isinstance(one.event, Told) else one.event.check for one in said)
    return dict(zip((one.number for one in said), names, strict=True))


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


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_a_number_is_that_of_one_statement_to_the_end(advisor: Advisor, data: st.DataObject) -> None:
    """Whatever is dropped, turned round, said anew, taken back or told later."""
    at = session(advisor)
    told = dict(at.all_said())
    lines = st.sampled_from(["told", "drop", "not", "anew", "undo"])
    for what in data.draw(st.lists(lines, max_size=7)):
        said = dict(at.all_said())
        number = data.draw(st.sampled_from(sorted(said))) if said else 0
        if what == "told" or not said:
            at.told(at.hearing.understood(data.draw(st.sampled_from([SENTENCE, "the idle hangs", "it pinks"]))))
        elif what == "anew":
            at.told(at.hearing.understood("it smokes blue and stalls"), instead=number)
        else:
            with suppress(AdvisorError):  # a reading is not turned round
                at.answer({"drop": f"drop {number}", "not": f"not {number}", "undo": "undo"}[what])
        now = dict(at.all_said())
        for one in (now.keys() & said.keys()) - {number}:
            assert what == "undo" or now[one] == said[one]
        assert not (now.keys() - said.keys()) & (told.keys() - said.keys()) or what == "undo"
        told |= now
