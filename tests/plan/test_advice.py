"""The next step in words: when to act, when to look, when to say that nothing fits."""

from typing import Any

import pytest
from msgspec.structs import replace

from advisor.case import Bike, Means
from advisor.plan.advice import acceptance, advise
from advisor.plan.candidates import Scene
from advisor.plan.choose import Plan
from advisor.report import Advice, NextCheck, RankedCause, Unexplained
from advisor.rulebase import Rulebase
from advisor.sides import BOTH, Side, Sided
from tests.cases import case, figure
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
    yes_no,
)

LEAK: Sided = ("leak", "left")
RIGHT: Sided = ("leak", "right")
PLUG: Sided = ("plug", None)
SCREW: Sided = ("screw", None)
JET: Sided = ("jet", None)


@pytest.fixture(scope="module")
def base() -> Rulebase:
    """Return four causes, in two stages: the plug must be right before the rest."""
    return rulebase(
        sign("wet-moves", sided=True, title="wetting the {side} joint moves the idle"),
        sign("plug-bad", title="The plug is bad"),
        sign("screw-off"),
        sign("jet-blocked"),
        cause("leak", "wet", {"wet-moves this": "sure"}, sided=True, place="intake", must_hold=("wet-moves",)),
        cause("plug", "look-plug", {"plug-bad": "sure"}, place="ignition", minutes=45.0),
        cause("screw", "count", {"screw-off": "sure"}, place="intake", minutes=46.0),
        cause("jet", "blow", {"jet-blocked": "sure"}, place="intake"),
        yes_no("wet", "wet-moves this", sided=True, minutes=7.0, steps=("Wet the {side} joint.",), tools=("can",)),
        yes_no("look-plug", "plug-bad"),
        yes_no("count", "screw-off"),
        yes_no("blow", "jet-blocked"),
        area("spark", places=("ignition",)),
        area("air", places=("intake",)),
    )


def ranked(*chances: tuple[Sided, float]) -> list[RankedCause]:
    return [blank(RankedCause, id=name, side=side, probability=chance) for (name, side), chance in chances]


def left_over(chance: float, title: str = "It whistles") -> Unexplained:
    return Unexplained(sign="whistles", side=None, title=title, probability=chance)


NEXT = blank(NextCheck, id="ask", title="Ask what it does", side="right")
SEARCH = Plan([], None)


def said(base: Rulebase, causes: list[RankedCause], **more: Any) -> Advice:
    given: dict[str, Any] = {"checks": [NEXT], "unexplained": [], "here": here(), "planned": SEARCH} | more
    return advise(base, causes, **given)


def test_without_reason_to_act_the_first_check_is_done(base: Rulebase) -> None:
    found = said(base, ranked((LEAK, 0.4), (PLUG, 0.2)))
    assert found == blank(Advice, kind="check", says="Ask what it does", side="right")


@pytest.mark.parametrize(
    ("unexplained", "likeliest", "kind"),
    [(0.9, 0.14, "none fits"), (0.89, 0.14, "check"), (0.9, 0.15, "check"), (1.0, 0.0, "none fits")],
)
def test_nothing_fits_where_a_sign_is_left_over_and_nothing_is_suspected(
    base: Rulebase, unexplained: float, likeliest: float, kind: str
) -> None:
    """So sure (0.9) that no cause shows it, and no cause likelier than 0.15: judgement, written here once more."""
    assert said(base, ranked((LEAK, likeliest)), unexplained=[left_over(unexplained)]).kind == kind


def test_what_a_cause_shows_that_was_dealt_with_is_not_left_over(base: Rulebase) -> None:
    """A joint that looks split, renewed in vain, does not end the search."""
    split = Unexplained(sign="wet-moves", side="left", title="It looks split", probability=1.0)
    for given in ({"put_right": (LEAK,)}, {"ruled_out": (LEAK,)}):
        done = here(case=replace(case(), **given))
        assert said(base, ranked((PLUG, 0.1)), unexplained=[split], here=done).kind == "check"
    assert said(base, ranked((PLUG, 0.1)), unexplained=[split]).kind == "none fits"


