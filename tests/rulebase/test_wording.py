"""Words in plain form: what is the same becomes the same, what is not stays apart."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.rulebase.wording import NOT, WELL, nearly, pieces, plain, root, spoken_words, telling


def said(text: str) -> list[str]:
    return list(telling(spoken_words(text)))


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("it won't start", "it will not start"),
        ("does not tick over evenly", "doesnt idle smoothly"),
        ("the idle's fine", "idle is good"),
        ("it conks out", "it died"),
        ("no longer holds", "does not hold"),
        ("nothing wrong with the spark", "spark ok"),
        ("the motor hung", "engine hangs"),
        ("petrol drips", "fuel dripping"),
        ("it made no difference", "just the same"),
        ("on the button", "first kick"),
        ("the popping has gone", "no popping"),
    ],
)
def test_what_is_the_same_becomes_the_same(one: str, other: str) -> None:
    assert set(said(one)) == set(said(other))


@pytest.mark.parametrize("text", ["not only when hot", "as well as that", "no idea why", "a good bit of play"])
def test_what_only_looks_like_denial_or_praise_is_none(text: str) -> None:
    assert not {NOT, WELL} & set(said(text))


@pytest.mark.parametrize(("word", "other"), [("note", NOT), ("wells", WELL)])
def test_a_word_that_only_ends_like_a_denial_or_a_praise_is_none(word: str, other: str) -> None:
    assert root(word) != other


def test_a_port_is_a_side_only_of_what_has_sides() -> None:
    assert pieces("port pot")[0] == "left"
    assert "left" not in pieces("the vacuum port")


def test_the_longest_phrase_counts() -> None:
    assert said("not too bad") == [WELL]
    assert said("no problem starting") == [WELL, "start"]
    assert said("no problem") == [WELL]


def test_marks_and_figures_stay() -> None:
    assert pieces("idle 1,200 rpm, yes?") == ["idle", "1,200", "rpm", ",", "yes", "?"]
    assert plain("It's  FINE!") == "it well !"


def test_words_that_say_nearly_the_same() -> None:
    assert nearly(root("conked")) == nearly(root("quits")) == nearly("die")
    assert nearly("idl") == "idl"


@given(st.text(max_size=80))
def test_any_text_has_a_plain_form(text: str) -> None:
    assert plain(text) == plain(text.upper()) or any(ord(one) > 127 for one in text)
    assert all(word == word.lower() for word in spoken_words(text))
