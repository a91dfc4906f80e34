"""Any step of a session fits a screen: 20 lines at 80 columns, 26 at 60, with the line that is typed.

The sizes are common practice, no source: a terminal of 80 by 24, and one of 60 by 30 beside a picture.
"""

import io
from collections.abc import Iterator, Sequence

import pytest
from msgspec.structs import replace
from rich.console import Console

from advisor.rulebase import Rulebase
from advisor.rulebase.aloud import aloud
from advisor.rulebase.model import SignIs
from advisor.session.hearing import Hearing
from advisor.session.next_question import FIXED, IN_VAIN, REPAIR, SOUND, Option, Question, check_asked
from advisor.session.prompts import at_once, fitted, understood
from advisor.session.room import ANSWERS, CARE, DOING, WHOLE, in_short
from advisor.session.shown import Caution, QuestionShown, Shown, Troubles
from advisor.show.dialogue import drawn
from advisor.sides import fill, sides_of

SIZES = {80: 20, 60: 26}
PROMPT = 1


def lines(one: Shown, columns: int) -> list[str]:
    screen = Console(width=columns, file=io.StringIO())
    screen.print(drawn(one))
    assert isinstance(screen.file, io.StringIO)
    return screen.file.getvalue().splitlines()


def asked(
    question: Question,
    kind: str = "bench",
    dangers: Sequence[str] = (),
    says: str = "",
    *,
    heard: bool = False,
    rides: bool = True,
) -> Iterator[QuestionShown]:
    """Yield each part of a question as it is shown."""
    one = QuestionShown(
        kind=kind,
        question=question,
        dangers=tuple(Caution(says=each, again=heard) for each in dangers),
        cautions=tuple(Caution(says=each, again=heard) for each in question.cautions if each not in dangers),
        may_ride=rides,
        aloud=says,
    )
    first = fitted(one)
    yield from (fitted(one, part) for part in range(len(first.parts)))


def checks(base: Rulebase, *, once: bool = False) -> Iterator[tuple[Question, str]]:
    """Yield every check on each side at the bike, and for those that a rider can do what is said to him.

    With `once` a check is drawn on one side only, the one with the longer word.
    """
    for check in base.checks.values():
        for side in sides_of(check.sided)[once and check.sided :]:
            question = check_asked(
                check, side, "it decides between: one thing that may be the matter; another one", None, base
            )
            yield question, ""
            if check.who == base.persons[0]:
                yield question, aloud(check, side, base)


def repairs(base: Rulebase) -> Iterator[Question]:
    for cause in base.causes.values():
        for side in sides_of(cause.sided):
            yield Question(
                kind=REPAIR,
                name=cause.id,
                side=side,
                title=fill(cause.title, side),
                because="it is by far the likeliest, and cannot be proven here",
                minutes=cause.minutes,
                engine="any",
                steps=(
                    fill(cause.remedy, side),
                    "It does not explain: one thing; another thing. Look for that afterwards.",
                ),
                tools=(),
                cautions=tuple(base.cautions[name].says for name in cause.cautions),
                options=(Option(says=FIXED), Option(says=SOUND), Option(says=IN_VAIN)),
                takes=(),
            )


def too_long(found: Iterator[QuestionShown]) -> list[tuple[str, str, int, int]]:
    """Return what does not fit: its title, the part, the columns and the lines."""
    return [
        (one.question.title, one.part, columns, many)
        for one in found
        for columns, most in SIZES.items()
        if (many := len(lines(one, columns)) + PROMPT) > most
    ]


@pytest.mark.parametrize("heard", [False, True])
def test_every_check_fits_on_each_side_and_to_everybody(base: Rulebase, heard: bool) -> None:
    for question, says in checks(base, once=heard):
        assert not too_long(asked(question, "phone" if says else "bench", says=says, heard=heard))


@pytest.mark.parametrize("heard", [False, True])
def test_every_repair_fits(base: Rulebase, heard: bool) -> None:
    for question in repairs(base):
        assert not too_long(asked(question, heard=heard))


