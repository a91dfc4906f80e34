"""A balance led in a session, through the dialogue, on a plain bench."""

import pytest

from advisor.balance.turns import STOP, Turn
from advisor.diagnose import Advisor
from advisor.session import shown
from advisor.session.dialogue import Dialogue
from advisor.session.events import BALANCE, SEARCH, ScrewsTurned, WentOver
from advisor.session.next_question import BALANCED, LED
from advisor.session.session import Session
from advisor.session.store import Journal

LEFT = "1"  # of the mixture screws: they stay


def begun(advisor: Advisor, *lines: str) -> Dialogue:
    """Return a balance after these lines."""
    found = Dialogue(advisor, Journal(None))
    found.begin(BALANCE)
    for line in lines:
        found.take(line)
    return found


def gauges(advisor: Advisor, *lines: str, cross: bool = True) -> Dialogue:
    """Return a balance with gauges, set up, after these lines."""
    works = ("210 215",) if cross else ()
    return begun(advisor, "1", "3", "1" if cross else "2", LEFT, *works, *lines)


def test_it_begins_at_once_with_what_must_be_right_before(advisor: Advisor) -> None:
    found = Dialogue(advisor, Journal(None)).begin(BALANCE)
    asked = found[-1]
    assert isinstance(asked, shown.QuestionShown)
    assert asked.question.title == "Before the balance"
    assert any("stop switch" in one.says for one in asked.cautions)


def test_a_reading_gives_a_turn_and_what_to_expect(advisor: Advisor) -> None:
    asked = gauges(advisor, "240 205 980").session.question
    assert asked.kind == LED
    assert {(one.side, one.sixteenths > 0) for one in asked.turns} <= {("left", True), ("right", False)}
    assert asked.turns
    assert any(step.startswith("Expect: ") for step in asked.steps)
    assert asked.drawn.startswith("left 240 ")
    assert asked.drawn.endswith("205 right  +35")


def test_the_next_reading_says_that_it_was_turned(advisor: Advisor) -> None:
    typed = gauges(advisor, "240 205 980", "222 214 1010")
    numbered = gauges(advisor, "240 205 980", "1", "222 214 1010")
    assert typed.session.question == numbered.session.question
    assert typed.session.question.drawn.endswith("+35 > +8")


def test_what_was_turned_otherwise_is_kept_as_it_was_turned(advisor: Advisor) -> None:
    at = gauges(advisor, "240 205 980", "left in 1/8, right out 1/16")
    turned = ScrewsTurned((Turn("left", STOP, 2), Turn("right", STOP, -1)))
    assert at.session.journal.events[-1] == turned


READ = (
    *("240 205 980", "222 214 1010", "216 215 1020", "190 150", "170 168", "215 217 1020", "1"),
    *("214 216 1020", "210 215 1020"),
)
BALANCED_LINES = ("1", "3", "1", LEFT, "210 215", *READ)  # a balance from its beginning to its end


def played(advisor: Advisor) -> Dialogue:
    """Return a balance to its end."""
    return gauges(advisor, *READ)


def test_it_ends_balanced_and_may_be_ridden_and_read_once_more(advisor: Advisor) -> None:
    at = played(advisor)
    asked = at.session.question
    assert asked.kind == BALANCED
    assert any("35 mmHg higher, now" in step for step in asked.steps)
    at.take("1")
    assert at.session.question.takes == ("column-idle", "idle-speed")
    at.take("214 215 1020")
    assert at.session.question.title == "It is balanced, and stays so after a ride"


def test_it_goes_on_from_its_journal_at_every_step(advisor: Advisor) -> None:
    at = played(advisor)
    for until in range(2, len(at.session.journal.events) + 1):
        journal = Journal(None)
        for event in at.session.journal.events[:until]:
            journal.add(event)
        assert Session(advisor, journal).question.kind in {LED, BALANCED}


def test_undo_takes_the_last_reading_back(advisor: Advisor) -> None:
    at = gauges(advisor, "240 205 980")
    before = at.session.question
    at.take("222 214 1010")
    at.take("undo")
    assert at.session.question == before


def test_a_dead_stop_goes_over_to_the_search_with_what_was_turned_and_comes_back(advisor: Advisor) -> None:
    at = gauges(advisor, "240 205 850", "238 203 850", "239 204 850", "240 205 850")
    for _ in range(6):
        if at.session.question.title == "It does not come by turning screws":
            break
        at.take("240 205 850")
    assert at.session.question.title == "It does not come by turning screws"
    at.take("1")
    assert at.session.state.leads == SEARCH
    seen = {(one.sign, one.side) for one in at.session.state.case.seen}
    assert seen & {("stop-screw-dead", "left"), ("stop-screw-dead", "right"), ("stop-far-from-base", "left")}
    assert at.session.question.kind not in {LED, BALANCED}
    assert isinstance(at.session.journal.events[-1], WentOver)


@pytest.mark.parametrize("line", ["240", "banana", "240 205 99999", "left", "in 1/8", "left in 9", "9"])
def test_what_means_nothing_is_said_and_nothing_is_lost(advisor: Advisor, line: str) -> None:
    at = gauges(advisor, "240 205 980")
    before = list(at.session.journal.events)
    found = at.take(line)
    assert any(isinstance(one, shown.Mistake | shown.Understood) for one in found)
    assert at.session.journal.events == before


def test_a_tube_is_read_in_its_own_fluid(advisor: Advisor) -> None:
    at = begun(advisor, "1", "1", "2", LEFT, "left 200 higher 980")
    (lead, _) = at.session.state.case.measured
    assert lead.given == "200 mm of water"
    assert {(one.side, one.sixteenths > 0) for one in at.session.question.turns} <= {("left", True), ("right", False)}


def test_shorting_turns_towards_the_plug_that_costs_more(advisor: Advisor) -> None:
    at = begun(advisor, "1", "4", LEFT, "300 180 1000")
    assert at.session.question.turns
    assert {(one.side, one.sixteenths > 0) for one in at.session.question.turns} <= {("left", False), ("right", True)}


def test_mixture_screws_are_climbed_to_their_best_first(advisor: Advisor) -> None:
    at = begun(advisor, "1", "3", "2", "2", "1", "1000", "1040", "1050", "1040", "1010")
    assert at.session.question.title == "Mixture, left: leave it at its best"
    at.take("1")
    assert at.session.question.title == "Mixture, right: read the revs"


def test_a_mixture_screw_without_a_best_place_goes_over_to_the_search(advisor: Advisor) -> None:
    at = begun(advisor, "1", "3", "2", "2", "1")
    for _ in range(20):
        if "no best place" in at.session.question.title:
            break
        at.take("1000")
    at.take("1")
    assert ("mixture-screw-dead", "left") in {(one.sign, one.side) for one in at.session.state.case.seen}


def test_mixture_by_gas_and_by_drops(advisor: Advisor) -> None:
    gas = begun(advisor, "1", "3", "2", "2", "3", "1.2", "2.4", "0.2")
    assert gas.session.question.title == "Mixture, left: leave it at its best"
    assert any("out" in step for step in gas.session.question.steps)
    drops = begun(advisor, "1", "3", "2", "2", "2", "200 210 205")
    assert drops.session.question.title == "Mixture, left: turn, then read what its plug is worth"
    assert drops.session.question.drawn == "as found: 205"
