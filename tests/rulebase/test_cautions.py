"""What can hurt stands on every page on which it can hurt, whoever writes the page."""

import re

from advisor.rulebase import Rulebase
from advisor.rulebase.model import Check

ON_THE_STAND = {"running", "throttling"}
FUEL_OPENED = {"float-bowls", "carburettors-off", "slide-covers"}
# Caps of plugs, leads and shorted plugs.
HIGH_TENSION = re.compile(r"\bshort (the|each|one)\b|\bcaps?\b|\bplug leads?\b|\bleads? out\b")
FUEL = re.compile(
    r"\b(bowls?|jets?|floats?)\b[^.]* (off|out)\b|\bdrain|\bhose off\b|\bcarburettors? off\b|\btap on\b|filler cap"
)
RUN = re.compile(r"\b(run it warm|ride it|run it|warm it|run, stop|at idle|warm idle|dwell meter)\b")
BOTH_PLUGS_OUT = {"measure-the-compression", "add-oil-and-measure-again"}
NO_PLUG_CAP = {"fuel", "intake"}  # places whose caps are those of the tank and of the vacuum ports
WARMED_BY_HAND = {"measure-the-trigger"}  # with a hair dryer


def steps(check: Check) -> str:
    """Return all steps of a check, in small letters."""
    return " ".join(check.steps).lower()


def without(base: Rulebase, caution: str) -> dict[str, Check]:
    """Return the checks that do not name a caution."""
    return {one.id: one for one in base.checks.values() if caution not in one.cautions}


def test_what_runs_the_engine_on_the_stand_says_carbon_monoxide_and_hot_parts(base: Rulebase) -> None:
    for caution in ("carbon-monoxide", "hot-parts"):
        bare = without(base, caution)
        found = [
            name for name, one in bare.items() if ON_THE_STAND & set(one.involves) and "riding" not in one.involves
        ]
        assert found == [], caution


def test_what_may_start_while_it_is_cranked_says_carbon_monoxide(base: Rulebase) -> None:
    bare = without(base, "carbon-monoxide")
    assert {name for name, one in bare.items() if set(one.involves) == {"cranking"}} <= BOTH_PLUGS_OUT


def test_what_rides_says_how_and_runs_the_engine(base: Rulebase) -> None:
    """To forbid a running engine forbids riding too."""
    assert [name for name, one in without(base, "on-the-road").items() if "riding" in one.involves] == []
    assert [one.id for one in base.checks.values() if "riding" in one.involves and "running" not in one.involves] == []


def test_a_step_that_runs_the_engine_can_be_forbidden(base: Rulebase) -> None:
    """Whoever is told 'run it warm' while fuel leaks is told what must not be done."""
    for name, one in base.checks.items():
        if RUN.search(steps(one)) and one.how != "told" and name not in WARMED_BY_HAND:
            may = one.involves or "carbon-monoxide" in one.cautions  # a dwell meter is one of two ways
            assert may, name


def test_what_handles_a_plug_its_cap_or_lead_says_high_tension(base: Rulebase) -> None:
    bare = without(base, "high-tension")
    assert [name for name, one in bare.items() if one.place == "ignition" and "plug-spanner" in one.tools] == []
    assert [
        name for name, one in bare.items() if one.place not in NO_PLUG_CAP and HIGH_TENSION.search(steps(one))
    ] == []


def test_what_cranks_with_the_plugs_out_disables_the_spark(base: Rulebase) -> None:
    found = [one for one in base.checks.values() if "compression-gauge" in one.tools]
    assert found
    for one in found:
        assert {"open-plug-holes", "high-tension", "electronic-ignition"} <= set(one.cautions), one.id
        assert "nothing can spark" in steps(one), one.id


def test_nobody_looks_behind_while_riding(base: Rulebase) -> None:
    assert [
        one.id for one in base.checks.values() if "riding" in one.involves and "look behind you" in steps(one)
    ] == []


def test_what_may_die_hot_on_the_road_is_not_ridden(base: Rulebase) -> None:
    for rule in (base.rules["dies-when-hot"], base.rules["dies-and-goes-again"]):
        assert "riding" in rule.forbids
        assert "cuts-out-riding" in rule.warns


def test_a_stuck_throttle_begins_with_the_stop_switch(base: Rulebase) -> None:
    assert base.cautions["stuck-throttle"].says.startswith("Press the red stop switch")


def test_what_opens_fuel_says_that_it_burns(base: Rulebase) -> None:
    bare = without(base, "fuel-fire")
    assert [name for name, one in bare.items() if one.opens in FUEL_OPENED or "jar" in one.tools] == []
    assert [name for name, one in bare.items() if FUEL.search(steps(one))] == []


def test_what_says_do_not_ride_forbids_it(base: Rulebase) -> None:
    for rule in base.rules.values():
        said = " ".join(base.cautions[name].says for name in rule.warns).lower()
        if re.search(r"do not ride(?! until it snaps)|never ride", said):
            assert "riding" in rule.forbids, rule.id
        if re.search(r"do not (start|run|crank)|do not switch it on", said):
            assert {"cranking", "running", "throttling", "riding"} == set(rule.forbids), rule.id
        if "stuck-throttle" in rule.warns:
            assert {"throttling", "riding"} <= set(rule.forbids), rule.id


def test_a_caution_states_no_fact_that_may_not_be_so(base: Rulebase) -> None:
    """Cautions stand beside work too, where nothing is wrong yet."""
    assert base.cautions["fuel-leak"].says.startswith("If fuel")
    for caution in base.cautions.values():
        assert not re.search(r"\b(is coming|is leaking|has come)\b", caution.says), caution.id
