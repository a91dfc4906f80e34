"""Why this cause and not that one, and which sign would turn it round."""

import pytest
from msgspec.structs import replace

from advisor.explain.why_not import Contrast, Turn, contrast
from advisor.rank.network import Finding, build
from advisor.rank.ranking import Ranking
from advisor.report import Evidence
from advisor.rulebase import Rulebase
from advisor.sides import Sided
from tests.small import area, blank, cause, rulebase, sign, yes_no

BASE = rulebase(
    sign("hangs", title="The idle hangs"),
    sign("wet", sided=True, title="The {side} joint moves the idle"),
    sign("blocked", title="The jet is blocked"),
    sign("far", title="Never mind"),
    cause(
        "leak", "look", {"hangs": "usually", "wet this": "sure"}, sided=True, title="A leak on the {side}", met="often"
    ),
    cause("jet", "blow", {"hangs": "usually", "blocked": "sure"}, title="A blocked jet", met="often"),
    cause("other", "see", {"far": "sure"}, met="seldom"),
    yes_no("look", "wet this", sided=True, minutes=6.0, title="Wet the {side} joint"),
    yes_no("look-long", "wet this", sided=True, minutes=60.0, title="Soak it"),
    yes_no("blow", "blocked", minutes=20.0, title="Blow the jet through"),
)
LEFT, RIGHT, JET, OTHER = range(4)


def known(name: str, side: str | None = None, *, seen: bool = True, how: str = "seen") -> Evidence:
    return blank(Evidence, sign=name, side=side, seen=seen, how=how)


def ranking(base: Rulebase, *evidence: Evidence) -> Ranking:
    network = build(base)
    found = {
        (one.sign, one.side): network.report((one.sign, one.side), base.words.trust[one.how], seen=one.seen)
        for one in evidence
    }
    return Ranking(network, found)


def asked(one: int, two: int, *evidence: Evidence, base: Rulebase = BASE) -> Contrast:
    return contrast(base, ranking(base, *evidence), evidence, one, two)


def test_the_likelier_comes_first_however_they_are_named() -> None:
    one, two = asked(LEFT, JET, known("hangs")), asked(JET, LEFT, known("hangs"))
    assert one == two
    probability = ranking(BASE, known("hangs")).probability
    assert (one.first, one.first_side, one.first_title) == ("jet", None, "A blocked jet")
    assert (one.second, one.second_side, one.second_title) == ("leak", "left", "A leak on the left")
    assert (one.first_probability, one.second_probability) == (probability(JET), probability(LEFT))
    wet = asked(JET, RIGHT, known("wet", "right"))
    assert (wet.first, wet.first_side, wet.first_title) == ("leak", "right", "A leak on the right")
    assert (wet.second, wet.second_side, wet.second_title) == ("jet", None, "A blocked jet")


def test_of_two_as_likely_the_one_asked_about_comes_first() -> None:
    assert asked(RIGHT, LEFT).first_side == "right"
    assert asked(LEFT, RIGHT).first_side == "left"


def test_each_sign_is_weighed_by_leaving_it_out() -> None:
    evidence = known("hangs"), known("wet", "left"), known("blocked", seen=False)
    whole = ranking(BASE, *evidence)
    found = asked(LEFT, JET, *evidence)
    assert {(one.sign, one.side, one.state) for one in found.weighed} == {
        ("wet", "left", "seen"),
        ("blocked", None, "not seen"),
        ("hangs", None, "seen"),
    }
    for one in found.weighed:
        rest = whole.without((one.sign, one.side)).causes
        now = whole.posterior.causes
        assert one.factor == pytest.approx(now[LEFT] / now[JET] / (rest[LEFT] / rest[JET]))
    assert "The left joint moves the idle" in {one.title for one in found.weighed}


def test_what_speaks_against_the_first_is_as_strong_a_line() -> None:
    found = asked(LEFT, JET, known("wet", "left"), known("blocked"), known("hangs"))
    factors = [max(one.factor, 1 / one.factor) for one in found.weighed]
    assert factors == sorted(factors, reverse=True)
    assert any(one.factor < 1 for one in found.weighed)


def turns(found: Contrast) -> dict[tuple[str, str | None, str], Turn]:
    return {(one.sign, one.side, one.state): one for one in found.turns}


def test_a_sign_that_would_turn_it_round_comes_with_its_quickest_check() -> None:
    found = turns(asked(LEFT, JET, known("hangs")))
    wet = found["wet", "left", "seen"]
    assert (wet.title, wet.known, wet.check) == ("The left joint moves the idle", False, "Wet the left joint")
    one = ranking(BASE, known("hangs"))
    told: dict[Sided, Finding] = {
        ("wet", "left"): one.network.report(("wet", "left"), BASE.words.trust["seen"], seen=True)
    }
    after = one.with_more(told).causes
    assert (wet.first, wet.second) == (after[JET], after[LEFT])
    assert wet.second > wet.first
    assert set(found) == {("wet", "left", "seen"), ("blocked", None, "not seen")}


