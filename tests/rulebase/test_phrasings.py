"""The phrasings of signs and causes."""

from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasings import phrasings_of_causes, phrasings_of_signs, said_of_signs


def test_each_sign_and_cause_has_its_title(base: Rulebase) -> None:
    signs, causes = phrasings_of_signs(base), phrasings_of_causes(base)
    assert {one.name for one in signs.all} == set(base.signs)
    assert {one.name for one in causes.all} == set(base.causes)
    assert not any(one.sided for one in signs.all if one.says == base.signs[one.name].title)


def test_a_phrasing_of_one_telling_word_keeps_its_order(base: Rulebase) -> None:
    said, _ = said_of_signs(base)
    assert all(one.order for one in said if not one.words - {"after", "before", "only"} and not one.denies)
