"""The rounds of a server: one line at a time, none twice, kept where practice keeps them, each in its own folder."""

import threading
from pathlib import Path

import pytest

from advisor.practice.keeper import half_way_path
from advisor.practice.levels import BikeId
from advisor.practice.replies import DoneBefore, Mistake, OfferList, StepDone
from advisor.practice.review import Review
from advisor.web import rounds
from advisor.web.rounds import TOO_OLD, Rounds
from advisor.web.worked_out import WorkedOut

BIKE = BikeId(seed=7, level="easy")
LOOK = "look rocker cover left"


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Keep what is practised in a folder of its own."""
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    return tmp_path / "tuneup-advisor"


def test_a_double_click_is_one_line(kept: WorkedOut) -> None:
    some = Rounds(kept)
    first = some.take(None, BIKE, 0, LOOK)
    assert first.steps == 1
    assert some.take(None, BIKE, 0, LOOK) == first
    done = some.take(None, BIKE, 1, LOOK)
    assert isinstance(done.said[0], DoneBefore)
    again = some.take(None, BIKE, 1, done.said[0].line)
    assert (again.steps, type(again.said[0])) == (2, StepDone)


def test_a_page_that_is_older_than_a_step_does_nothing(kept: WorkedOut) -> None:
    some = Rounds(kept)
    some.take(None, BIKE, 0, LOOK)
    old = some.take(None, BIKE, 0, "look rocker cover right")
    assert (old.steps, old.said) == (1, (Mistake(text=TOO_OLD),))


def test_another_server_goes_on_where_this_one_ended(kept: WorkedOut, home: Path) -> None:
    Rounds(kept).take(None, BIKE, 0, LOOK)
    assert half_way_path(BIKE).parent == home
    later = Rounds(kept)
    now = later.at(None, BIKE)
    assert (now.steps, now.talk.round.minutes, now.said) == (1, 12.0, ())
    later.anew(None, BIKE)
    assert later.at(None, BIKE).steps == 0
    assert Rounds(kept).at(None, BIKE).steps == 1, "until the first step it is still there"


def test_each_folder_has_its_own_rounds(kept: WorkedOut, tmp_path: Path) -> None:
    some = Rounds(kept)
    some.take(tmp_path / "hers", BIKE, 0, LOOK)
    assert some.at(tmp_path / "his", BIKE).steps == 0
    assert some.at(None, BIKE).steps == 0
    assert Rounds(kept).at(tmp_path / "hers", BIKE).steps == 1
    some.take(tmp_path / "hers", BIKE, 1, "give up")
    assert isinstance(some.review(some.at(tmp_path / "hers", BIKE))[0], Review)
    assert (tmp_path / "hers" / "practice.jsonl").read_bytes().count(b"\n") == 1
    assert not (tmp_path / "tuneup-advisor").exists()


def test_what_is_left_is_let_go_and_comes_back(kept: WorkedOut) -> None:
    some = Rounds(kept)
    some.take(None, BIKE, 0, LOOK)
    assert some.take(None, BIKE, 1, "stop").talk.left
    now = some.at(None, BIKE)
    assert (now.steps, now.talk.left) == (1, False)


def test_only_so_many_are_held(kept: WorkedOut, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rounds, "MOST_ROUNDS", 1)
    some = Rounds(kept)
    assert isinstance(some.take(None, BIKE, 0, "look plug").said[0], OfferList)
    some.at(None, BikeId(seed=8, level="easy"))
    assert some.at(None, BIKE).said == (), "it was begun once more"


def test_two_at_once_do_a_step_once(kept: WorkedOut) -> None:
    some = Rounds(kept)
    some.at(None, BIKE)
    both = [threading.Thread(target=some.take, args=(None, BIKE, 0, f"{LOOK}{end}")) for end in ("", " again")]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert some.at(None, BIKE).steps == 1
