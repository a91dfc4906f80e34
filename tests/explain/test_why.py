"""Why a cause ranks where it does: each sign's factor, by leaving it out."""

import pytest

from advisor.explain.why import Factors, Weighed, leaves_unexplained, weighed, why
from advisor.rank.network import build
from advisor.rank.ranking import Ranking, odds
from advisor.report import Evidence
from advisor.sides import Sided
from tests.small import blank, cause, rulebase, sign

BASE = rulebase(
    sign("hangs", title="The idle hangs"),
    sign("wet", sided=True, title="The {side} joint is wet"),
    sign("hums"),
    sign("rough"),
    sign("misses", kind_of="rough"),
    cause("leak", "look", {"hangs": "usually", "wet this": "sure"}, sided=True),
    cause("jet", "blow", {"rough": "usually", "misses": "often"}),
)
LEFT, RIGHT, JET = 0, 1, 2


def known(name: str, side: str | None = None, *, seen: bool = True, rules: tuple[str, ...] = ()) -> Evidence:
    said = (f"{name} was told",)
    return blank(Evidence, sign=name, side=side, seen=seen, how="seen", rules=rules, facts=said)


def asked(*evidence: Evidence) -> tuple[Ranking, list[Weighed]]:
    """Return the ranking of what is known, and each sign with its factors: the odds with it over those without."""
    network = build(BASE)
    keys: dict[Sided, Evidence] = {(one.sign, one.side): one for one in evidence}
    found = {key: network.report(key, BASE.words.trust["seen"], seen=one.seen) for key, one in keys.items()}
    ranking = Ranking(network, found)
    factors: Factors = {
        key: {
            number: odds(whole) / odds(rest)
            for number, (whole, rest) in enumerate(
                zip(ranking.posterior.causes, ranking.without(key).causes, strict=True)
            )
        }
        for key in ranking.findings
    }
    return ranking, weighed(ranking, factors, evidence, BASE)


def test_a_sign_has_the_factor_by_which_it_moves_the_odds() -> None:
    ranking, signs = asked(known("hangs"), known("wet", "left"))
    line = why(LEFT, "leak", signs)[0]
    assert (line.sign, line.side, line.state, line.title) == ("wet", "left", "seen", "The left joint is wet")
    with_it, without = ranking.probability(LEFT), ranking.without(("wet", "left")).causes[LEFT]
    assert line.factor == pytest.approx(odds(with_it) / odds(without))
    assert line.factor > 1
    assert line.facts == ("wet was told",)
    assert line.rules == ("leak/wet",)


def test_the_rules_behind_a_sign_come_before_the_link_to_the_cause() -> None:
    _, signs = asked(known("wet", "left", rules=("read left", "again left")))
    assert why(LEFT, "leak", signs)[0].rules == ("read left", "again left", "leak/wet")


def test_the_strongest_comes_first_whichever_way_it_points() -> None:
    _, signs = asked(known("hangs"), known("wet", "left", seen=False))
    lines = why(LEFT, "leak", signs)
    assert [(line.sign, line.state) for line in lines] == [("hangs", "seen"), ("wet", "not seen")]
    assert lines[1].factor < 1 < lines[0].factor
    against = [Weighed(known(name), name, {0: 0.5}, {}, {0: times}) for name, times in (("a", 2.0), ("b", 0.4))]
    assert [line.sign for line in why(0, "x", against)] == ["b", "a"]


def test_equals_come_by_name_and_left_first() -> None:
    signs = [
        Weighed(known(name, side), name, {0: 0.5}, {}, {0: factor})
        for name, side, factor in (("b", None, 2.0), ("a", "right", 0.5), ("a", "left", 2.0), ("c", None, 4.0))
    ]
    lines = why(0, "x", signs)
    assert [(line.sign, line.side) for line in lines] == [("c", None), ("a", "left"), ("a", "right"), ("b", None)]


@pytest.mark.parametrize(("factor", "shown"), [(1.05, True), (1.049, False), (1 / 1.05, True), (0.96, False)])
def test_a_sign_that_is_none_of_the_causes_is_shown_where_it_moves_it(factor: float, shown: bool) -> None:
    """By one part in twenty, either way: judgement, written here once more."""
    sign_of_others = Weighed(known("hums"), "hums", {7: 0.5}, {}, {0: factor})
    lines = why(0, "x", [sign_of_others])
    assert len(lines) == shown
    assert all(line.rules == () for line in lines)
    own = Weighed(known("hums"), "hums", {0: 0.5}, {}, {0: factor})
    assert len(why(0, "x", [sign_of_others, own])) == 1 + shown
    assert [line.factor for line in why(0, "x", [own])] == [factor]


def test_where_nothing_is_said_of_a_cause_a_sign_moves_it_by_nothing() -> None:
    (line,) = why(0, "x", [Weighed(known("hums"), "hums", {0: 0.5}, {}, {})])
    assert line.factor == 1.0


def test_a_vague_sign_that_its_kind_says_again_is_not_counted_twice() -> None:
    _, signs = asked(known("rough"), known("misses"))
    assert [one.evidence.sign for one in signs] == ["misses"]


def test_what_a_cause_does_not_show_it_leaves_unexplained() -> None:
    _, signs = asked(known("hangs"), known("wet", "left"), known("rough"), known("hums", seen=False))
    assert leaves_unexplained(LEFT, signs) == ("rough",)
    assert leaves_unexplained(RIGHT, signs) == ("The left joint is wet", "rough")
    assert leaves_unexplained(JET, signs) == ("The idle hangs", "The left joint is wet")


def test_what_is_left_of_a_vague_sign_must_be_explained_as_such() -> None:
    """Its kind is known to be absent: what only that kind would have explained stays open."""
    base = rulebase(
        sign("rough"),
        sign("misses", kind_of="rough"),
        cause("plug", "look", {"misses": "usually"}),
        cause("jet", "blow", {"rough": "usually"}),
    )
    network = build(base)
    trust = base.words.trust["seen"]
    evidence = [known("rough"), known("misses", seen=False)]
    found: dict[Sided, bool] = {("rough", None): True, ("misses", None): False}
    ranking = Ranking(network, {key: network.report(key, trust, seen=seen) for key, seen in found.items()})
    signs = weighed(ranking, {key: {} for key in ranking.findings}, evidence, base)
    assert leaves_unexplained(0, signs) == ("rough",)
    assert leaves_unexplained(1, signs) == ()
