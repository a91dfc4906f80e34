"""Which checks can be done here and now, on a small rule base; `test_candidates_shipped` asks the whole one."""

from typing import Any

import pytest
from msgspec.structs import replace

from advisor.case import Bike, Case, Means
from advisor.plan.candidates import Candidate, Scene, candidates, feasible, real_outcomes, scene
from advisor.rank.network import build
from advisor.rulebase import Rulebase
from advisor.rulebase.model import Check, PartIs
from advisor.rulebase.table_records import Item
from advisor.sides import BOTH, OPPOSITE, Side, Sided
from tests.cases import case
from tests.small import (
    area,
    asks,
    blank,
    cause,
    check,
    here,
    limit,
    outcome,
    over,
    reading,
    rule,
    rulebase,
    sign,
    state,
    yes_no,
)


@pytest.fixture(scope="module")
def base() -> Rulebase:
    """Return a vague sign with two kinds, a sign that compares the sides, and checks that show them."""
    return rulebase(
        sign("rough"),
        sign("hunts", kind_of="rough"),
        sign("misses", sided=True, kind_of="rough"),
        sign("higher", sided=True, exclusive=True),
        sign("tight"),
        reading("column", "kPa"),
        limit("apart", 1.0, "kPa"),
        rule("read", over("column", "apart", of="lead"), shows=["higher this"]),
        cause("leak", "compare", {"higher other": "usually", "hunts": "often"}, sided=True),
        cause("valve", "feel", {"tight": "sure", "misses this": "usually"}),
        check(
            "compare",
            outcome("The {side} stands higher.", "higher this", "not higher other", either_side=True),
            outcome("Level.", "not higher this", "not higher other"),
            how="measured",
        ),
        yes_no("listen", "misses this", sided=True),
        yes_no("ask", "hunts", how="told"),
        yes_no("feel", "tight"),
        area("valves", ("tight",), check="feel"),
        area("balance", relies=("higher",)),
    )


def means(**given: Any) -> Case:
    return replace(case(), means=Means(**{"person": "workshop", "tools": None, "engine": ""} | given))


def can(one: Check, scene: Scene, base: Rulebase, side: Side = None) -> bool:
    return feasible(one, side, scene, base)


@pytest.mark.parametrize(
    ("who", "person", "able"),
    [
        ("rider", "rider", True),
        ("mechanic", "rider", False),
        ("mechanic", "workshop", True),
        ("workshop", "mechanic", False),
    ],
)
def test_who_can_do_it(base: Rulebase, who: str, person: str, able: bool) -> None:
    assert can(check("k", who=who), here(case=means(person=person)), base) is able


def test_with_what(base: Rulebase) -> None:
    one = check("k", tools=("strobe", "spanner"))
    assert can(one, here(case=means(tools=None)), base)
    assert can(one, here(case=means(tools=frozenset({"strobe", "spanner", "lamp"}))), base)
    assert not can(one, here(case=means(tools=frozenset({"strobe"}))), base)
    assert can(check("k"), here(case=means(tools=frozenset())), base)


@pytest.mark.parametrize("needs", ["cold", "warm", "any"])
@pytest.mark.parametrize("now", ["cold", "warm", ""])
def test_a_check_on_a_cold_or_warm_engine_can_wait_for_it(base: Rulebase, needs: str, now: str) -> None:
    assert can(check("k", engine=needs), here(case=means(engine=now)), base)


def test_what_is_forbidden_is_not_done(base: Rulebase) -> None:
    at = here(forbidden=frozenset({"running"}))
    assert not can(check("k", involves=("running", "throttling")), at, base)
    assert can(check("k", involves=("cranking",)), at, base)


def test_it_waits_for_any_of_the_signs_it_comes_after(base: Rulebase) -> None:
    one = check("k", only_after=("misses", "hunts"))
    assert not can(one, here(), base)
    assert not can(one, here({("hunts", None): False}), base)
    keys: list[Sided] = [("hunts", None), ("misses", "left"), ("misses", "right")]
    for key in keys:
        assert can(one, here({key: True}), base)


@pytest.mark.parametrize("side", BOTH)
def test_a_precondition_that_is_known_not_to_hold_forbids_it(base: Rulebase, side: Side) -> None:
    one = check("k", sided=True, needs=(asks("misses this"),))
    assert can(one, here(), base, side)  # unknown is never a no
    assert can(one, here({("misses", side): True}), base, side)
    assert not can(one, here({("misses", side): False}), base, side)
    assert can(one, here({("misses", OPPOSITE[side]): False}), base, side)


