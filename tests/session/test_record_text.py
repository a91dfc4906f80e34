"""A record as text: all of it, in 80 columns."""

from advisor.diagnose import Advisor
from advisor.session.record import record_of
from advisor.session.record_text import record_text
from advisor.session.session import Session
from advisor.session.store import Journal
from tests.session.sessions import PROVED, cable_put_right


def test_all_of_it_is_there_and_fits_the_sheet(advisor: Advisor) -> None:
    record = record_of(Session(advisor, Journal(None, events=cable_put_right(advisor.base))))
    text = record_text(record)
    assert text.endswith("\n")
    assert max(len(line) for line in text.splitlines()) <= 80
    assert all(line == line.rstrip() for line in text.splitlines())
    plain = " ".join(text.split())
    said = (record.complaint, PROVED, "left 240 mmHg, right 205 mmHg", f"{record.minutes:g} min")
    assert all(one in plain for one in (*said, *record.left_out))
