"""A tune-up led in its order."""

from advisor.diagnose import Advisor
from advisor.session.dialogue import Dialogue
from advisor.session.events import BALANCE, SEARCH, TUNE_UP
from advisor.session.next_question import CHECK, LED
from advisor.session.store import Journal


def begun(advisor: Advisor, *lines: str) -> Dialogue:
    """Return a tune-up after these lines."""
    found = Dialogue(advisor, Journal(None))
    found.begin(TUNE_UP)
    for line in lines:
        found.take(line)
    return found


def test_it_goes_through_the_stages_in_their_order(advisor: Advisor) -> None:
    at, stages = begun(advisor), []
    for _ in advisor.base.areas:
        if at.session.question.title.startswith("Now: "):
            stages.append(at.session.question.title.removeprefix("Now: "))
            at.take("2")
    assert stages == [area.title for area in advisor.base.areas if area.items]
    assert at.session.question.title == "All before the balance was gone through"
    at.take("1")
    assert at.session.state.leads == BALANCE
    assert at.session.question.title == "What do you read it with?"  # that all is ready need not be asked again


def test_items_come_in_their_order_with_the_figure_that_they_must_read(advisor: Advisor) -> None:
    at = begun(advisor, "1")
    items = advisor.base.areas[0].items
    asked = at.session.question
    assert (asked.kind, asked.name) == (CHECK, items[0].check)
    for _ in range(20):
        if at.session.question.name == "measure-the-clearances":
            break
        at.take("not known")
    asked = at.session.question
    assert any(step.startswith("Must read: ") and "mm" in step for step in asked.steps)


def test_what_is_wrong_is_put_right_and_looked_at_again_or_left_or_searched(advisor: Advisor) -> None:
    at = begun(advisor, "1", "1")  # traces at the left head joint
    assert at.session.question.title == "Put right: head joint dry"
    journal = list(at.session.journal.events)
    at.take("1")
    assert at.session.question.name == "look-round-the-head-joint"

    def again(line: str) -> Dialogue:
        kept = Journal(None)
        for event in journal:
            kept.add(event)
        found = Dialogue(advisor, kept)
        found.resume()
        found.take(line)
        return found

    assert again("3").session.question.name == advisor.base.areas[0].items[1].check
    assert again("2").session.state.leads == SEARCH


def test_a_reading_clears_its_item_and_it_is_counted(advisor: Advisor) -> None:
    at = begun(advisor, "1")
    while at.session.question.name != "measure-the-compression":
        assert at.session.question.kind in {CHECK, LED}
        at.take("not known")
    before = at.session.question.drawn
    at.take("left 9.5 bar right 9.4 bar")
    assert at.session.question.name != "measure-the-compression"
    assert int(at.session.question.drawn.split()[0]) == int(before.split()[0]) + 1
