"""What cannot both be so: declared on the pages of signs, either way round, on which side, and through kinds."""

import pytest

from advisor.plan.candidates import real_outcomes
from advisor.rank.opposed import at_odds
from advisor.rulebase import Rulebase
from advisor.sides import BOTH, Side, Sided
from tests.small import rulebase, sign

Said = tuple[str, Side] | tuple[str, Side, bool]
PALE: Sided = ("pale", "left")
SMALL = rulebase(
    sign("pale", sided=True),
    sign("black", sided=True, never_with=("pale",), never_without=("marked",)),
    sign("sooty", sided=True, kind_of="black"),
    sign("marked", sided=True),
    sign("wet"),
    sign("weaker", sided=True, exclusive=True, other_side_never_with=("dead",)),
    sign("much-weaker", sided=True, exclusive=True, kind_of="weaker"),
    sign("dead", sided=True, both_never_without=("stands",)),
    sign("stands", never_without=("troubled",), never_with=("races",)),
    sign("races"),
    sign("troubled"),
)


def odd(*told: Said) -> list[tuple[Sided, ...]]:
    """Return what of this is at odds; the last one says whether a sign is there, yes if it is left out."""
    known: dict[Sided, bool] = {(one[0], one[1]): one[2] if len(one) > 2 else True for one in told}
    return at_odds(known, SMALL)


def test_what_never_goes_together_is_at_odds_either_way_round_on_one_side_and_through_its_kinds() -> None:
    assert odd(PALE, ("black", "left")) == [(PALE, ("black", "left"))]
    assert odd(("sooty", "left"), PALE) == [(("sooty", "left"), PALE)]
    assert odd(PALE, ("sooty", "right")) == odd(PALE, ("wet", None)) == odd(PALE) == []
    assert odd(PALE, ("black", "left", False)) == []


def test_what_never_goes_without_is_at_odds_with_its_absence() -> None:
    assert odd(("black", "left"), ("marked", "left", False)) == [(("black", "left"), ("marked", "left"))]
    assert odd(("marked", "left", False), ("sooty", "left")) == [(("marked", "left"), ("sooty", "left"))]
    assert odd(("black", "left"), ("marked", "right", False)) == []
    assert odd(("black", "left", False), ("marked", "left")) == []
    assert odd(("sooty", "left"), ("black", "left", False)) == []  # a vague sign says so on its page or not at all


def test_what_compares_the_sides_is_at_odds_with_the_other_side() -> None:
    assert odd(("weaker", "left"), ("weaker", "right")) == [(("weaker", "left"), ("weaker", "right"))]
    assert odd(("much-weaker", "left"), ("weaker", "right")) == [(("much-weaker", "left"), ("weaker", "right"))]
    assert odd(("weaker", "left"), ("dead", "right")) == [(("weaker", "left"), ("dead", "right"))]
    assert odd(("dead", "right"), ("weaker", "left")) == [(("dead", "right"), ("weaker", "left"))]
    assert odd(("weaker", "left"), ("dead", "left")) == odd(("weaker", "left"), ("weaker", "right", False)) == []


@pytest.mark.parametrize("other", [("stands", None, False), ("troubled", None, False), ("races", None)])
@pytest.mark.parametrize("turn", range(3))
def test_what_is_on_both_sides_needs_more_in_any_order(other: Said, turn: int) -> None:
    told: list[Said] = [("dead", "left"), ("dead", "right"), other]
    (found,) = odd(*told[turn:], *told[:turn])
    assert set(found[:2]) == {("dead", "left"), ("dead", "right")}
    assert found[2] == other[:2]
    assert odd(("dead", "left"), other) == []


def test_one_sign_alone_is_at_odds_with_nothing(base: Rulebase) -> None:
    for page in base.signs.values():
        assert at_odds({(page.id, "left" if page.sided else None): True}, base) == []


@pytest.mark.parametrize("side", BOTH)
def test_a_side_that_is_weak_in_another_way_may_do_little_at_idle(base: Rulebase, side: Side) -> None:
    """Who finds none of the named ways in what he felt does not deny what a look at each side then shows."""
    told = base.checks["ask-whether-one-side-is-weak"].outcomes
    other_way = next(one for one in told if "another way" in one.says)
    known = dict(real_outcomes(other_way, None, base)[0][1])
    looks = [
        base.checks[one] for one in ("feel-which-side-works", "drip-water-on-the-pipes", "short-each-plug-at-idle")
    ]
    for found in (one for look in looks for one in look.outcomes):
        settled = dict(real_outcomes(found, None, base))[side if found.either_side else "left"]
        if not settled.get(("side-dead", side)):
            assert at_odds({**known, **settled}, base) == at_odds(settled, base) == [], found.says


@pytest.mark.parametrize("side", BOTH)
def test_a_plug_may_be_black_after_a_ride_and_wet_after_cranking(base: Rulebase, side: Side) -> None:
    assert at_odds({("plug-black", side): True, ("plug-wet", side): True}, base) == []
    assert at_odds({("plug-black", side): True, ("plug-pale", side): True}, base) != []
