"""What is read aloud to a rider on the phone."""

import re

import pytest
from msgspec.structs import replace

from advisor.rulebase import Rulebase
from advisor.rulebase.aloud import aloud, read_back, stands_alone, unspoken
from advisor.sides import Side


def test_a_reading_is_asked_for_in_its_own_words(base: Rulebase) -> None:
    check = replace(base.checks["watch-the-idle"], say="")
    assert "idle-speed" in check.takes
    assert aloud(check, None, base) == base.readings["idle-speed"].question


def test_one_sign_is_asked_for_by_its_question(base: Rulebase) -> None:
    check = replace(base.checks["ask-at-which-speeds"], say="")
    assert aloud(check, None, base) == base.signs["rough-throughout"].question


@pytest.mark.parametrize("name", ["look-for-broken-strands", "tap-the-bowl"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_a_side_is_named(base: Rulebase, name: str, side: Side) -> None:
    said = aloud(base.checks[name], side, base)
    assert f" {side} " in said
    assert "{" not in said


def test_every_sentence_for_a_rider_asks_him_something(base: Rulebase) -> None:
    for check in base.checks.values():
        if check.who == base.persons[0]:
            said = aloud(check, "left" if check.sided else None, base)
            assert "?" in said, check.id
            assert not said.startswith("Ask "), check.id
            assert "{" not in said


def test_a_rider_is_asked_one_short_question(base: Rulebase) -> None:
    for check in base.checks.values():
        if check.who == base.persons[0]:
            said = aloud(check, "right" if check.sided else None, base)
            assert len(said) <= 100, (len(said), check.id, said)
            assert said.count("?") == 1, (check.id, said)


@pytest.mark.parametrize(
    ("says", "alone"),
    [
        ("It never fires.", True), ("The tap is shut, or there is hardly any fuel.", True),
        ("Both smoke while it pulls.", True), ("Nothing changes.", True),
        ("Only the {side} exhaust skips beats.", True),
        ("Never.", False),
        ("It is none of these.", False),
        ("It does not.", False), ("Neither.", False),
        ("Wet with fuel.", False), ("Nothing, or a few drops.", False), ("Rich all over, but it pulls.", False),
        ("None of these.", False), ("No hiss, and no better.", False), ("", False),
    ],
)  # fmt: skip
def test_an_answer_with_a_verb_of_its_own_can_be_read_back_alone(says: str, alone: bool) -> None:
    assert stands_alone(says) is alone


def test_an_answer_that_does_not_stand_alone_is_read_back_with_its_question() -> None:
    assert read_back("Is it wet?", "It is dry.") == "So: It is dry."
    assert read_back("How is it?", "Never.") == "I asked: How is it? You say: never."


def test_what_a_rider_would_not_understand_is_a_mistake_of_the_page(base: Rulebase) -> None:
    assert not list(unspoken(base))
    asked = base.checks["ask-about-the-wet"]
    worse, same = asked.outcomes
    for wrong, says in (
        (replace(asked, outcomes=(worse, replace(same, says="Neither."))), "cannot be read back alone"),
        (replace(asked, say="Tell me about the rain."), "'say' needs a question"),
        (replace(asked, say=f"Is it {'very ' * 20}much worse in rain?"), "at most 100 letters"),
    ):
        found = list(unspoken(replace(base, checks={asked.id: wrong})))
        assert [one.line for one in found] == [asked.line]
        assert says in found[0].text
    shop = replace(asked, who=base.persons[-1], say="", outcomes=(replace(same, says="Neither."),))
    assert not list(unspoken(replace(base, checks={asked.id: shop})))


def test_a_rider_is_asked_in_words_of_the_checks_own_and_answers_in_whole_sentences(base: Rulebase) -> None:
    for check in base.checks.values():
        if check.who == base.persons[0] and check.say:
            assert check.say.endswith("?"), check.id
            assert "enricher" not in check.say.replace("(the enricher)", ""), check.id
            for outcome in check.outcomes:
                assert re.fullmatch(r"[A-Z]\S* .+\.", outcome.says), (check.id, outcome.says)
