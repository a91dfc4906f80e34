"""The end of a session, driven with a list of lines and no terminal: what it asks, and the record it leaves."""

import itertools
import shutil
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.rulebase import Rulebase
from advisor.session.dialogue import Dialogue
from advisor.session.events import ALL_HOLDS, Event, RuledOut, Told
from advisor.session.hearing import Hearing
from advisor.session.job import job_of
from advisor.session.next_question import HOLDS
from advisor.session.place import ForAnswer, Place
from advisor.session.record import Record, TwiceMeasured, record_of, worked
from advisor.session.record_text import record_text
from advisor.session.session import Session
from advisor.session.shown import Ended, Mistake, RecordShown, SaveAs, SaveReport, Shown
from advisor.session.store import Journal, Store, begun, resumed
from advisor.sides import fill
from tests.session.sessions import CABLE, PROOF, PROVED, cable_put_right

Made = Callable[..., Dialogue]


@pytest.fixture(scope="module")
def hearing(advisor: Advisor) -> Hearing:
    """Return what all dialogues here hear with: its index is made once."""
    return Hearing(advisor.base)


@pytest.fixture
def goes_on(advisor: Advisor, hearing: Hearing) -> Made:
    """Return a function that goes on after these events, where an answer is waited for."""

    def made(events: list[Event], journal: Journal | None = None) -> Dialogue:
        kept = journal or Journal(None)
        for event in events:
            kept.add(event)
        return Dialogue(advisor, kept, Place(asks=ForAnswer()), hearing)

    return made


@pytest.fixture
def repaired(base: Rulebase) -> list[Event]:
    """Return a session in which a fault was found and put right."""
    return cable_put_right(base)


def ends(found: list[Shown]) -> tuple[Record, str]:
    record, over = found
    assert isinstance(record, RecordShown)
    assert isinstance(over, Ended)
    return record.found, record.text


def test_a_fault_put_right_leaves_its_record(goes_on: Made, repaired: list[Event]) -> None:
    at = goes_on(repaired)
    at.take("left 222 mmHg right 220 mmHg")
    assert at.session.question.kind == HOLDS  # a figure is no answer to it
    at.take("1")
    record, text = ends(at.take(""))
    assert record.complaint == "balance won't hold"
    assert record.told == ("Balance does not hold",)
    ((title, proof),) = record.found
    assert title.startswith("The right throttle cable")
    assert PROVED in proof
    assert record.holds == ALL_HOLDS
    before, after = "left 240 mmHg, right 205 mmHg", "left 222 mmHg, right 220 mmHg"
    assert record.measured == (TwiceMeasured(title="Depression at idle", before=before, after=after),)
    pages = at.session.base
    least = pages.checks[PROOF].minutes + pages.causes[CABLE].minutes
    assert record.minutes >= least
    assert record.left_out == ("can't: Blip the throttle and let go",)
    assert any("Balance does not hold" in line for line in record.look_again)
    assert any("slack of both cables" in line for line in record.look_again)
    assert record.not_checked
    assert text == record_text(record)


def test_all_that_was_told_is_on_record_even_what_means_nothing_here(goes_on: Made, repaired: list[Event]) -> None:
    began = SignReport(sign="began-after-cable-work", side=None, seen=True, how="complained")
    starts = SignReport(sign="hard-to-start", side=None, seen=False, how="complained")
    told = Told((began, starts), suspected=((CABLE, "right"),), words="it sulks in fog")
    record = record_of(goes_on([*repaired[:3], told, *repaired[3:]]).session)
    pages = goes_on([]).session.base
    assert record.told == (
        "Balance does not hold",
        pages.signs["began-after-cable-work"].title,
        f"not: {pages.signs['hard-to-start'].title}",
        f"suspected: {fill(pages.causes[CABLE].title, 'right')}",
        'own words: "it sulks in fog"',
    )
    assert 'own words: "it sulks in fog"' in record_text(record)


def test_killed_in_the_midst_of_its_end_it_has_the_same_record(
    goes_on: Made, repaired: list[Event], advisor: Advisor, tmp_path: Path
) -> None:
    """What is on disk at that moment, write-ahead log and all, is what a killed process leaves."""
    store = Store(tmp_path / "s.sqlite")
    at = goes_on(repaired, begun(store))
    at.take("left 222 mmHg right 220 mmHg")
    at.take("1")
    before = record_of(at.session)
    (tmp_path / "left").mkdir()
    for name in ("s.sqlite", "s.sqlite-wal"):
        shutil.copyfile(tmp_path / name, tmp_path / "left" / name)
    left = Store(tmp_path / "left" / "s.sqlite")
    assert record_of(Session(advisor, resumed(left, "bench", 1))) == before
    assert before.began is not None
    assert before.measured[0].after
    left.close()
    store.close()


def test_the_record_is_written_to_a_file_when_asked(goes_on: Made, repaired: list[Event]) -> None:
    at = goes_on(repaired)
    (found,) = at.take("record kept.txt")
    assert isinstance(found, SaveAs)
    assert (found.name, found.wish, found.text) == ("kept.txt", "record", record_text(record_of(at.session)))
    at.there_already("kept.txt", "record")
    (replaced,) = at.take("1")
    assert isinstance(replaced, SaveAs)
    assert (replaced.text, replaced.replace) == (found.text, True)
    (shown,) = at.take("record")
    assert isinstance(shown, RecordShown)


def test_a_page_to_print_is_written_when_asked(goes_on: Made, repaired: list[Event]) -> None:
    at = goes_on(repaired)
    (found,) = at.take("report job.html")
    assert found == SaveReport(name="job.html", found=job_of(at.session))
    at.there_already("job.html", "report")
    (replaced,) = at.take("1")
    assert replaced == SaveReport(name="job.html", found=job_of(at.session), replace=True)
    (lacks,) = at.take("report")
    assert isinstance(lacks, Mistake)
    assert "report FILE" in lacks.typed


def test_a_fault_that_was_not_found_leaves_what_was_ruled_out(goes_on: Made, repaired: list[Event]) -> None:
    at = goes_on(repaired)
    at.take("2")  # the cable is put right, and was not all
    at = goes_on([*at.session.journal.events, RuledOut("intake-joint-leak", "left")])
    record = record_of(at.session)
    assert record.holds.startswith("Still there: ")
    assert any("left joint between carburettor and head" in one for one in record.ruled_out)
    assert "Ruled out" in record_text(record)


def test_pauses_of_hours_are_no_work() -> None:
    assert worked([]) is None
    assert worked([10.0]) is None
    assert worked([0.0, 600.0, 900.0]) == 900.0
    assert worked([0.0, 600.0, 600.0 + 9 * 3600, 600.0 + 9 * 3600 + 60]) == 660.0


def test_of_a_session_from_before_the_times_only_those_are_missing(
    goes_on: Made, repaired: list[Event], advisor: Advisor, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = Store(tmp_path / "s.sqlite")
    clock = itertools.count(1000.0, 60.0)
    monkeypatch.setattr(time, "time", lambda: float(next(clock)))
    goes_on(repaired, begun(store))
    timed = record_of(Session(advisor, resumed(store, "bench", 1)))
    assert timed.began is not None
    assert timed.worked is not None
    assert timed.worked >= 60.0 * (len(repaired) - 1)
    with store._writing() as database:
        database.execute("UPDATE entry SET at = NULL")
    old = record_of(Session(advisor, resumed(store, "bench", 1)))
    assert (old.began, old.ended, old.worked) == (None, None, None)
    assert old.found == timed.found
    assert "by the clock" not in record_text(old)
    store.close()