def test_all_that_is_left_over_is_named_and_nothing_else(base: Rulebase) -> None:
    many = [left_over(0.95), left_over(0.5, "It ticks"), left_over(0.91, "It hums")]
    found = said(base, ranked((LEAK, 0.1)), unexplained=many)
    assert found.says == (
        "Nothing in the rule base explains: It whistles; It hums. Look again at just that, measure again, "
        "and look where nobody has looked, before taking anything else apart."
    )
    assert (found.cause, found.side, found.proven, found.proof, found.then_must_hold) == ("", None, False, None, ())


@pytest.mark.parametrize(("chance", "kind"), [(0.5, "put right"), (0.49, "check")])
def test_one_acts_from_the_word_of_the_table_on(base: Rulebase, chance: float, kind: str) -> None:
    assert said(base, ranked((LEAK, chance)), planned=Plan([], LEAK)).kind == kind


def test_a_check_that_saves_more_goes_before_acting(base: Rulebase) -> None:
    """Likely enough to act on, but the plan goes for no cause yet, and there is a check."""
    assert said(base, ranked((LEAK, 0.8))).kind == "check"
    assert said(base, ranked((LEAK, 0.8)), checks=[]).kind == "put right"


def test_a_proven_cause_that_the_plan_goes_for_is_put_right_on_trial(base: Rulebase) -> None:
    causes = ranked((PLUG, 0.3), (LEAK, 0.2), (RIGHT, 0.2))
    found = said(base, causes, planned=Plan([], LEAK, proven=True), here=here({("wet-moves", "left"): True}))
    assert (found.kind, found.cause, found.side, found.proven, found.on_trial) == ("put right", *LEAK, True, True)
    assert said(base, causes, planned=Plan([], LEAK, proven=False)).kind == "check"
    sure = said(base, ranked((PLUG, 0.6), (LEAK, 0.2)), planned=Plan([], LEAK, proven=True))
    assert sure.cause == "plug"  # what is likely enough to act on goes before what is tried


def test_a_long_repair_is_tried_where_the_plan_goes_for_what_was_proven(base: Rulebase) -> None:
    """Not the likeliest, and too long to be done on the way: only because the plan says so."""
    seen = here({("screw-off", None): True})
    causes = ranked((JET, 0.3), (SCREW, 0.2), (PLUG, 0.1))
    assert said(base, causes, planned=Plan([], SCREW, proven=True), here=seen).cause == "screw"
    assert said(base, causes, planned=Plan([], SCREW, proven=False), here=seen).kind == "check"


def test_what_was_found_on_one_side_is_not_put_right_on_the_other(base: Rulebase) -> None:
    right = here({("wet-moves", "right"): True})
    both = ranked((LEAK, 0.4), (RIGHT, 0.3))
    found = said(base, both, here=right)
    assert (found.cause, found.side, found.proven) == ("leak", "right", True)
    assert found.then_must_hold == ("gone: wetting the right joint moves the idle",)
    assert not said(base, both[:1], here=right, checks=[]).proven


def test_a_proof_is_asked_of_its_own_side(base: Rulebase) -> None:
    looks = replace(base.checks["wet"], needs=(asks("wet-moves other"),))
    needy = replace(base, checks=base.checks | {"wet": looks})
    here_now = here({("wet-moves", "left"): False})
    assert said(needy, ranked((RIGHT, 0.9)), checks=[], here=here_now).proof is None
    assert said(base, ranked((RIGHT, 0.9)), checks=[], here=here_now).proof is not None


def test_what_is_likely_enough_is_not_on_trial(base: Rulebase) -> None:
    proven = here({("wet-moves", "left"): True})
    assert not said(base, ranked((LEAK, 0.5)), here=proven).on_trial
    assert said(base, ranked((LEAK, 0.49)), here=proven).on_trial
    assert not said(base, ranked((LEAK, 0.5)), checks=[]).on_trial


