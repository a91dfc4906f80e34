"""What is read aloud to a rider on the phone."""

import pytest

from advisor.rulebase import Rulebase
from advisor.session.guide import CHECK, Question, options
from advisor.show.phone import aloud
from advisor.sides import Side, fill


def asked(base: Rulebase, check: str, side: Side = None) -> Question:
    page = base.checks[check]
    return Question(
        kind=CHECK,
        name=check,
        side=side,
        title=page.title,
        because="",
        minutes=page.minutes,
        engine=page.engine,
        steps=tuple(fill(step, side) for step in page.steps),
        tools=(),
        cautions=(),
        options=tuple(options(page, side, None, base)),
        takes=page.takes,
    )


def test_a_reading_is_asked_for_in_its_own_words(base: Rulebase) -> None:
    check = next(one for one in base.checks.values() if "idle-speed" in one.takes and one.who == base.persons[0])
    assert aloud(asked(base, check.id), base) == base.readings["idle-speed"].question


def test_one_sign_is_asked_for_by_its_question(base: Rulebase) -> None:
    said = aloud(asked(base, "ask-at-which-speeds"), base)
    assert said == base.signs["rough-throughout"].question


@pytest.mark.parametrize("side", ["left", "right"])
def test_a_side_is_named(base: Rulebase, side: Side) -> None:
    said = aloud(asked(base, "watch-the-lever-follow", side), base)
    assert f"the {side}" in said
    assert "{" not in said


def test_every_sentence_for_a_rider_is_one_that_can_be_read_aloud(base: Rulebase) -> None:
    for check in base.checks.values():
        if check.who == base.persons[0]:
            said = aloud(asked(base, check.id, "left" if check.sided else None), base)
            assert said
            assert "{" not in said
            assert len(said) < 330, (check.id, len(said))
