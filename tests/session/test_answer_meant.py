"""Which answer a line of figures and words is: both are kept, and what figures settle is not asked again."""

import re

import pytest

from advisor.diagnose import Advisor
from advisor.rulebase import Rulebase
from advisor.session.answer_in_words import in_words
from advisor.session.answer_meant import answer_said, meant
from advisor.session.events import Answered, Read, Told
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.sides import Side, Sided
from tests.session.sessions import WORKSHOP, question_of


def answered(line: str, check: str, advisor: Advisor, side: Side = None) -> tuple[object, str]:
    """Return the event that a line is for this check, as a session has it, and what of it was not understood."""
    session = Session(advisor, Journal(None))
    session.begin("bench", "it will not settle", WORKSHOP)
    session._next = question_of(check, advisor.base, side), session.report
    session.answer(line)
    return session.journal.events[-1], session.unheard


@pytest.mark.parametrize(
    ("line", "check", "says"),
    [
        ("900 to 1300 rpm, wanders", "watch-the-idle", "It wanders up and down."),
        ("about 1050, steady", "watch-the-idle", "It is steady and as it should be."),
        ("1000 to 1400 rpm, fast and wanders", "watch-the-idle", "It is fast and wanders."),
        ("1500 rpm and steady", "watch-the-idle", "It is too fast and steady."),
        ("3, 1100 rpm", "watch-the-idle", ""),
        ("2 and left 9.1 bar", "measure-the-compression", ""),
        ("left 9.1 bar right 6.2 bar", "measure-the-compression", "lower by over 10 %"),
    ],
)
def test_words_and_figures_are_kept_and_are_the_answer(line: str, check: str, says: str, advisor: Advisor) -> None:
    event, unheard = answered(line, check, advisor)
    assert isinstance(event, Answered)
    numbered = "" if says else question_of(check, advisor.base).options[int(line[0]) - 1].says
    assert (says or numbered) in event.says
    assert event.readings
    assert unheard == ""


def test_a_figure_that_leaves_several_answers_is_only_a_reading(advisor: Advisor) -> None:
    """Right idle speed does not say that it is steady, nor full advance that is off what the timing is at idle."""
    assert isinstance(answered("1050 rpm", "watch-the-idle", advisor)[0], Read)
    assert isinstance(answered("full left 18 deg right 18 deg", "strobe-each-lead", advisor)[0], Read)


def test_words_that_say_something_else_are_told_beside_the_figure(advisor: Advisor) -> None:
    event, _ = answered("left 9.1 right 9.0 bar and it smells of fuel", "measure-the-compression", advisor)
    assert isinstance(event, Answered | Told)
    assert [one.sign for one in event.reports] == ["fuel-smell"]  # the rest follows from the figures
    assert len(event.readings) == 2


def test_words_that_say_nothing_are_named_and_the_figure_is_kept(advisor: Advisor) -> None:
    event, unheard = answered("1050 rpm on the xyzzy", "watch-the-idle", advisor)
    assert isinstance(event, Read)
    assert unheard == "on the xyzzy"


def test_words_alone_are_the_answer_that_says_least_besides(base: Rulebase) -> None:
    asked = question_of("watch-the-idle", base)
    for words, says in (
        *(("it wanders", "It wanders up and down."), ("wanders up and down", "It wanders up and down.")),
        *(("it stalls", "It stalls."), ("fast and wanders", "It is fast and wanders.")),
    ):
        found = answer_said(words, asked, base)
        assert isinstance(found, Answered), words
        assert found.says == says
    for words in ("xyzzy", "it smells of fuel", "left"):
        assert answer_said(words, asked, base) is None


def test_no_answer_is_taken_that_a_figure_speaks_against(base: Rulebase) -> None:
    asked = question_of("watch-the-idle", base)
    said = in_words("1050 rpm, too fast", asked, base)
    known: dict[Sided, bool] = {("idle-too-high", None): False, ("idle-too-low", None): False}
    event, _ = meant(said, asked, known, base)
    assert not isinstance(event, Answered)