@pytest.mark.parametrize(
    ("second", "chance", "put_right"),
    [
        (PLUG, 0.05, True),
        (PLUG, 0.049, False),
        (SCREW, 0.3, False),  # a minute too long
        (LEAK, 0.3, False),  # nobody looked
    ],
)
def test_what_was_found_and_is_quickly_put_right_is_not_left(
    base: Rulebase, second: Sided, chance: float, put_right: bool
) -> None:
    """Likely from 0.05 on and put right within 45 minutes: judgement, written here once more."""
    seen = here({("plug-bad", None): True, ("screw-off", None): True})
    found = said(base, ranked((JET, 0.4), (second, chance)), here=seen)
    assert (found.kind, found.cause) == (("put right", second[0]) if put_right else ("check", ""))


def test_the_likeliest_cause_is_put_right_once_found_however_long_it_takes(base: Rulebase) -> None:
    seen = here({("screw-off", None): True})
    assert said(base, ranked((SCREW, 0.01)), here=seen).cause == "screw"
    assert said(base, ranked((SCREW, 0.01)), here=here({("screw-off", None): False})).kind == "check"


def test_of_several_that_are_due_the_one_that_must_be_right_first(base: Rulebase) -> None:
    causes = ranked((LEAK, 0.9), (JET, 0.8), (PLUG, 0.6))
    assert said(base, causes, checks=[]).cause == "plug"
    assert said(base, ranked((LEAK, 0.8), (JET, 0.9)), checks=[]).cause == "jet"


def test_what_was_found_goes_before_what_is_only_likely(base: Rulebase) -> None:
    seen = here({("jet-blocked", None): True})
    assert said(base, ranked((PLUG, 0.9), (JET, 0.3)), checks=[], here=seen).cause == "jet"


def test_with_nothing_left_to_do_it_says_who_could_do_more(base: Rulebase) -> None:
    def words(**means: Any) -> str:
        at = replace(case(), means=Means(**{"person": "workshop", "tools": None, "engine": ""} | means))
        found = said(base, ranked((LEAK, 0.3)), checks=[], here=here(case=at))
        assert found.kind == "hand over"
        return found.says

    more = "Nothing that can be done here with these tools tells the rest apart; more tools or more skill can."
    assert words(tools=frozenset({"spanner"})) == more
    assert words(person="mechanic") == more
    assert (
        words() == "No check tells the rest apart; measure again what was measured, and look where nobody has looked."
    )


def test_an_unproven_cause_comes_with_its_proof_on_its_side(base: Rulebase) -> None:
    found = said(base, ranked((RIGHT, 0.9)), checks=[])
    assert (found.says, found.side, found.proven) == ("leak, right", "right", False)
    assert found.proof is not None
    assert (found.proof.id, found.proof.title, found.proof.minutes) == ("wet", "wet, right", 7.0)
    assert found.proof.steps == ("Wet the right joint.",)
    assert (found.proof.engine, found.proof.cautions) == ("any", ())


@pytest.mark.parametrize(
    "scene",
    [
        here({("wet-moves", "right"): True}),  # proven
        here({("wet-moves", "right"): False}),  # looked at in vain
        here(case=replace(case(), means=Means(person="workshop", tools=frozenset(), engine=""))),  # no can
    ],
)
def test_no_proof_is_asked_for_that_was_done_or_cannot_be_done(base: Rulebase, scene: Scene) -> None:
    found = said(base, ranked((RIGHT, 0.9)), checks=[], here=scene)
    assert (found.cause, found.proof) == ("leak", None)


def test_a_proof_only_told_is_still_to_be_looked_at(base: Rulebase) -> None:
    told = here({("wet-moves", "right"): True}, looked_at=frozenset(), hearsay=frozenset({("wet-moves", "right")}))
    assert said(base, ranked((RIGHT, 0.9)), checks=[], here=told).proof is not None


