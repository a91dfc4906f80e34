"""The desk: no answer is taken twice, none is lost, and none goes to a question that its sender has not seen."""

import threading
from pathlib import Path

import pytest

from advisor.case import Bike
from advisor.errors import AdvisorError
from advisor.session.dialogue import Dialogue
from advisor.session.events import BALANCE, BENCH, Answered, Began, Event, OfBike, Skipped
from advisor.session.schema import StoreError
from advisor.session.shown import AskWho, Ended, Mistake, QuestionShown, ToldSoFar, Trouble
from advisor.session.store import Journal, Store, begun, resumed
from advisor.web import desk as desk_module
from advisor.web.desk import ANSWERED, RESTARTED, SOMEBODY, Desk, Turn
from advisor.web.people import Browser, new_browser
from advisor.web.worked_out import WorkedOut

LINES = ("workshop", "1", "not known", "can't", "2", "undo", "xyzzy", "told", "1")


def asked(turn: Turn) -> QuestionShown:
    (found,) = (one for one in turn.asks if isinstance(one, QuestionShown))
    return found


@pytest.fixture
def browser() -> Browser:
    return new_browser()


@pytest.fixture
def number(desk: Desk, browser: Browser) -> int:
    """Return a session that asks its first question."""
    found = desk.begin(BENCH, "it idles badly", browser, "form")
    for line in LINES[:2]:
        desk.take(found, browser, desk.turn(found, browser).id, line)
    assert asked(desk.turn(found, browser))
    return found


def take(desk: Desk, number: int, browser: Browser, line: str) -> Turn:
    return desk.take(number, browser, desk.turn(number, browser).id, line)


def test_the_desk_keeps_what_a_dialogue_in_the_terminal_keeps(desk: Desk, browser: Browser, kept: WorkedOut) -> None:
    terminal = Dialogue(kept, begun(desk.store), hearing=desk.hearing)
    terminal.begin(BENCH, "it idles badly")
    number = desk.begin(BENCH, "it idles badly", browser, "form")
    desk.store.database.execute("DELETE FROM habit")  # both are asked who is there
    for line in LINES:
        shown, turn = terminal.take(line), take(desk, number, browser, line)
        desk.store.database.execute("DELETE FROM habit")
        assert {type(one) for one in turn.shown} == {type(one) for one in shown} - {type(one) for one in turn.asks}
        assert turn.asks == tuple(terminal.asked())
    assert desk.store.events(number) == terminal.session.journal.events


def test_one_form_begins_one_session(desk: Desk, browser: Browser) -> None:
    first = desk.begin(BENCH, "it idles badly", browser, "a form")
    assert desk.begin(BENCH, "it idles badly", browser, "a form") == first
    assert desk.begin(BENCH, "it idles badly", browser, "another") != first
    assert desk.begin(BENCH, "it idles badly", new_browser(), "a form") != first


def test_without_words_only_what_needs_none_begins(desk: Desk, browser: Browser) -> None:
    with pytest.raises(AdvisorError, match="say first what is wrong"):
        desk.begin(BENCH, " \n ", browser, "form")
    with pytest.raises(AdvisorError, match="5,000 are taken"):
        desk.begin(BENCH, "word " * 1200, browser, "form")
    assert desk.store.sessions(BENCH) == []
    assert desk.begin(BALANCE, "", browser, "form")


def test_a_double_click_or_a_page_loaded_again_answers_once(desk: Desk, browser: Browser, number: int) -> None:
    at = desk.turn(number, browser)
    first = desk.take(number, browser, at.id, "not known", pressed=True)
    events = desk.store.events(number)
    again = desk.take(number, browser, at.id, "not known", pressed=True)
    assert (again, desk.store.events(number)) == (first, events)
    assert again.not_taken is None


def test_many_clicks_at_once_answer_once(desk: Desk, browser: Browser, number: int) -> None:
    at, before = desk.turn(number, browser), len(desk.store.events(number))
    clicks = [threading.Thread(target=desk.take, args=(number, browser, at.id, "not known")) for _ in range(8)]
    for one in clicks:
        one.start()
    for one in clicks:
        one.join(30)
    assert len(desk.store.events(number)) == before + 1


def test_another_answer_from_a_page_that_was_answered_is_not_taken(desk: Desk, browser: Browser, number: int) -> None:
    at = desk.turn(number, browser)
    desk.take(number, browser, at.id, "not known")
    events = desk.store.events(number)
    found = desk.take(number, browser, at.id, "1", pressed=True)
    assert found.not_taken
    assert (found.not_taken.why, found.not_taken.line, found.not_taken.typed) == (ANSWERED, "1", False)
    assert len(found.not_taken.meanwhile) == 1
    assert desk.store.events(number) == events