@pytest.mark.parametrize("left", [True, False])
@pytest.mark.parametrize(
    ("line", "check", "says"),
    [
        ("Left drops at once. Right sinks slowly.", "cover-the-vent-and-drop", "The left slide drops at once."),
        ("the right sinks slowly, left at once", "cover-the-vent-and-drop", "The left slide drops at once."),
        ("left hesitates", "lift-the-slide", "The left slide hesitates, or lands without a click."),
        ("both fall smoothly and click", "lift-the-slide", "Both slides fall smoothly and click."),
    ],
)
def test_an_answer_in_its_own_words_is_that_answer_on_its_side(
    line: str, check: str, says: str, left: bool, advisor: Advisor
) -> None:
    if not left:
        line, says = (mirrored(one) for one in (line, says))
    event, unheard = answered(line, check, advisor)
    assert isinstance(event, Answered)
    assert event.says == says
    assert {one.sign for one in event.reports} == {
        one.sign for option in question_of(check, advisor.base).options for one in option.reports
    }
    assert unheard == ""


def mirrored(text: str) -> str:
    """Return a text with the sides exchanged."""
    other = {"left": "right", "right": "left", "Left": "Right", "Right": "Left"}
    return re.sub("left|right", lambda found: other[found[0]], text, flags=re.IGNORECASE)


def test_figures_and_times_beside_an_answer_do_not_hide_it(advisor: Advisor) -> None:
    drops, _ = answered("The idle drops, from 950 to about 700", "ask-what-heat-does", advisor)
    assert isinstance(drops, Answered)
    assert drops.says == "The idle drops."
    assert [(one.reading, one.given) for one in drops.readings] == [("idle-speed", "700 rpm")]
    came, _ = answered("from one moment to the next, 3 weeks ago", "ask-how-it-came", advisor)
    assert isinstance(came, Answered)
    assert not came.readings
    click, _ = answered("both slides fall smoothly and click, about 1 second each", "lift-the-slide", advisor)
    assert isinstance(click, Answered)
    assert not click.readings  # the seconds of a slide are not those of hanging revs


def test_what_an_answer_denies_is_not_said_by_words_that_deny_nothing(base: Rulebase) -> None:
    asked = question_of("ask-about-cool-damp-days", base)
    clears, stays = (
        answer_said(one, asked, base)
        for one in ("it comes in cool, damp weather and a stop clears it", "a stop does not clear it")
    )
    assert isinstance(clears, Answered)
    assert isinstance(stays, Answered)
    assert any(one.seen for one in clears.reports)
    assert not any(one.seen for one in stays.reports)
    every = answer_said("any weather and a stop clears it every time", asked, base)
    assert isinstance(every, Answered)
    assert every.says == "It comes in any weather, and a stop clears it."


@pytest.mark.parametrize("check", ["measure-the-compression", "ask-how-it-came"])
@pytest.mark.parametrize("words", ["Compression after: ", "Compression: ", "compression now "])
def test_a_reading_may_be_called_as_on_its_page(words: str, check: str, advisor: Advisor) -> None:
    event, unheard = answered(f"{words}left 9.4, right 9.8 bar", check, advisor)
    assert isinstance(event, Answered | Read)
    assert [(one.side, one.given) for one in event.readings] == [("left", "9.4 bar"), ("right", "9.8 bar")]
    assert unheard == ""


@pytest.mark.parametrize(
    ("check", "line", "says"),
    [
        ("look-round-first", "right cap was soaking wet inside", "The right plug cap is off, loose or wet."),
        (
            "look-round-first",
            "a small rubber cap has split on the left",
            "A small hose or rubber cap is off or split on the left.",
        ),
        ("ride-at-part-throttle", "it's bad wide open", "It fades wide open, and pulls harder when eased."),
    ],
)
def test_a_short_line_is_the_answer_with_which_it_shares_most_words(
    base: Rulebase, check: str, line: str, says: str
) -> None:
    event = answer_said(line, question_of(check, base), base)
    assert isinstance(event, Answered)
    assert event.says == says


@pytest.mark.parametrize("line", ["the right one", "the tank is dirty", "both cables are out", "wet"])
def test_what_shares_too_little_or_denies_it_is_no_answer(base: Rulebase, line: str) -> None:
    assert answer_said(line, question_of("look-round-first", base), base) is None