def test_a_proof_that_needs_the_engine_as_it_is_not_yet_is_still_named(base: Rulebase) -> None:
    cold = replace(base, checks=base.checks | {"wet": replace(base.checks["wet"], engine="cold", cautions=("hot",))})
    at = replace(case(), means=Means(person="workshop", tools=None, engine="warm"))
    proof = said(cold, ranked((LEAK, 0.9)), checks=[], here=here(case=at)).proof
    assert proof is not None
    assert (proof.engine, proof.cautions) == ("cold", ("hot",))


# What must hold once it is put right.


@pytest.fixture(scope="module")
def figures() -> Rulebase:
    """Return signs that are read off figures in every way there is."""
    return rulebase(
        reading("column", "kPa"),
        reading("slack", "mm"),
        reading("idle", "rpm", sided=False),
        reading("heat", "C", sided=False),
        reading("head", "C"),
        limit("columns-apart", 10.0, "mmHg"),
        limit("columns-fine", 3.0, "mmHg"),
        limit("slack-least", 2.0, "mm"),
        limit("half", 50.0, "%"),
        limit("fastest", 1100.0, "rpm"),
        limit("moved", 0.5, "mm"),
        limit("heads-apart", 10.0, "C"),
        limit("hottest", 30.0, "C", figure="heat", end="high"),
        rule("uneven", over("column", "columns-fine", of="lead"), shows=["uneven this"]),
        rule("higher", over("column", "columns-apart", of="lead"), shows=["higher this"]),
        rule("far", over("column", "half", of="lead"), shows=["far this"]),
        rule("warmer", over("head", "heads-apart", of="lead"), shows=["warmer this"]),
        rule("less", over("slack", "slack-least", above=False), shows=["less this"]),
        rule("fast", over("idle", "fastest", bearing="none"), shows=["fast"]),
        rule("loose", over("slack", "moved", of="change"), shows=["loose this"]),
        rule("hot", over("heat", "hottest", bearing="none"), asks("fast"), shows=["hot"]),
        rule("not-hot", over("heat", "fastest", bearing="none"), shows=["not gone"]),
        sign("uneven", sided=True),
        sign("higher", sided=True, kind_of="uneven"),
        sign("far", sided=True),
        sign("less", sided=True),
        sign("warmer", sided=True),
        sign("fast"),
        sign("loose", sided=True),
        sign("hot"),
        sign("gone", sided=True, title="The {side} hose is split; the {other} one is not"),
        sign("both", sided=True, title="Oil on the {side}"),
        sign("smoke", title="It smokes"),
        cause("c", "k", {"gone this": "sure"}, sided=True),
        check("k", outcome("Yes.", "gone this"), sided=True),
    )


def holds(base: Rulebase, *must: str, side: Side = None, **more: Any) -> tuple[str, ...]:
    page = replace(base.causes["c"], must_hold=must, **more)
    return acceptance(page, side, replace(case(), bike=more.pop("bike", Bike())), base)


def test_a_reading_must_lie_within_the_limit_that_shows_the_sign(figures: Rulebase) -> None:
    assert holds(figures, "less", side="left") == ("slack: at least 2 mm",)
    assert holds(figures, "fast") == ("idle: at most 1100 rpm",)
    assert holds(figures, "loose", side="left") == ("slack: not moved by more than 0.5 mm",)
    assert holds(figures, "uneven", side="right") == ("column: left and right within 3 mmHg",)
    assert holds(figures, "far") == ("column: left and right within 50 %",)


def test_where_a_finer_kind_can_be_told_it_is_named_too(figures: Rulebase) -> None:
    wanted = "column: left and right within 10 mmHg; 3 mmHg where the instrument can tell it"
    assert holds(figures, "higher", side="left") == (wanted,)