def test_the_second_of_two_people_is_told_what_came_and_asked_again(desk: Desk, browser: Browser, number: int) -> None:
    other = new_browser()
    mine, his = desk.turn(number, browser), desk.turn(number, other)
    assert asked(mine).question == asked(his).question
    desk.take(number, browser, mine.id, "not known")
    found = desk.take(number, other, his.id, "in my own words: it rattles")
    assert found.not_taken
    assert (found.not_taken.why, found.not_taken.line) == (SOMEBODY, "in my own words: it rattles")
    assert found.not_taken.meanwhile == (f"not known: {asked(mine).question.title}",)
    assert asked(found).question == asked(desk.turn(number, browser)).question != asked(his).question
    done = desk.take(number, other, found.id, "can't")
    assert done.not_taken is None
    assert [type(one) for one in desk.store.events(number)[-2:]] == [Skipped, Skipped]


def test_what_was_understood_of_one_is_not_asked_of_the_other(desk: Desk, browser: Browser, number: int) -> None:
    other = new_browser()
    his = desk.turn(number, other)
    mine = take(desk, number, browser, "also it backfires")
    assert not any(isinstance(one, QuestionShown) for one in mine.asks)
    assert desk.turn(number, other) == his
    found = desk.take(number, other, his.id, "1", pressed=True)
    assert found.not_taken is None
    assert isinstance(desk.store.events(number)[-1], Answered)
    late = desk.take(number, browser, mine.id, "1", pressed=True)
    assert late.not_taken
    assert late.not_taken.why == SOMEBODY


def test_an_answer_in_the_terminal_is_seen(desk: Desk, browser: Browser, number: int, kept_at: Path) -> None:
    at = desk.turn(number, browser)
    terminal = Store(kept_at)
    Dialogue(desk.advisor, resumed(terminal, BENCH, number), at.place, desk.hearing).take("not known")
    terminal.close()
    found = desk.take(number, browser, at.id, "1", pressed=True)
    assert found.not_taken
    assert found.not_taken.why == SOMEBODY
    assert len(found.not_taken.meanwhile) == 1


