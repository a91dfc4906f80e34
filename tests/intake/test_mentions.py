"""Which phrasings are mentioned: whole enough, together, each word once."""

from advisor.intake.clauses import clauses
from advisor.intake.mentions import Mention, mentions
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasebook import phrasebook_of


def found(base: Rulebase, sentence: str) -> list[Mention]:
    book = phrasebook_of(base)
    return mentions(clauses(sentence, book), book.signs)


def test_no_word_counts_for_two_things(base: Rulebase) -> None:
    for sentence in ("smoke from the wiring and the idle hangs", "it pops on the overrun and dies at every red light"):
        places = [place for one in found(base, sentence) for place in one.places]
        assert len(places) - len(set(places)) <= 1


def test_the_surest_comes_first(base: Rulebase) -> None:
    scores = [one.score for one in found(base, "it smokes, the idle hangs, and petrol drips from the left carburettor")]
    assert scores == sorted(scores, reverse=True)


def test_what_stands_in_two_clauses_is_found_across_them(base: Rulebase) -> None:
    assert [one.phrasing.name for one in found(base, "bars turned left, revs go up")] == ["changes-with-bars"]


def test_one_word_of_several_says_too_little(base: Rulebase) -> None:
    assert found(base, "the brakes squeal") == []
