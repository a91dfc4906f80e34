"""The lesson as a dialogue: on by an empty line, to a stage by its name, stopped by a word. No terminal."""

from typing import TypeVar

import msgspec
import pytest

from advisor.errors import AdvisorError
from advisor.practice.lesson_dialogue import (
    FIRST_CHECK,
    NEXT_STAGE,
    AskNext,
    ExampleShown,
    Lesson,
    LessonOpening,
    LessonOver,
    LessonStopped,
    NoExample,
    StageTaught,
)
from advisor.practice.replies import Mistake, Reply
from advisor.rulebase.model import Rulebase

R = TypeVar("R", bound=Reply)


def of(kind: type[R], replies: list[Reply]) -> list[R]:
    return [one for one in replies if isinstance(one, kind)]


def test_an_empty_line_goes_on_to_the_end(base: Rulebase) -> None:
    lesson, replies = Lesson(base), list[Reply]()
    replies += lesson.opening()
    while not lesson.over:
        replies += lesson.take("")
    count = len(base.areas)
    assert of(LessonOpening, replies) == [LessonOpening(stages=count)]
    assert [one.number for one in of(StageTaught, replies)] == list(range(1, count + 1))
    assert len(of(ExampleShown, replies)) == count
    assert [one.next for one in of(AskNext, replies)] == [FIRST_CHECK, NEXT_STAGE] * (count - 1) + [FIRST_CHECK]
    assert isinstance(replies[-1], LessonOver)
    assert lesson.take("") == lesson.stop() == []
    for one in replies:
        assert msgspec.json.decode(msgspec.json.encode(one))["type"] == type(one).__name__


def test_a_caution_is_shown_in_full_once(base: Rulebase) -> None:
    lesson = Lesson(base)
    (first,) = of(StageTaught, lesson.opening())
    (example,) = of(ExampleShown, lesson.take(""))
    (second,) = of(StageTaught, lesson.take(""))
    assert first.care.fresh
    assert not first.care.before
    assert not example.care.fresh
    assert example.care.before
    assert not set(first.care.fresh) & set(second.care.fresh)
    assert second.care.before
    (alone,) = of(StageTaught, Lesson(base, "balance").opening())
    assert any("outdoors only" in one for one in alone.care.fresh)


@pytest.mark.parametrize(("words", "number"), [("3", 3), ("cables", 6), (" FUEL ", 3), ("valv", 1)])
def test_it_begins_and_goes_where_it_is_asked(base: Rulebase, words: str, number: int) -> None:
    assert [one.number for one in of(StageTaught, Lesson(base, words).opening())] == [number]
    lesson = Lesson(base)
    lesson.opening()
    assert [one.number for one in of(StageTaught, lesson.take(words))] == [number]
    assert [one.next for one in of(AskNext, lesson.take(""))] == ([NEXT_STAGE] if number < len(base.areas) else [])


def test_a_stage_that_is_none_is_said_and_asked_again(base: Rulebase) -> None:
    with pytest.raises(AdvisorError, match="no stage is called 'sidecar'; there are: 1 valves"):
        Lesson(base, "sidecar")
    lesson = Lesson(base)
    lesson.opening()
    mistake, ask = lesson.take("Nonsense")
    assert isinstance(mistake, Mistake)
    assert mistake.text.startswith("no stage is called 'nonsense'")
    assert ask == AskNext(next=FIRST_CHECK)
    assert of(ExampleShown, lesson.take(""))  # nothing was lost


@pytest.mark.parametrize("word", ["q", "STOP", "exit", " quit "])
def test_it_stops_by_a_word(base: Rulebase, word: str) -> None:
    lesson = Lesson(base, "2")
    lesson.opening()
    stopped = lesson.take(word)
    assert stopped == [LessonStopped(number=2, stages=len(base.areas), title=base.areas[1].title)]
    assert lesson.over


def test_it_stops_where_the_input_ends(base: Rulebase) -> None:
    lesson = Lesson(base)
    lesson.opening()
    (stopped,) = of(LessonStopped, lesson.stop())
    assert (stopped.number, lesson.over) == (1, True)


def test_a_stage_that_no_fault_shows_in_says_so(base: Rulebase, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("advisor.practice.lesson._example", lambda *_: None)
    lesson = Lesson(base)
    lesson.opening()
    assert lesson.take("") == [NoExample(), AskNext(next=NEXT_STAGE)]
