"""The phrasings of signs and causes, and slips of spelling."""

import pytest

from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasings import phrasebook_of


def test_each_sign_and_cause_has_its_title(base: Rulebase) -> None:
    book = phrasebook_of(base)
    assert {one.name for one in book.signs.all} == set(base.signs)
    assert {one.name for one in book.causes.all} == set(base.causes)
    assert not any(one.sided for one in book.signs.all if one.says == base.signs[one.name].title)


def test_a_book_is_made_once(base: Rulebase) -> None:
    assert phrasebook_of(base) is phrasebook_of(base)


@pytest.mark.parametrize(
    ("slip", "word"),
    [
        ("throtle", "throttle"),
        ("idel", "idle"),
        ("carburator", "carburettor"),
        ("compresion", "compression"),
        ("diaphram", "diaphragm"),
        ("lovley", "lovely"),
    ],
)
def test_a_slip_is_put_right(base: Rulebase, slip: str, word: str) -> None:
    assert phrasebook_of(base).spelt(slip) == word


@pytest.mark.parametrize("word", ["town", "week", "thirty", "hot", "zebra", "the", "1200", "left", "stored"])
def test_what_is_no_slip_stays(base: Rulebase, word: str) -> None:
    assert phrasebook_of(base).spelt(word) == word


def test_a_phrasing_of_one_telling_word_keeps_its_order(base: Rulebase) -> None:
    book = phrasebook_of(base)
    assert all(one.order for one in book.signs.all if not one.words - {"after", "before", "only"} and not one.denies)
