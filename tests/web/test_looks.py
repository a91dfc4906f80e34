"""Pages that only look change nothing, and say what the terminal says."""

from http import HTTPStatus

import pytest

from advisor.pages.job_page import page
from advisor.session.handover import hand_over
from advisor.session.job import job_of
from advisor.session.record import record_of
from advisor.session.record_text import record_text
from advisor.session.store import Store
from advisor.show.sheet import sheet_text
from advisor.web.desk import Desk
from tests.web.forms import Visitor

LOOKS = ("where", "why", "told", "record", "sheet", "what-if?answer=1", "why?cause=plug dead")
FILES = ("record.txt", "sheet.txt", "case.yaml", "job.html")


@pytest.fixture
def asked(visitor: Visitor) -> Visitor:
    """Return a browser at the first question of a session."""
    visitor.press("bench", words="won't idle evenly since I did the valves")
    visitor.press("workshop")
    visitor.press("What is ticked is so")
    visitor.press("Not known")
    return visitor


@pytest.mark.parametrize("look", [*LOOKS, *FILES])
def test_a_look_changes_nothing(asked: Visitor, store: Store, look: str) -> None:
    before = store.events(1)
    answer = asked.client.get(f"/session/1/{look}", headers={"Host": asked.host})
    assert answer.status_code == HTTPStatus.OK
    assert store.events(1) == before
    asked.get("/session/1")
    asked.press("1")
    assert len(store.events(1)) == len(before) + 1


@pytest.mark.parametrize("kind", ["bench", "phone", "balance", "tune-up"])
def test_every_look_is_there_from_the_first_moment(visitor: Visitor, kind: str) -> None:
    visitor.press(kind, words="it idles badly")
    for look in ("where", "why", "told", "record", "sheet", "record.txt", "sheet.txt", "case.yaml"):
        answer = visitor.client.get(f"/session/1/{look}", headers={"Host": visitor.host})
        assert answer.status_code == HTTPStatus.OK, look


def test_where_we_stand_is_what_the_report_says(asked: Visitor, desk: Desk) -> None:
    found = asked.get("/session/1/where").text
    report = desk.session(1).report
    assert f"{100 * report.causes[0].probability:.0f}% {report.causes[0].title}" in found
    for _, line in desk.session(1).all_said():
        assert line in found


def test_why_quotes_the_rules_and_what_each_answer_leads_to(asked: Visitor, desk: Desk) -> None:
    found, question = asked.get("/session/1/why").text, desk.session(1).question
    assert question.title in found
    assert all(one.says in found for one in question.options)
    assert any(one.leads and one.leads in found for one in question.options)
    assert "times likelier" in found
    assert "This fault shows it: " in found
    assert "idle-bad" not in found, "its title stands there, not its name on the pages"
    assert asked.get("/session/1/why?cause=nonsense xyzzy").text
    assert asked.status == HTTPStatus.UNPROCESSABLE_ENTITY


def test_what_if_says_what_would_lead(asked: Visitor, desk: Desk) -> None:
    session = desk.session(1)
    for number, option in enumerate(session.question.options[:3], start=1):
        found = asked.get(f"/session/1/what-if?answer={number}").text
        assert option.says in found
        assert all(title in found for title, _ in session.what_if(str(number)))
    for answer in ("0", "99", "x", "", "-1", "1e1", "\u0661\u0661"):
        asked.get(f"/session/1/what-if?answer={answer}")
        assert asked.status == HTTPStatus.NOT_FOUND, answer


def test_what_was_told_is_set_right_by_its_number(asked: Visitor, desk: Desk) -> None:
    asked.get("/session/1/told")
    said = dict(desk.session(1).all_said())
    assert "Bad idle" in said[1]
    asked.press("not 1")
    assert "Now: not: Bad idle." in asked.page.text
    asked.get("/session/1/told")
    asked.press("drop 2")
    assert 2 not in dict(desk.session(1).all_said())
    asked.get("/session/1/told")
    asked.press("Instead of 1", words="it stalls at stops")
    asked.press("What is ticked is so")
    assert dict(desk.session(1).all_said())[1] == "Dies at idle"


def test_another_answer_is_chosen_from_all(asked: Visitor, desk: Desk) -> None:
    number = max(dict(desk.session(1).all_said()))
    asked.get("/session/1/told")
    asked.press(f"{number}:")
    assert "Which answer was it?" in asked.page.text
    asked.press("2")
    assert "Now: " in asked.page.text
    assert "not known" not in dict(desk.session(1).all_said())[number]


def test_the_files_are_those_of_the_terminal(asked: Visitor, desk: Desk) -> None:
    session = desk.session(1)
    texts = {
        "record.txt": record_text(record_of(session)),
        "sheet.txt": sheet_text(hand_over(session)),
        "case.yaml": session.as_case(),
    }
    for name, text in texts.items():
        answer = asked.client.get(f"/session/1/{name}", headers={"Host": asked.host})
        assert answer.get_data(as_text=True) == text
        assert answer.headers["Content-Disposition"].startswith("attachment;")
        assert answer.headers["Content-Type"] == "text/plain; charset=utf-8"


def test_the_page_to_print_is_that_of_the_terminal_and_not_opened_here(asked: Visitor, desk: Desk) -> None:
    answer = asked.client.get("/session/1/job.html", headers={"Host": asked.host})
    assert answer.get_data(as_text=True) == page(job_of(desk.session(1)))
    assert answer.headers["Content-Disposition"] == 'attachment; filename="job-1.html"'


def test_the_record_and_the_sheet_say_what_their_texts_say(asked: Visitor, desk: Desk) -> None:
    found, record = asked.get("/session/1/record").text, record_of(desk.session(1))
    for one in (*record.told, *record.taken, *(title for title, _ in record.likely), *record.left_out):
        assert one in found
    found, sheet = asked.get("/session/1/sheet").text, hand_over(desk.session(1))
    for one in (*sheet.found, *sheet.not_known, *(cause.title for cause in sheet.likely), sheet.now):
        assert one in found