@pytest.mark.parametrize("kind", ["bench", "phone"])
def test_every_danger_fits_with_the_longest_check(base: Rulebase, kind: str) -> None:
    longest = max(
        (one for one, _ in checks(base)), key=lambda one: sum(map(len, one.steps)) + sum(map(len, one.cautions))
    )
    says = "Is it as it should be, or is there anything about it that is not as it was before it began?"
    for rule in base.rules.values():
        if rule.warns:
            dangers = [base.cautions[name].says for name in rule.warns]
            assert not too_long(asked(longest, kind, dangers, says if kind == "phone" else "", rides=not rule.forbids))


def test_what_is_asked_stands_next_to_the_prompt_and_no_figure_behind_an_answer(base: Rulebase) -> None:
    question = replace(
        check_asked(base.checks["blip-and-let-go"], None, "it tells", None, base),
        options=(Option(says="Yes.", leads="A fault", chance=0.4), Option(says="No.")),
    )
    (one,) = asked(question)
    drawn_lines = lines(one, 80)
    assert [line.split() for line in drawn_lines[-3:-1]] == [["1", "Yes."], ["2", "No."]]
    assert "%" not in "".join(drawn_lines)
    first = next(number for number, line in enumerate(drawn_lines) if line.startswith(question.title))
    assert all(not line or line.startswith(("  !", "    ")) for line in drawn_lines[:first])


def test_a_long_step_is_shown_in_parts_that_hold_all_of_it(base: Rulebase) -> None:
    question = check_asked(base.checks["turn-a-stop-and-read"], None, "it tells", None, base)
    shown = list(asked(question))
    assert [one.part for one in shown] == list(shown[0].parts)
    assert shown[0].parts in {(DOING, ANSWERS), (CARE, DOING, ANSWERS)}
    words = " ".join(" ".join(lines(one, 80)) for one in shown).split()
    text = " ".join(words)
    for says in (*question.steps, *(one.says for one in question.options), *map(in_short, question.cautions)):
        assert " ".join(says.split()) in text
    for one in shown:
        assert "Enter: " in " ".join(lines(one, 80)[-2:])


def test_cautions_are_in_full_as_far_as_there_is_room(base: Rulebase) -> None:
    (short,) = asked(check_asked(base.checks["blip-and-let-go"], None, "it tells", None, base))
    assert short.parts == (WHOLE,)
    assert not short.more
    many = tuple(f"Mind the part number {number}. {'It hurts, and this says why. ' * 6}".strip() for number in range(5))
    (one,) = asked(replace(short.question, cautions=many))
    assert one.more
    assert {each.again for each in one.cautions} == {False, True}
    assert "'cautions': in full" in " ".join(lines(one, 80))


def test_the_main_troubles_and_the_dangers_of_what_was_understood_fit(base: Rulebase) -> None:
    hearing = Hearing(base)
    numbers = 1  # what asks for them is one more line
    for person in base.persons:
        found = Troubles(signs=tuple(hearing.troubles(person)))
        assert all(len(lines(found, columns)) + numbers + PROMPT <= most for columns, most in SIZES.items())
    for rule in base.rules.values():
        if rule.warns and all(isinstance(one, SignIs) for one in rule.when):
            said = [one.sign for one in rule.when if isinstance(one, SignIs)]
            signs = [hearing._offered(name, "left" if base.signs[name].sided else None) for name in said]
            one = understood([*signs, *hearing.troubles(base.persons[0])[:8]], hearing)
            assert all(len(lines(one, columns)) + numbers + PROMPT <= most for columns, most in SIZES.items())


def test_more_than_fits_is_offered_in_turn(base: Rulebase) -> None:
    hearing = Hearing(base)
    every = [hearing._offered(name, side) for name, sign in base.signs.items() for side in sides_of(sign.sided)][:60]
    while every:
        many = at_once(every, hearing)
        one = understood(every[:many], hearing)
        assert 6 < many <= 14 or many == len(every)
        assert all(len(lines(one, columns)) + 1 + PROMPT <= most for columns, most in SIZES.items())
        every = every[many:]
