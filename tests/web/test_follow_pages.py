"""A balance that follows a table, by its pages: with the script, and without."""

from http import HTTPStatus
from pathlib import Path

import pytest
from flask import Flask

from advisor.session.events import Read
from advisor.web.app import made
from advisor.web.desk import Desk
from advisor.web.guard import Guard
from advisor.web.people import People
from tests.web.forms import PORT, Visitor
from tests.web.test_followed import SET_UP, Instrument

FOLLOW = "Let the readings come from log.csv"


@pytest.fixture
def instrument(tmp_path: Path, desk: Desk) -> Instrument:
    """Return an instrument that has written nothing yet."""
    return Instrument(tmp_path / "log.csv", desk)


@pytest.fixture
def visitor(instrument: Instrument, desk: Desk) -> Visitor:
    """Return a browser at a balance that asks for both columns, on a server that follows the table."""
    app: Flask = made(desk, People(desk.store), Guard("127.0.0.1", PORT), instrument.table)
    found = Visitor(app)
    found.get("/")
    found.press("balance")
    for line in SET_UP:
        found.press(line)
    return found


def test_readings_come_by_themselves_and_the_next_step_with_them(
    visitor: Visitor, instrument: Instrument, desk: Desk
) -> None:
    visitor.press(FOLLOW)
    assert "Nothing has come yet" in visitor.page.text
    instrument.writes(8)
    moving = visitor.get("/session/1/live")
    assert "left 24" in moving.text
    assert "settling" in moving.text
    page = dict(moving.tags[0][1])["data-page"]
    instrument.writes(40, at=2.1)
    newer = visitor.get("/session/1/live")
    assert dict(newer.tags[0][1])["data-page"] != page
    assert isinstance(desk.session(1).journal.events[-1], Read)
    visitor.get("/session/1")
    assert "then read" in visitor.page.text
    assert "waits for the turn" in visitor.page.text
    visitor.press("It is turned")
    assert "Turned. It is taken once it has settled." in visitor.page.text


def test_a_step_that_the_table_cannot_answer_has_its_fields_open(visitor: Visitor, instrument: Instrument) -> None:
    visitor.press(FOLLOW)
    instrument.writes(4)
    for line in ("undo", "undo", "1", "1"):  # with the check by shorting a plug, which comes first then
        visitor.press(line)
    assert "the revs fall by" in visitor.page.text.lower()
    assert "Type this one reading" not in visitor.page.text
    assert FOLLOW not in visitor.page.text
    assert "From log.csv" not in visitor.page.text


def test_without_the_script_the_newest_is_asked_for(visitor: Visitor, instrument: Instrument, desk: Desk) -> None:
    visitor.press(FOLLOW)
    instrument.writes(40)
    assert "/session/1" in visitor.page.links
    visitor.get("/session/1")
    assert isinstance(desk.session(1).journal.events[-1], Read)
    assert "then read" in visitor.page.text


def test_what_is_amiss_is_said_and_pressed_away(visitor: Visitor, instrument: Instrument) -> None:
    visitor.press(FOLLOW)
    instrument.writes(10)
    instrument.writes(10, left=205, right=240, at=2.6)
    visitor.get("/session/1")
    assert "Left and right have changed places. Are the hoses on the right sides?" in visitor.page.text
    assert "Enter" not in visitor.page.text
    visitor.press("I have looked at the hoses")
    assert "It goes on from here." in visitor.page.text
    instrument.writes(10, 10, 0, 0, at=5.2)
    assert "The engine has stopped" in visitor.get("/session/1").text
    visitor.press("Type the readings instead")
    assert FOLLOW in visitor.page.text
    assert not visitor.get("/session/1/live").text


def test_no_file_can_be_named_from_a_page(visitor: Visitor, desk: Desk, tmp_path: Path) -> None:
    (tmp_path / "other.csv").write_text("time s,revs rpm,left mmHg,right mmHg\n0,1,2,3\n")
    path, data = visitor.fields(FOLLOW)
    visitor.post(path, data | {"table": str(tmp_path / "other.csv"), "name": "../other.csv"})
    assert "other.csv" not in visitor.page.text
    plain = Visitor(made(desk, People(desk.store), Guard("127.0.0.1", PORT)))
    plain.get("/session/1")
    assert "Let the readings come" not in plain.page.text
    plain.get("/session/1/live")
    assert plain.status == HTTPStatus.NOT_FOUND
