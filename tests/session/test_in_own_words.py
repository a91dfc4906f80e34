"""An answer read back as it stands is that answer, on every page; said a little otherwise it is never another one."""

from advisor.rulebase import Rulebase
from advisor.session.in_own_words import in_own_words
from tests.session.sessions import question_of


def test_every_answer_in_its_own_words_is_itself(base: Rulebase) -> None:
    for check in base.checks:
        asked = question_of(check, base)
        for one in asked.options:
            assert in_own_words(one.says.lower().rstrip("."), asked.options) == (one, ""), (check, one.says)


def test_an_answer_said_a_little_otherwise_is_never_another_one(base: Rulebase) -> None:
    for check in base.checks:
        asked = question_of(check, base)
        for one in asked.options:
            for words in (f"well, {one.says}", f"{one.says.rstrip('.')}, I think"):
                found, _ = in_own_words(words, asked.options)
                assert found in {None, one}, (check, words)
