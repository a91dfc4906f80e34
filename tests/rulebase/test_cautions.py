"""What can hurt stands on every page on which it can hurt, whoever writes the page."""

import re

import pytest

from advisor.rulebase import Rulebase
from advisor.rulebase.model import Check

ON_THE_STAND = {"running", "throttling"}
FUEL_OPENED = {"float-bowls", "carburettors-off", "slide-covers"}
# Caps of plugs, leads and shorted plugs.
HIGH_TENSION = re.compile(r"\bshort (the|each|one)\b|\bcaps?\b|\bplug leads?\b|\bleads? out\b")
HANDLED = re.compile(r"\bplugs?\b|\bcaps?\b|\bleads?\b")
FUEL = re.compile(r"\b(bowls?|jets?|floats?)\b[^.]* (off|out)\b|\bdrain|\bhose off\b|\bcarburettors? off\b")
VAPOUR = re.compile(r"\btap on\b|filler cap|dipstick")  # nothing is opened that fuel runs out of
RUN = re.compile(r"\b(run it warm|ride it|run it|warm it|run, stop|at idle|warm idle|dwell meter)\b")
BOTH_PLUGS_OUT = {"measure-the-compression", "add-oil-and-measure-again"}
NO_PLUG_CAP = {"fuel", "intake"}  # places whose caps are those of the tank and of the vacuum ports
DRY = {"feel-the-secondary-air-hose", "look-for-oil-in-the-intake"}  # hoses and drains that hold no fuel
WARMED_BY_HAND = {"measure-the-trigger"}  # with a hair dryer


def steps(check: Check) -> str:
    """Return all steps of a check, in small letters."""
    return " ".join(check.steps).lower()


def without(base: Rulebase, caution: str) -> dict[str, Check]:
    """Return the checks that do not name a caution."""
    return {one.id: one for one in base.checks.values() if caution not in one.cautions}


@pytest.mark.parametrize("words", [HIGH_TENSION, FUEL, VAPOUR, RUN, re.compile("battery negative")])
def test_the_words_that_the_tests_below_look_for_stand_in_some_checks(base: Rulebase, words: re.Pattern[str]) -> None:
    """Else they would hold for lack of anything to hold."""
    assert len([one for one in base.checks.values() if words.search(steps(one))]) > 8


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


def test_what_handles_a_plug_its_cap_or_lead_says_high_tension_unless_the_ignition_stays_off(base: Rulebase) -> None:
    """With the ignition off and the engine at rest there is no high tension to warn of."""
    still = [one for one in base.checks.values() if not one.involves and "high-tension" not in one.cautions]
    bare = {name: one for name, one in without(base, "high-tension").items() if one not in still}
    assert [name for name, one in bare.items() if one.place == "ignition" and "plug-spanner" in one.tools] == []
    assert [
        name for name, one in bare.items() if one.place not in NO_PLUG_CAP and HIGH_TENSION.search(steps(one))
    ] == []
    handled = [one for one in still if one.place == "ignition" and HANDLED.search(steps(one))]
    assert len(handled) > 8
    assert [one.id for one in handled if not re.search(r"ignition off", steps(one))] == []
    assert [one.id for one in handled if re.search(r"ignition on", steps(one))] == []


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
    for rule in (base.rules["dies-when-hot"], base.rules["dies-and-goes-again"], base.rules["may-die-anywhere"]):
        assert "riding" in rule.forbids
        assert "cuts-out-riding" in rule.warns


def test_a_stuck_throttle_begins_with_the_stop_switch(base: Rulebase) -> None:
    assert base.cautions["stuck-throttle"].says.startswith("Press the red stop switch at once if")
    assert base.cautions["throttle-open"].says.startswith("Press the red stop switch now")
    assert "throttle-open" in base.rules["throttle-stayed-open"].warns


def test_nothing_is_ridden_hard_while_it_pinks(base: Rulebase) -> None:
    """Detonation under load breaks pistons; common practice, no source."""
    hard = re.compile(r"wide open|open it wide|uphill|up it in a high gear|pulling hard")
    pull = [one for one in base.checks.values() if "riding" in one.involves and hard.search(steps(one))]
    pull = [one for one in pull if one.id != "listen-for-pinking"]  # looks for it, and stops as soon as it rattles
    assert len(pull) >= 4
    assert [one.id for one in pull if not any(getattr(each, "sign", "") == "pinks" for each in one.unless)] == []


def test_what_is_done_on_or_after_a_ride_can_be_forbidden(base: Rulebase) -> None:
    ride = re.compile(r"\bafter (a|half an hour's) ride\b|\bride it\b|\bride ten\b")
    done = [one for one in base.checks.values() if one.how != "told" and ride.search(steps(one))]
    assert len(done) >= 5
    best = {"look-at-the-plug", "look-for-oil-on-the-plug", "look-behind-the-front-cover"}  # best then, not only then
    assert {one.id for one in done if "riding" not in one.involves} <= best