def test_of_a_check_of_both_sides_either_may_meet_the_precondition(base: Rulebase) -> None:
    one = check("k", needs=(asks("misses this"),))
    left: Sided = ("misses", "left")
    right: Sided = ("misses", "right")
    assert can(one, here({left: False}), base)
    assert can(one, here({left: False, right: True}), base)
    assert not can(one, here({left: False, right: False}), base)


def test_what_makes_it_pointless(base: Rulebase) -> None:
    one = check("k", unless=(asks("misses this"),))
    assert can(one, here(), base)
    assert can(one, here({("misses", "right"): False}), base)
    assert not can(one, here({("misses", "right"): True}), base)
    sided = check("k", sided=True, unless=(asks("misses this"),))
    assert can(sided, here({("misses", "right"): True}), base, "left")
    assert not can(sided, here({("misses", "right"): True}), base, "right")
    absent = check("k", unless=(asks("not hunts"),))
    assert not can(absent, here({("hunts", None): False}), base)
    assert can(absent, here({("hunts", None): True}), base)


def test_parts_decide_once_they_are_known(base: Rulebase) -> None:
    one = check("k", needs=(PartIs("ignition", "points"),))
    assert can(one, here(), base)
    for kind in ("points", "electronic"):
        at = here(case=replace(case(), bike=Bike(parts={"ignition": kind})))
        assert can(one, at, base) is (kind == "points")


def test_a_figure_is_no_precondition_that_anybody_knows(base: Rulebase) -> None:
    one = check("k", needs=(over("column", "apart"),), unless=(over("column", "apart"),))
    assert can(one, here(), base)


# What is known, and how.


def test_a_scene_knows_what_follows_from_the_signs(base: Rulebase) -> None:
    signs = [state("misses", "left"), state("higher", "right")]
    known = scene(base, case(), signs, frozenset({"running"})).known
    assert known == {
        ("misses", "left"): True,
        ("rough", None): True,
        ("higher", "right"): True,
        ("higher", "left"): False,
    }
    told = case()
    found = scene(base, told, signs, frozenset({"running"}))
    assert found.forbidden == {"running"}
    assert found.case is told


def test_none_of_the_kinds_is_there_where_the_vague_sign_is_not(base: Rulebase) -> None:
    known = scene(base, case(), [state("rough", seen=False)], frozenset()).known
    kinds: list[Sided] = [("hunts", None), ("misses", "left"), ("misses", "right")]
    assert known == {("rough", None): False} | dict.fromkeys(kinds, False)


def test_what_was_said_goes_before_what_follows(base: Rulebase) -> None:
    known = scene(base, case(), [state("higher", "left"), state("higher", "right")], frozenset()).known
    assert known == {("higher", "left"): True, ("higher", "right"): True}
    known = scene(base, case(), [state("hunts"), state("rough", seen=False)], frozenset()).known
    assert known["hunts", None] is True
    assert known["rough", None] is False


def test_an_absence_says_nothing_of_the_other_side(base: Rulebase) -> None:
    assert scene(base, case(), [state("higher", "left", seen=False)], frozenset()).known == {("higher", "left"): False}


def test_what_is_only_told_was_not_looked_at(base: Rulebase) -> None:
    signs = [state("hunts", how="told"), state("tight", how="seen"), state("misses", "left", how="measured")]
    at = scene(base, case(), signs, frozenset())
    assert at.looked_at == {("tight", None), ("misses", "left")}
    assert at.hearsay == {("hunts", None)}


def test_what_relies_on_what_is_not_checked_is_unready(base: Rulebase) -> None:
    assert scene(base, case(), [], frozenset()).unready == {"higher"}
    assert scene(base, case(), [state("tight")], frozenset()).unready == set()


def test_what_this_bike_has_not_makes_nothing_unready() -> None:
    points = blank(Item, id="points", title="points", wrong=("gap",), check="gauge", only_if={"ignition": "points"})
    base = rulebase(sign("gap"), yes_no("gauge", "gap"), area("spark", items=(points,)), area("last", relies=("gap",)))
    for kind in ("points", "electronic"):
        told = replace(case(), bike=Bike(parts={"ignition": kind}))
        assert scene(base, told, [], frozenset()).unready == ({"gap"} if kind == "points" else set())