def test_an_answer_in_the_terminal_at_the_very_same_moment_is_seen(
    desk: Desk, browser: Browser, number: int, kept_at: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at, terminal = desk.turn(number, browser), Store(kept_at)
    plain = Journal.add

    def late(journal: Journal, event: Event) -> None:
        monkeypatch.setattr(Journal, "add", plain)
        terminal.append(number, len(journal.events), Skipped("watch-the-idle", None, "can't"))
        journal.add(event)

    monkeypatch.setattr(Journal, "add", late)
    found = desk.take(number, browser, at.id, "not known", pressed=True)
    assert found.not_taken
    assert (found.not_taken.why, found.not_taken.line) == (SOMEBODY, "not known")
    assert len(found.not_taken.meanwhile) == 1
    assert desk.store.events(number)[-1] == Skipped("watch-the-idle", None, "can't")
    assert not found.stuck
    assert take(desk, number, browser, "not known").not_taken is None
    terminal.close()


def test_after_a_new_start_an_old_page_is_asked_again(desk: Desk, browser: Browser, number: int) -> None:
    at = desk.turn(number, browser)
    fresh = Desk(desk.advisor, desk.store)
    found = fresh.take(number, browser, at.id, "it rattles")
    assert found.not_taken
    assert (found.not_taken.why, found.not_taken.typed) == (RESTARTED, True)
    assert asked(found).question == asked(at).question
    assert fresh.take(number, browser, found.id, "not known").not_taken is None


def test_a_turn_of_another_browser_or_session_is_none(desk: Desk, browser: Browser, number: int) -> None:
    other = new_browser()
    at, elsewhere = desk.turn(number, browser), desk.begin(BENCH, "it stalls", browser, "more")
    assert desk.turn_of(at.id, browser, number) == at
    assert desk.turn_of(at.id, other, number) is None
    assert desk.turn_of(at.id, browser, elsewhere) is None
    found = desk.take(number, other, at.id, "not known")
    assert found.not_taken
    assert found.not_taken.why == RESTARTED


def test_a_number_on_a_button_answers_the_question_and_not_a_list(desk: Desk, browser: Browser, number: int) -> None:
    """Typed, it is held back, because it may be meant for the list that stands below the question."""
    listed = take(desk, number, browser, "told")
    assert any(isinstance(one, ToldSoFar) for one in listed.shown)
    typed = desk.take(number, browser, listed.id, "1")
    assert any(isinstance(one, Mistake) for one in typed.shown)
    pressed = desk.take(number, browser, typed.id, "1", pressed=True)
    assert isinstance(desk.store.events(number)[-1], Answered)
    assert not any(isinstance(one, Mistake) for one in pressed.shown)


def test_a_caution_stands_in_full_until_its_page_was_answered(desk: Desk, browser: Browser) -> None:
    number = desk.begin(BALANCE, "", browser, "form")
    first = desk.turn(number, browser)
    says = [one.says for one in asked(first).cautions]
    assert says
    assert first.heard == () == desk.turn(number, browser).heard
    after = take(desk, number, browser, "1")
    assert set(says) <= set(after.heard)
    assert desk.turn(number, new_browser()).heard == ()


def test_cautions_that_were_heard_are_said_in_brief(desk: Desk, browser: Browser) -> None:
    number = desk.begin(BALANCE, "", browser, "form")
    assert asked(desk.turn(number, browser)).brief == ""
    for line in ("1", "3", "2", "1", "240 205 1000"):
        turn = take(desk, number, browser, line)
    assert asked(turn).brief
    assert {one.says for one in asked(turn).cautions} <= set(turn.heard)
    assert asked(desk.turn(number, new_browser())).brief == "", "another has not read them"


def test_a_session_is_of_the_bike_and_the_rules_of_the_server(kept: WorkedOut, store: Store, browser: Browser) -> None:
    desk = Desk(kept, store, ("/a/shop",), Bike(name="the grey one"))
    events = store.events(desk.begin(BENCH, "it idles badly", browser, "form"))
    assert events[0] == Began(BENCH, "it idles badly", ("/a/shop",))
    assert OfBike(Bike(name="the grey one")) in events


def test_the_end_is_shown_again_and_the_session_can_be_opened_again(desk: Desk, browser: Browser, number: int) -> None:
    ended = take(desk, number, browser, "stop")
    assert [type(one) for one in ended.asks] == [Ended]
    assert desk.turn(number, browser) == ended
    desk.again(number, browser)
    assert asked(desk.turn(number, browser))


def test_what_the_disk_does_not_take_is_kept_in_memory(desk: Desk, browser: Browser, number: int) -> None:
    desk.store.database.execute("CREATE TRIGGER full BEFORE INSERT ON entry BEGIN SELECT RAISE(FAIL, 'full'); END")
    before = len(desk.store.events(number))
    found = take(desk, number, browser, "not known")
    assert any(isinstance(one, Trouble) for one in found.shown)
    assert found.stuck
    second = take(desk, number, browser, "can't")
    assert second.not_taken is None
    assert len(desk.store.events(number)) == before
    assert len(desk.session(number).journal.events) == before + 2 == desk.many(number)
    assert desk.turn(number, new_browser()).seen == before + 2, "others see it too"
    case = desk.session(number).as_case()
    assert "it idles badly" in case


def test_where_nothing_can_be_begun_that_is_said(desk: Desk, browser: Browser) -> None:
    desk.store.database.execute("CREATE TRIGGER full BEFORE INSERT ON session BEGIN SELECT RAISE(FAIL, 'full'); END")
    with pytest.raises(AdvisorError, match="full; nothing was begun") as raised:
        desk.begin(BENCH, "it idles badly", browser, "form")
    assert not isinstance(raised.value, StoreError), "so the page keeps the words"


def test_a_session_that_the_disk_takes_nothing_of_is_begun_in_memory(desk: Desk, browser: Browser) -> None:
    desk.store.database.execute("CREATE TRIGGER full BEFORE INSERT ON entry BEGIN SELECT RAISE(FAIL, 'full'); END")
    number = desk.begin(BENCH, "it idles badly", browser, "form")
    assert desk.has(number)
    assert any(isinstance(one, Trouble) for one in desk.turn(number, browser).shown)
    assert desk.turn(number, new_browser()).stuck, "others see it too"
    assert take(desk, number, browser, "workshop").not_taken is None
    assert "it idles badly" in desk.session(number).as_case()


def test_the_oldest_turns_are_let_go_and_then_asked_again(
    desk: Desk, browser: Browser, number: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(desk_module, "MOST_TURNS", 2)
    at = desk.turn(number, browser)
    others = [new_browser() for _ in range(3)]
    for one in others:
        desk.turn(number, one)
    found = desk.take(number, browser, at.id, "not known")
    assert found.not_taken
    assert found.not_taken.why == RESTARTED
    assert len(desk._turns) <= 2 >= len(desk._last)


def test_who_is_there_is_asked_once(desk: Desk, browser: Browser) -> None:
    number = desk.begin(BENCH, "it idles badly", browser, "one")
    assert [type(one) for one in desk.turn(number, browser).asks] == [AskWho]
    take(desk, number, browser, "mechanic")
    second = desk.begin(BENCH, "it idles badly", browser, "two")
    assert not any(isinstance(one, AskWho) for one in desk.turn(second, browser).asks)


def test_a_session_goes_on_with_what_comes_before_its_damage(desk: Desk, number: int) -> None:
    events = desk.store.events(number)
    fresh = desk.before_damage(events[:2])
    assert fresh != number
    assert desk.store.events(fresh) == events[:2]
    assert desk.has(fresh)
    assert not desk.has(fresh + 1)