def test_a_sign_of_neither_turns_nothing() -> None:
    assert not any(one.sign == "far" for one in asked(LEFT, JET, known("hangs")).turns)
    assert not any(one.side == "right" for one in asked(LEFT, JET, known("hangs")).turns)


def test_what_is_known_could_only_turn_out_the_other_way_and_comes_last() -> None:
    found = asked(LEFT, JET, known("hangs"), known("wet", "left", how="told"))
    (wet,) = [one for one in found.turns if one.sign == "wet"]
    assert (wet.state, wet.known) == ("not seen", True)
    assert [one.known for one in found.turns] == sorted(one.known for one in found.turns)
    one = ranking(BASE, known("hangs"), known("wet", "left", how="told"))
    told: dict[Sided, Finding] = {
        ("wet", "left"): one.network.report(("wet", "left"), BASE.words.trust["told"], seen=False)
    }
    assert wet.second == one.with_more(told).causes[JET]


def test_a_lead_among_the_improbable_turns_nothing_round() -> None:
    """From one in twenty on: judgement, written here once more."""
    rare = {"often": 1e-5, "sometimes": 1e-5, "seldom": 1e-5}
    base = replace(BASE, words=replace(BASE.words, met=rare, healthy=dict.fromkeys(BASE.words.healthy, 0.01)))
    assert asked(LEFT, OTHER, base=base).turns == ()
    assert asked(LEFT, OTHER).turns != ()


def test_the_greatest_change_comes_first_and_no_more_than_six() -> None:
    signs = [sign(f"s{n}") for n in range(9)]
    words = ("sure", "usually", "often")
    one = cause("one", "k", {f"s{n}": words[n % 3] for n in range(9)}, met="sometimes")
    two = cause("two", "k", {"known": "sure"}, met="often")
    base = rulebase(*signs, sign("known"), one, two, yes_no("k", "known"))
    found = asked(0, 1, base=base).turns
    assert len(found) == 6
    assert [one.second for one in found] == sorted((one.second for one in found), reverse=True)
    assert [one.sign for one in found[:3]] == ["s0", "s3", "s6"]  # equals by name
    assert found[0].check == ""  # no check shows it


def test_a_sign_that_silences_another_is_weighed_without_it() -> None:
    """A tight valve in an earlier stage sets the columns aside: the turn counts without them."""
    base = rulebase(
        sign("tight"),
        sign("higher"),
        cause("valve", "k", {"tight": "sure"}, met="sometimes"),
        cause("stop", "k", {"higher": "usually"}, met="often"),
        yes_no("k", "tight"),
        area("valves", ("tight",), check="k"),
        area("balance", relies=("higher",)),
    )
    evidence = (known("higher"),)
    (turn,) = [one for one in asked(0, 1, *evidence, base=base).turns if one.sign == "tight"]
    one = ranking(base, *evidence)
    told: dict[Sided, Finding] = {
        ("tight", None): one.network.report(("tight", None), base.words.trust["seen"], seen=True)
    }
    assert turn.first == one.with_more(told, [("higher", None)]).causes[1]
    assert turn.first != one.with_more(told).causes[1]


def test_a_sign_that_is_not_seen_silences_nothing() -> None:
    base = rulebase(
        sign("tight"),
        sign("higher"),
        cause("valve", "k", {"tight": "sure", "higher": "often"}, met="often"),
        cause("stop", "k", {"higher": "usually"}, met="sometimes"),
        yes_no("k", "tight"),
        area("valves", ("tight",), check="k"),
        area("balance", relies=("higher",)),
    )
    evidence = (known("higher"),)
    (turn,) = [one for one in asked(0, 1, *evidence, base=base).turns if one.sign == "tight"]
    one = ranking(base, *evidence)
    told: dict[Sided, Finding] = {
        ("tight", None): one.network.report(("tight", None), base.words.trust["seen"], seen=False)
    }
    assert (turn.state, turn.second) == ("not seen", one.with_more(told).causes[1])


def test_of_equals_the_left_comes_first() -> None:
    base = rulebase(
        sign("weak", sided=True),
        cause("one", "k", {"weak this": "usually", "weak other": "usually"}, met="sometimes"),
        cause("two", "k", {"weak this": "sometimes", "weak other": "sometimes"}, met="often"),
        yes_no("k", "weak this", sided=True),
    )
    evidence = (known("weak", "right", seen=False), known("weak", "left", seen=False))
    found = asked(0, 1, *evidence, base=base)
    assert [one.side for one in found.weighed] == ["left", "right"]
    assert {one.side for one in asked(0, 1, base=base).turns} == {"left", "right"}
    assert [one.side for one in asked(0, 1, base=base).turns] == ["left", "right"]
