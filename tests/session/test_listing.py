"""Sessions are listed and found by number, kind, words and age, however many there are."""

import time
from pathlib import Path

import pytest

from advisor.case import Means
from advisor.session.events import (
    ALL_HOLDS,
    Answered,
    AtHand,
    Began,
    Event,
    HandedOver,
    Noted,
    PutRight,
    Read,
    SetUp,
    Skipped,
    Undone,
)
from advisor.session.listing import DAMAGED, OPEN, PUT_RIGHT, SHEET, Listed, led_words, listed, listed_of, still_open
from advisor.session.store import Store

SKIPPED = Skipped("watch-the-idle", None, "can't")
HOLDS = Answered("intake-joint-leak", "left", ALL_HOLDS, ())


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "s.sqlite")


def kept(store: Store, words: str, *events: Event, kind: str = "bench") -> int:
    number = store.begin()
    for seq, event in enumerate([Began(kind, words), *events]):
        store.append(number, seq, event)
    return number


def only(store: Store, kind: str = "bench", words: str = "") -> Listed:
    ((one,), more) = listed(store, kind, words)
    assert more == 0
    return one


@pytest.mark.parametrize(
    ("events", "state", "answers"),
    [
        ([], OPEN, 0),
        ([AtHand(Means(person="rider", tools=None, engine=""))], OPEN, 0),
        ([SKIPPED, SKIPPED], OPEN, 2),
        ([SKIPPED, SKIPPED, Undone(1)], OPEN, 1),
        ([PutRight("intake-joint-leak", "left"), HOLDS], PUT_RIGHT, 2),
        ([PutRight("intake-joint-leak", "left"), HOLDS, Undone(1)], OPEN, 1),
        ([SKIPPED, HandedOver()], SHEET, 1),
        ([SKIPPED, HandedOver(), SKIPPED], OPEN, 2),
    ],
)
def test_a_session_is_listed_with_its_state_and_its_answers(
    store: Store, events: list[Event], state: str, answers: int
) -> None:
    number = kept(store, "it hangs", *events)
    one = only(store)
    assert (one.number, one.words, one.state, one.answers) == (number, "it hangs", state, answers)
    assert one.touched == pytest.approx(time.time(), abs=60)


def test_the_newest_is_the_one_touched_last(store: Store) -> None:
    first, second = kept(store, "one"), kept(store, "two")
    call = kept(store, "three", kind="phone")
    store.begin()  # nothing was told
    store.append(first, 1, SKIPPED)
    assert [one.number for one in listed(store, "bench")[0]] == [first, second]
    assert store.latest("bench") == first
    assert only(store, "phone").number == call


def test_they_are_found_by_all_of_some_words(store: Store) -> None:
    numbers = [kept(store, words) for words in ("the LEFT side is dead", "left over", "the side stand, left")]
    assert [one.number for one in listed(store, "bench", "left Side")[0]] == [numbers[2], numbers[0]]
    assert listed(store, "bench", "right") == ([], 0)


def test_only_those_are_listed_that_somebody_may_see(store: Store) -> None:
    numbers = [kept(store, f"the revs hang, {each}") for each in range(4)]
    shown, more = listed(store, "bench", "hang", 1, frozenset(numbers[:3]))
    assert ([one.number for one in shown], more) == ([numbers[2]], 2)
    assert listed(store, "bench", "", None, frozenset()) == ([], 0)


def test_as_many_as_are_wanted_are_read_and_the_others_counted(store: Store) -> None:
    numbers = [kept(store, "it hangs") for _ in range(5)]
    shown, more = listed(store, "bench", "hangs", 2)
    assert ([one.number for one in shown], more) == ([numbers[4], numbers[3]], 3)


DAMAGE = (
    "UPDATE entry SET event = X'ff' WHERE session = 1 AND seq = 2",
    "DELETE FROM entry WHERE session = 1 AND seq = 2",
    "UPDATE session SET words = X'ff00' WHERE id = 1",
    "UPDATE session SET touched = 'long ago' WHERE id = 1",
    "UPDATE session SET kind = '' WHERE id = 1",
)


