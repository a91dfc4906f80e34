"""Words of the trade are found in what is said, and explained once."""

import pytest

from advisor.rulebase import Rulebase
from advisor.rulebase.aloud import aloud
from advisor.rulebase.glossary import explained, terms


@pytest.mark.parametrize(
    ("said", "found"),
    [
        ("Are both float bowls dry?", ("float bowl",)),
        ("Pull each cable's sheath. Is a Throttle Lever loose?", ("sheath", "throttle lever")),
        ("Is it slow?", ()),
    ],
)
def test_the_longest_form_of_a_word_is_found(base: Rulebase, said: str, found: tuple[str, ...]) -> None:
    assert terms(said, base) == found


def test_a_word_is_explained_once(base: Rulebase) -> None:
    assert explained("Is the sheath out?", [], base) == (base.glossary["sheath"].says,)
    assert explained("Is the sheath out?", ["Pull the sheaths."], base) == ()


def test_a_form_belongs_to_one_word_and_is_said_to_some_rider(base: Rulebase) -> None:
    forms = [form for one in base.glossary.values() for form in (one.id, *one.also)]
    assert len(forms) == len(set(forms))
    said = [
        aloud(one, "left" if one.sided else None, base) for one in base.checks.values() if one.who == base.persons[0]
    ]
    said += [one.says for one in base.cautions.values()]
    heard = {name for one in said for name in terms(one, base)}
    assert len(heard) > 20
    for one in base.glossary.values():
        assert one.says.endswith("."), one.id
        assert len(one.says) <= 100, one.id
