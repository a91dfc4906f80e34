"""Clauses: where they end, what is not cut, and how each is said."""

import pytest

from advisor.intake.clauses import Clause, clauses
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasebook import phrasebook_of


def cut(base: Rulebase, sentence: str) -> list[Clause]:
    return clauses(sentence, phrasebook_of(base))


@pytest.mark.parametrize(
    ("sentence", "many"),
    [
        ("it starts well but it hangs", 2),
        ("it hangs, it pops; it smokes. It leaks", 4),
        ("it hangs and then it pops", 2),
        ("the plug is black and wet", 1),
        ("black and white smoke", 1),
        ("it idles at 1,200 rpm", 1),
        ("it has hung since I did the valves", 2),
        ("", 0),
        ("... , !", 0),
    ],
)
def test_where_a_clause_ends(base: Rulebase, sentence: str, many: int) -> None:
    assert len(cut(base, sentence)) == many


def test_places_count_through_the_whole_sentence(base: Rulebase) -> None:
    places = [word.place for one in cut(base, "the idle hangs, the plug smokes") for word in one.words]
    assert places == sorted(set(places))


def test_praise_after_its_thing_ends_there(base: Rulebase) -> None:
    (clause,) = cut(base, "starts lovely dies hot")
    assert len({word.part for word in clause.words if word.says in {"start", "die"}}) == 2


@pytest.mark.parametrize("sentence", ["smoke? no, never", "smoke? None."])
def test_an_answer_belongs_to_its_question(base: Rulebase, sentence: str) -> None:
    assert [word.says for word in cut(base, sentence)[0].words][-1] == "not"


def test_how_it_is_said(base: Rulebase) -> None:
    assert cut(base, "I think it is the coil")[0].supposed
    assert cut(base, "is the coil bad?")[0].asked
    assert cut(base, "it was fine")[0].past
    assert cut(base, "it used to smoke")[0].used_to
    plain = cut(base, "the coil is bad")[0]
    assert [plain.supposed, plain.asked, plain.past, plain.used_to] == [False] * 4