def test_each_danger_says_what_the_rider_does_now(base: Rulebase) -> None:
    for rule in base.rules.values():
        if rule.warns and "riding" in rule.forbids:
            assert any(base.cautions[name].now for name in rule.warns), rule.id
    for caution in base.cautions.values():
        assert caution.now.count(".") <= 1, caution.id
        assert len(caution.now) <= 120, caution.id


def test_what_opens_fuel_says_that_it_burns(base: Rulebase) -> None:
    bare = without(base, "fuel-fire")
    assert [name for name, one in bare.items() if one.opens in FUEL_OPENED or "jar" in one.tools] == []
    assert [name for name, one in bare.items() if FUEL.search(steps(one)) and one.id not in DRY] == []
    assert [
        name
        for name, one in bare.items()
        if VAPOUR.search(steps(one)) and not {"fuel-vapour", "fuel-may-run"} & set(one.cautions)
    ] == []


def test_what_says_do_not_ride_forbids_it(base: Rulebase) -> None:
    for rule in base.rules.values():
        said = " ".join(base.cautions[name].says for name in rule.warns).lower()
        if re.search(r"do not ride(?! until it snaps)|never ride", said):
            assert "riding" in rule.forbids, rule.id
        if re.search(r"do not (start|run|crank)|do not switch it on", said):
            assert {"cranking", "running", "throttling", "riding"} == set(rule.forbids), rule.id
        if "stuck-throttle" in rule.warns:
            assert {"throttling", "riding"} <= set(rule.forbids), rule.id


def test_what_takes_a_battery_lead_off_warns_of_gas_and_acid(base: Rulebase) -> None:
    bare = without(base, "battery-gas")
    assert [name for name, one in bare.items() if "battery negative" in steps(one)] == []
    causes = [one for one in base.causes.values() if "battery-gas" not in one.cautions]
    assert [
        one.id for one in causes if "charge the battery" in one.remedy.lower() or "battery-off" in one.cautions
    ] == []


def test_a_spark_made_on_purpose_is_kept_clear_of_fuel(base: Rulebase) -> None:
    """'No spark near' cannot be obeyed by whoever makes one."""
    sparks = [one for one in base.checks.values() if "spark-tester" in one.tools or "bare engine metal" in steps(one)]
    assert len(sparks) > 2
    for check in sparks:
        assert "spark-and-fuel" in check.cautions, check.id
        assert "fuel-fire" not in check.cautions, check.id


def test_what_holds_the_revs_up_with_no_idle_stop(base: Rulebase) -> None:
    """Whoever holds 2,500 with an idle stop has lost the idle setting."""
    held = [one for one in base.checks.values() if "idle stop" in steps(one) and "hold" in steps(one)]
    held = [one for one in held if "throttling" in one.involves and "riding" not in one.involves]
    assert len(held) >= 4
    assert [one.id for one in held if not re.search(r"never (by|with)? ?an idle stop", steps(one))] == []


def test_a_probe_is_clipped_to_the_engine_first(base: Rulebase) -> None:
    probed = [one for one in base.checks.values() if "shorting-stubs" in one.tools and "short" in steps(one)]
    assert len(probed) >= 3
    assert [one.id for one in probed if one.place == "method" and "clip the probe" not in steps(one)] == []


def test_hoses_are_exchanged_with_the_engine_stopped(base: Rulebase) -> None:
    assert "engine stopped, exchange the two hoses" in steps(base.checks["exchange-the-hoses"])
    assert "engine stopped" in steps(base.checks["follow-the-gauge-hoses"])


MAY_HOLD_IT_OPEN = (
    "snaps-once-unhooked",
    "lever-stiff-unhooked",
    "return-spring-bad",
    "grip-binds-unhooked",
    "grip-drags",
)


@pytest.mark.parametrize(
    "sign", [*MAY_HOLD_IT_OPEN, "part-fouls-lever", "lever-loose-on-spindle", "throttle-lever-sticks"]
)
def test_a_throttle_that_may_not_close_is_not_ridden(base: Rulebase, sign: str) -> None:
    warn = [rule for rule in base.rules.values() if "stuck-throttle" in rule.warns and sign in str(rule.when)]
    assert warn
    assert all({"throttling", "riding"} <= set(rule.forbids) for rule in warn)
    linked = [
        one
        for one in base.causes.values()
        if any(link.sign == sign and link.shows == "nearly always" for link in one.links)
    ]
    assert [one.id for one in linked if "stuck-throttle" not in one.cautions] == []


def test_a_caution_states_no_fact_that_may_not_be_so(base: Rulebase) -> None:
    """Cautions stand beside work too, where nothing is wrong yet."""
    assert "if fuel" in base.cautions["fuel-may-run"].says
    beside = {name for page in base.checks.values() for name in page.cautions}
    beside |= {name for page in base.causes.values() for name in page.cautions}
    assert not beside & {
        "fuel-leak",
        "throttle-open",
        "fuel-smell",
        "fire",
        "fumes",
    }  # only where that was told or seen
    for caution in base.cautions.values():
        assert not re.search(r"\b(is coming|is leaking|has come)\b", caution.says), caution.id
