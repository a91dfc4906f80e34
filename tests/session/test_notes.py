"""What a call carries beside the trouble."""

import pytest

from advisor.errors import AdvisorError
from advisor.session.events import Event, Noted, Undone
from advisor.session.notes import noted, typed_note
from advisor.session.state import counting


def test_of_each_kind_the_last_one_counts_and_every_note_is_kept() -> None:
    events: list[Event] = [
        Noted("name", "Ada"),
        Noted("note", "one"),
        Noted("name", "Ada Moss"),
        Noted("note", "two"),
        Noted("call back", "six"),
    ]
    found = noted(events)
    assert (found.name, found.call_back, found.notes, found.bike) == ("Ada Moss", "six", ("one", "two"), "")
    assert counting([*events, Undone(3)]) == events  # undo takes back answers, not who rang


@pytest.mark.parametrize("free", [True, False])
def test_a_colon_marks_a_note_anywhere(free: bool) -> None:
    assert typed_note(" Name:  Ada   Moss ", free_words=free) == Noted("name", "Ada Moss")
    assert typed_note("call back: 0100 555", free_words=free) == Noted("call back", "0100 555")
    assert typed_note("it dies", free_words=free) is None
    with pytest.raises(AdvisorError, match="needs words"):
        typed_note("bike:", free_words=free)


def test_where_free_words_are_asked_for_a_complaint_is_no_note() -> None:
    assert typed_note("bike stalls at lights", free_words=True) is None
    assert typed_note("note he rings at six", free_words=False) == Noted("note", "he rings at six")