@pytest.mark.parametrize("sql", DAMAGE)
def test_a_damaged_session_is_listed_too(store: Store, sql: str) -> None:
    kept(store, "it hangs", SKIPPED, SKIPPED, SKIPPED)
    other = kept(store, "it dies", SKIPPED)
    store.database.execute(sql)
    found = {one.number: one for one in listed(store, "bench")[0]}
    assert found[other].state == OPEN
    assert (found[1].state, found[1].answers) == ((DAMAGED, 1) if "entry" in sql else (OPEN, 3))


def test_a_session_whose_first_event_is_damaged_is_of_any_kind(store: Store) -> None:
    store.append(store.begin(), 0, SKIPPED)
    for kind in ("bench", "phone"):
        assert (only(store, kind).state, only(store, kind).answers) == (DAMAGED, 0)
        assert store.latest(kind) is None


def test_ten_thousand_are_listed_in_less_than_a_second(store: Store) -> None:
    began = (b'{"type":"began","kind":"bench","sentence":"it hangs"}', b'{"type":"undone","count":0}')
    with store._writing() as database:
        for number in range(1, 10_001):
            database.execute("INSERT INTO session VALUES (?, 0, 'bench', 'it hangs', ?)", (number, float(number)))
            rows = [(number, seq, began[min(seq, 1)]) for seq in range(8)]
            database.executemany("INSERT INTO entry (session, seq, event) VALUES (?, ?, ?)", rows)
    begins = time.process_time()
    shown, more = listed(store, "bench", "hangs", 20)
    assert (len(shown), more, store.latest("bench")) == (20, 9980, 10_000)
    assert time.process_time() - begins < 1.0


def test_a_call_is_found_by_what_was_noted_with_it_and_a_note_is_no_answer(store: Store) -> None:
    kept(store, "it dies", Noted("name", "Ada Moss"), Noted("bike", "green 800"), SKIPPED, kind="phone")
    number = kept(
        store, "it spits", SKIPPED, HandedOver(), Noted("name", "Bo Moss"), Noted("note", "rings at six"), kind="phone"
    )
    one = only(store, "phone", "bo six spits")
    assert (one.number, one.rider, one.bike, one.state, one.answers) == (number, "Bo Moss", "", SHEET, 1)
    assert only(store, "phone", "GREEN moss").bike == "green 800"
    assert [one.rider for one in listed(store, "phone", "moss")[0]] == ["Bo Moss", "Ada Moss"]
    assert listed(store, "bench", "moss") == ([], 0)


@pytest.mark.parametrize(
    ("events", "words"),
    [
        ((), ""),
        ((SetUp("method", "gauges"), Read(())), "by gauges, 1 reading"),
        ((SetUp("method", "gauges"), Read(()), Read(()), Undone(1), Read(())), "by gauges, 2 readings"),
        ((SetUp("stage: valves", "lead"), SetUp("stage: fuel", "done lately")), "as far as fuel"),
    ],
)
def test_what_nobody_complained_of_is_known_by_how_far_it_is(events: tuple[Event, ...], words: str) -> None:
    assert led_words(events) == words


def test_several_kinds_are_one_list_newest_first_found_by_words_or_number(store: Store) -> None:
    numbers = [kept(store, "it hangs", kind=kind) for kind in ("bench", "balance", "phone", "bench")]
    store.append(numbers[2], 1, Noted("name", "Bo Moss"))
    found, more = listed_of(store, ("bench", "phone", "balance"), "", 3)
    assert ([(one.number, one.kind) for one in found], more) == ([(3, "phone"), (4, "bench"), (2, "balance")], 1)
    assert [one.number for one in listed_of(store, ("bench", "phone"), "hangs moss", 9)[0]] == [3]
    assert [one.number for one in listed_of(store, ("bench", "phone"), "4", 9)[0]] == [4]
    assert listed_of(store, ("bench", "phone"), "", 9, frozenset({1}))[0][0].number == 1


def test_what_is_open_is_found_behind_what_is_not(store: Store) -> None:
    first = kept(store, "it hangs")
    for _ in range(3):
        kept(store, "it spits", PutRight("intake-joint-leak", "left"), HOLDS)
    assert [one.number for one in still_open(store, "bench", 2)] == [first]
    assert still_open(store, "bench", 2, frozenset()) == []
