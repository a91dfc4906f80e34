"""A table that a server follows: taken once it has settled, for one session at a time, at the turn of who looks."""

import threading
from collections.abc import Iterator
from itertools import islice
from pathlib import Path

import pytest

from advisor.readings.watched import SWAPPED
from advisor.session.events import Read
from advisor.session.following import WAITS
from advisor.web import followed
from advisor.web.desk import Desk
from advisor.web.followed import Followed
from advisor.web.people import Browser, new_browser
from tests.session.test_following import rows

HEADER = "time s,revs rpm,left mmHg,right mmHg\n"
SET_UP = ("1", "3", "2", "1")  # it is ready, gauges, no cross-check, mixtures stay


def lines(many: int, revs: float = 1_000, left: float = 240, right: float = 205, at: float = 0.0) -> Iterator[str]:
    """Yield so many lines of a table, four a second."""
    for one in islice(rows(revs, left, right, at), many):
        yield f"{one.time},{one.revs},{one.left},{one.right}\n"


class Instrument:
    """A file that is written by hand, and the table of it."""

    def __init__(self, path: Path, desk: Desk) -> None:
        self.path = path
        path.write_text(HEADER)
        self.table = Followed(path, desk)

    def writes(self, many: int, revs: float = 1_000, left: float = 240, right: float = 205, at: float = 0.0) -> None:
        """Write so many rows, four a second, and let the table read them."""
        with self.path.open("a") as more:
            more.writelines(lines(many, revs, left, right, at))
        self.table.read()


@pytest.fixture
def instrument(tmp_path: Path, desk: Desk) -> Iterator[Instrument]:
    """Return an instrument that has written nothing yet."""
    found = Instrument(tmp_path / "log.csv", desk)
    yield found
    found.table.close()


def balance(desk: Desk) -> tuple[int, Browser]:
    """Return a balance that asks for both columns, and who is at it."""
    who = new_browser()
    number = desk.begin("balance", "", who, new_browser().secret)
    for line in SET_UP:
        desk.take(number, who, desk.turn(number, who).id, line, pressed=True)
    return number, who


def test_what_has_settled_is_taken_and_what_is_turned_waits_for_word(instrument: Instrument, desk: Desk) -> None:
    number, who = balance(desk)
    table = instrument.table
    assert table.look(number, who) is None, "nobody has asked for it"
    instrument.writes(40)
    table.follow(number)
    live = table.look(number, who)
    assert live is not None
    assert live.row is not None
    assert not isinstance(desk.session(number).journal.events[-1], Read), "what came before does not answer it"
    instrument.writes(40, at=20)
    taken = table.look(number, who)
    assert taken is not None
    assert isinstance(desk.session(number).journal.events[-1], Read)
    assert "left 2" in taken.said[0]
    assert "+/-" in taken.said[0]
    assert taken.page != live.page
    assert taken.turns
    instrument.writes(40, at=40)
    many, waits = desk.many(number), table.look(number, who)
    assert waits is not None
    assert (waits.state, desk.many(number)) == (WAITS, many)
    table.done(number, who)
    instrument.writes(60, 1_010, 236, 206, at=60)
    turned = table.look(number, who)
    assert turned is not None
    last = desk.session(number).journal.events[-1]
    assert isinstance(last, Read)
    assert last.turned


def test_exchanged_hoses_hold_it_until_somebody_has_looked(instrument: Instrument, desk: Desk) -> None:
    number, who = balance(desk)
    instrument.table.follow(number)
    instrument.writes(10)
    instrument.writes(60, left=205, right=240, at=2.6)
    live = instrument.table.look(number, who)
    assert live is not None
    assert (live.held, live.said) == (True, (SWAPPED,))
    assert live.page.endswith("held")
    instrument.table.done(number, who)
    instrument.writes(40, left=205, right=240, at=20)
    after = instrument.table.look(number, who)
    assert after is not None
    assert not after.held
    assert isinstance(desk.session(number).journal.events[-1], Read)


def test_one_session_at_a_time_has_the_instrument(instrument: Instrument, desk: Desk) -> None:
    (one, hers), (two, his) = balance(desk), balance(desk)
    instrument.table.follow(one)
    instrument.table.follow(two)
    instrument.writes(40)
    assert instrument.table.look(one, hers) is None
    assert instrument.table.look(two, his) is not None
    assert not isinstance(desk.session(one).journal.events[-1], Read)
    instrument.table.stop(one)
    assert instrument.table.session == two
    instrument.table.stop(two)
    assert instrument.table.look(two, his) is None


def test_what_is_long_gone_by_answers_nothing(
    instrument: Instrument, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    number, who = balance(desk)
    instrument.table.follow(number)
    instrument.writes(40)
    monkeypatch.setattr(followed, "KEPT_S", -1.0)
    instrument.table.read()
    assert instrument.table.look(number, who) is not None
    assert not isinstance(desk.session(number).journal.events[-1], Read)


def test_two_who_look_take_a_reading_once(instrument: Instrument, desk: Desk) -> None:
    number, who = balance(desk)
    other = new_browser()
    desk.turn(number, other)
    instrument.table.follow(number)
    instrument.writes(40)
    many = desk.many(number)
    both = [threading.Thread(target=instrument.table.look, args=(number, one)) for one in (who, other)]
    for one in both:
        one.start()
    for one in both:
        one.join()
    assert desk.many(number) == many + 1


def test_it_reads_on_by_itself(instrument: Instrument, desk: Desk) -> None:
    instrument.table.start()
    with instrument.path.open("a") as more:
        more.write("0,1000,240,205\n")
    number, who = balance(desk)
    instrument.table.follow(number)
    for _ in range(100):
        live = instrument.table.look(number, who)
        if live and live.row:
            break
        threading.Event().wait(0.05)
    assert live is not None
    assert live.row is not None
