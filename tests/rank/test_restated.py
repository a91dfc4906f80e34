"""What only says another sign in other words: the causes of that one explain it, and their repair takes it back too."""

import pytest

from advisor.chain.compile import side_at
from advisor.diagnose import Advisor
from advisor.intake.mapping import case_from
from advisor.rank.restated import restated
from advisor.sides import BOTH, named, other
from tests.small import cause, rule, rulebase, sign, yes_no

PAGES = (
    sign("dead", sided=True),
    sign("alone", sided=True),
    sign("rough"),
    sign("uneven", kind_of="rough"),
    sign("shaky", kind_of="rough"),
    cause("plug", "look", {"dead this": "sure", "uneven": "often"}, sided=True),
    yes_no("look", "dead", sided=True),
    rule("one-works", "alone this", shows=("dead other", "not alone other")),
)


def test_a_sign_that_no_cause_shows_says_what_a_rule_concludes_from_it_alone() -> None:
    said = restated(rulebase(*PAGES))
    assert said == {("alone", side): {("dead", other(side))} for side in BOTH}


def test_what_several_rules_conclude_is_said_together() -> None:
    said = restated(rulebase(*PAGES, rule("rough-too", "alone this", shows=("rough",))))
    assert said == {("alone", side): {("dead", other(side)), ("rough", None)} for side in BOTH}


@pytest.mark.parametrize(
    "more",
    [
        rule("linked", "dead this", shows=("rough",)),
        rule("vague", "rough", shows=("shaky",)),
        rule("two", "shaky", "rough", shows=("uneven",)),
        rule("unless", "shaky", unless=("rough",), shows=("uneven",)),
        rule("absent", "not shaky", shows=("uneven",)),
        rule("denies", "shaky", shows=("not uneven",)),
    ],
)
def test_nothing_else_says_only_another_sign_wherever_it_stands(more: object) -> None:
    for pages in ((*PAGES, more), (more, *PAGES)):
        assert restated(rulebase(*pages)) == restated(rulebase(*PAGES))


def test_what_explains_a_sign_explains_its_other_words(advisor: Advisor) -> None:
    """Common practice, no source: with the right plug dead only the left cylinder works."""
    base, explained = advisor.base, set[str]()
    for key, said in restated(base).items():
        found = advisor.diagnose(case_from({"seen": {key[0]: key[1] or True}}, base))
        for page in base.causes.values():
            for side in BOTH if page.sided else (None,):
                shown = {(link.sign, side_at(link.bearing, side or "left")) for link in page.links}
                if not said <= shown:
                    continue
                one = next(one for one in found.causes if (one.id, one.side) == (page.id, side))
                assert one.unexplained == (), named(*key)
                assert found.unexplained == ()
                explained.add(page.id)
    assert "plug-dead" in explained