def test_a_limit_is_said_in_the_mechanics_unit_too(figures: Rulebase) -> None:
    def heat(unit: str) -> tuple[str, ...]:
        one = replace(figure("heat", None, 20.0, figures), unit=unit)
        slack = replace(figure("slack", "left", 1.0, figures), unit="in")
        page = replace(figures.causes["c"], must_hold=("hot",))
        return acceptance(page, None, case(measured=(slack, one)), figures)

    assert heat("C") == ("heat: at most 30 C",)
    assert heat("F") == ("heat: at most 30 C or 86 F",)  # 30 C are 86 F: arithmetic
    slack = replace(figure("slack", "left", 1.0, figures), unit="in")
    page = replace(figures.causes["c"], must_hold=("loose",))
    assert acceptance(page, "left", case(measured=(slack,)), figures) == (
        "slack: not moved by more than 0.5 mm or 0.0197 in",
    )
    share = replace(figure("column", "left", 30.0, figures), unit="mmHg")
    page = replace(figures.causes["c"], must_hold=("far",))
    assert acceptance(page, "left", case(measured=(share,)), figures) == ("column: left and right within 50 %",)


def test_a_difference_of_two_temperatures_has_no_zero_point(figures: Rulebase) -> None:
    """Ten degrees C apart are eighteen degrees F apart, not fifty: arithmetic."""
    page = replace(figures.causes["c"], must_hold=("warmer",))
    told = case(measured=(replace(figure("head", "left", 90.0, figures), unit="F"),))
    assert acceptance(page, "left", told, figures) == ("head: left and right within 10 C or 18 F",)


def test_what_must_hold_is_said_in_the_unit_of_the_case(figures: Rulebase) -> None:
    page = replace(figures, causes={"c": replace(figures.causes["c"], must_hold=("hot",))})
    told = case(measured=(replace(figure("heat", None, 20.0, figures), unit="F"),))
    found = said(page, ranked((("c", "left"), 0.9)), checks=[], here=here(case=told))
    assert found.then_must_hold == ("heat: at most 30 C or 86 F",)


def test_the_bikes_own_figure_is_the_limit(figures: Rulebase) -> None:
    at = replace(case(), bike=Bike(figures={"heat": (10.0, 25.0)}))
    page = replace(figures.causes["c"], must_hold=("hot",))
    assert acceptance(page, None, at, figures) == ("heat: at most 25 C",)


def test_readings_come_as_they_stand_on_their_page_and_then_as_their_rules_do() -> None:
    base = rulebase(
        reading("late", "mm", line=9),
        reading("early", "mm", line=2),
        limit("one", 1.0, "mm"),
        limit("two", 2.0, "mm"),
        rule("a", over("late", "one"), shows=["off this"], line=1),
        rule("b", over("early", "two"), shows=["off this"], line=8),
        rule("c", over("early", "one"), shows=["off this"], line=3),
        sign("off", sided=True),
        cause("c", "k", {"off this": "sure"}, sided=True),
        check("k", outcome("Yes.", "off this"), sided=True),
    )
    assert holds(base, "off", side="left") == ("early: at most 1 mm", "early: at most 2 mm", "late: at most 1 mm")


def test_a_sign_that_no_figure_shows_must_be_gone(figures: Rulebase) -> None:
    assert holds(figures, "gone", side="left") == ("gone: the left hose is split; the right one is not",)
    assert holds(figures, "smoke") == ("gone: it smokes",)
    assert holds(figures, "smoke", side="left") == ("gone: it smokes",)


def test_without_a_side_it_must_be_gone_from_either(figures: Rulebase) -> None:
    assert holds(figures, "both") == ("gone: oil on either side",)
    page = replace(figures, signs=figures.signs | {"both": replace(figures.signs["both"], title="Oil, {side}")})
    assert holds(page, "both") == ("gone: oil, either",)


def test_where_the_page_does_not_say_the_side_both_must_hold(figures: Rulebase) -> None:
    assert holds(figures, "both", side="left") == tuple(f"gone: oil on the {one}" for one in BOTH)


def test_each_thing_is_said_once(figures: Rulebase) -> None:
    assert holds(figures, "less", "less", "smoke", side=None) == ("slack: at least 2 mm", "gone: it smokes")