def test_the_kinds_of_a_sided_sign_are_absent_on_its_side() -> None:
    base = rulebase(sign("weak", sided=True), sign("half", sided=True, kind_of="weak"))
    known = scene(base, case(), [state("weak", "left", seen=False)], frozenset()).known
    assert known == {("weak", "left"): False, ("half", "left"): False}


# The results of a check.


@pytest.mark.parametrize("side", BOTH)
def test_an_outcome_on_either_side_exists_twice(base: Rulebase, side: Side) -> None:
    first, level = base.checks["compare"].outcomes
    assert real_outcomes(first, None, base) == [(one, {("higher", one): True}) for one in BOTH]
    assert real_outcomes(level, None, base) == [("left", {("higher", "left"): False, ("higher", "right"): False})]
    assert real_outcomes(base.checks["listen"].outcomes[0], side, base) == [(side, {("misses", side): True})]


def offered(base: Rulebase, at: Scene) -> dict[Sided, Candidate]:
    return {(one.check.id, one.side): one for one in candidates(base, build(base), at)}


def test_every_check_is_offered_while_nothing_is_known(base: Rulebase) -> None:
    found = offered(base, here())
    assert set(found) == {("compare", None), ("listen", "left"), ("listen", "right"), ("ask", None), ("feel", None)}
    said = {(one.says, one.side) for one in found["compare", None].results}
    assert said == {("The left stands higher.", "left"), ("The right stands higher.", "right"), ("Level.", None)}
    assert {one.side for one in found["listen", "right"].results} == {"right"}


def test_what_is_not_to_be_done_again_or_cannot_be_done_is_left_out(base: Rulebase) -> None:
    at = replace(case(), not_again=(("listen", "left"), ("feel", None)))
    assert set(offered(base, here(case=at))) == {("compare", None), ("listen", "right"), ("ask", None)}
    cold = replace(base, checks={"feel": replace(base.checks["feel"], engine="cold")})
    assert set(offered(cold, here(case=means(engine="warm")))) == {("feel", None)}


def test_a_check_that_one_side_forbids_is_offered_on_the_other(base: Rulebase) -> None:
    needy = replace(base.checks["listen"], needs=(asks("higher this"),))
    found = offered(replace(base, checks={"listen": needy}), here({("higher", "right"): False}))
    assert set(found) == {("listen", "left")}


def test_a_check_that_can_only_say_one_thing_is_left_out(base: Rulebase) -> None:
    assert ("feel", None) not in offered(base, here({("tight", None): True}))
    assert ("compare", None) not in offered(base, here({("higher", "left"): True, ("higher", "right"): False}))


def test_a_result_that_what_is_known_rules_out_is_left_out(base: Rulebase) -> None:
    found = offered(base, here({("higher", "left"): False}))["compare", None]
    assert [(one.says, set(one.findings)) for one in found.results] == [
        ("The right stands higher.", {("higher", "right")}),
        ("Level.", {("higher", "right")}),
    ]


def test_hearsay_is_open_for_somebody_who_looks(base: Rulebase) -> None:
    told: frozenset[Sided] = frozenset({("tight", None), ("hunts", None)})
    found = offered(base, here(dict.fromkeys(told, True), looked_at=frozenset(), hearsay=told))
    assert {tuple(one.findings) for one in found["feel", None].results} == {(("tight", None),)}
    assert ("ask", None) not in found  # to ask again is no look


def test_a_result_is_believed_as_its_check_is(base: Rulebase) -> None:
    found = offered(base, here())
    words = base.words.trust

    def trusts(key: Sided, at: dict[Sided, Candidate]) -> set[object]:
        return {finding.trust for one in at[key].results for finding in one.findings.values()}

    assert trusts(("compare", None), found) == {words["measured"]}
    assert trusts(("ask", None), found) == {words["told"]}
    unready = offered(base, here(unready=frozenset({"higher", "hunts"})))
    assert trusts(("compare", None), unready) == {words["seen"]}
    assert trusts(("ask", None), unready) == {words["told"]}  # no better than what it says


def test_what_one_scene_asked_of_a_network_does_not_stay_for_another(base: Rulebase) -> None:
    network = build(base)
    unready = here(unready=frozenset({"higher"}))
    for at, word in ((here(), "measured"), (unready, "seen"), (here(), "measured")):
        (one,) = [found for found in candidates(base, network, at) if found.check.id == "compare"]
        assert one.results[0].findings["higher", "left"].trust == base.words.trust[word]
