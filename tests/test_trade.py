"""Facts of the trade that the tool must hold to (common practice, no source)."""

import pytest

from advisor.diagnose import Advisor
from advisor.places import shipped
from advisor.report import Report
from advisor.rulebase import Rulebase
from advisor.sides import Side, Sided
from tests.cases import case, figure, report


def _first(found: Report) -> Sided:
    return found.causes[0].id, found.causes[0].side


def _columns(base: Rulebase, name: str, left: float, right: float) -> tuple[object, object]:
    return figure(name, "left", left, base), figure(name, "right", right, base)


def test_the_higher_column_is_the_more_closed_butterfly(advisor: Advisor) -> None:
    """More depression on a side means that butterfly is more closed; opening it a little brings its column down."""
    found = advisor.diagnose(case(measured=_columns(advisor.base, "column-idle", 32.0, 28.0)))  # type: ignore[arg-type]  # two readings
    assert {(sign.side, sign.state) for sign in found.signs if sign.id == "column-higher-idle"} == {
        ("left", "seen"),
        ("right", "not seen"),
    }
    assert "that butterfly is the more closed" in advisor.base.signs["column-higher-idle"].plain
    assert "open its stop a little and it comes down" in advisor.base.causes["out-of-adjustment"].remedy
    # Extra air on a side (a leak, an open enricher) lowers its column: the other side's stands higher.
    for cause in ("intake-joint-leak", "vacuum-port-leak", "enricher-stuck-open", "throttle-spindle-worn"):
        assert {link.bearing for link in advisor.base.causes[cause].links if link.sign == "column-higher-idle"} == {
            "other"
        }


def test_the_side_that_is_missed_less_is_the_weaker(advisor: Advisor) -> None:
    found = advisor.diagnose(case(measured=_columns(advisor.base, "drop-idle", 80.0, 300.0)))  # type: ignore[arg-type]  # two readings
    assert ("drop-small-idle", "left", "seen") in {(sign.id, sign.side, sign.state) for sign in found.signs}
    assert {cause.side for cause in found.causes[:5]} == {"left", None}


def test_a_plug_that_costs_nothing_when_shorted_was_dead_or_had_nothing_to_burn(advisor: Advisor) -> None:
    found = advisor.diagnose(case(measured=_columns(advisor.base, "drop-idle", 10.0, 300.0)))  # type: ignore[arg-type]  # two readings
    assert {(cause.id, cause.side) for cause in found.causes[:2]} == {
        ("plug-dead", "left"),
        ("idle-passage-blocked", "left"),
    }


def test_a_slack_difference_shows_off_idle_and_not_at_idle(advisor: Advisor) -> None:
    links = {link.sign for link in advisor.base.causes["cable-slack-unequal"].links}
    assert {"column-higher-off-idle", "drop-small-off-idle"} <= links
    assert not links & {"column-higher-idle", "drop-small-idle", "idle-hangs", "misfires-idle"}
    base = advisor.base
    level = _columns(base, "column-idle", 30.0, 30.1)
    for_off_idle = _columns(base, "column-off-idle", 20.0, 25.0)
    found = advisor.diagnose(case(report("cruise-vibration"), measured=(*level, *for_off_idle)))  # type: ignore[arg-type]  # readings
    assert _first(found) == ("cable-slack-unequal", "left")


def test_never_resistor_plugs_with_resistor_caps(advisor: Advisor) -> None:
    both = advisor.diagnose(case(report("hard-start-cold"), parts={"plugs": "resistor", "caps": "resistor"}))
    assert _first(both) == ("too-much-resistance", None)
    for plugs, caps in (("plain", "resistor"), ("resistor", "plain"), ("plain", "plain")):
        found = advisor.diagnose(case(report("hard-start-cold"), parts={"plugs": plugs, "caps": caps}))
        assert _first(found) != ("too-much-resistance", None)


def test_a_path_of_megohms_is_broken_and_not_two_resistors(advisor: Advisor) -> None:
    broken = advisor.diagnose(case(measured=_columns(advisor.base, "plug-path-resistance", 2500.0, 5.0)))  # type: ignore[arg-type]  # two readings
    assert _first(broken) == ("cap-or-lead-failing", "left")
    twice = advisor.diagnose(case(measured=_columns(advisor.base, "plug-path-resistance", 10.1, 10.3)))  # type: ignore[arg-type]  # two readings
    assert _first(twice) == ("too-much-resistance", None)


def test_only_a_wrong_reach_forbids_to_start(advisor: Advisor) -> None:
    """Plugs of another heat grade foul or glow in time; too long a thread meets the piston at once."""
    grade = advisor.diagnose(case(report("plug-code-wrong"), report("plug-reach-wrong", seen=False)))
    assert "plug-reach" not in {one.id for one in grade.cautions if one.of_the_case}
    assert "cranking" not in grade.forbidden
    reach = advisor.diagnose(case(report("plug-reach-wrong")))
    assert "plug-reach" in {one.id for one in reach.cautions if one.of_the_case}
    assert "cranking" in reach.forbidden


@pytest.mark.parametrize(
    ("idle", "full", "first"),
    [(6.0, 18.0, "advance-sticking"), (18.0, 32.0, "advance-sticking"), (-4.0, 20.0, "timing-wrong")],
)
def test_right_at_one_end_only_is_the_advance(advisor: Advisor, idle: float, full: float, first: str) -> None:
    """Turning the plate moves both ends alike; only the advance moves one of them alone."""
    read = (*_columns(advisor.base, "timing-idle", idle, idle), *_columns(advisor.base, "timing-full", full, full))
    assert _first(advisor.diagnose(case(measured=read))) == (first, None)  # type: ignore[arg-type]  # readings


def test_a_lead_seen_worn_through_is_renewed(advisor: Advisor) -> None:
    found = advisor.diagnose(case(report("misfires-idle", "left"), report("lead-seen-damaged", "left")))
    assert _first(found) == ("lead-damaged", "left")
    assert found.advice.kind == "put right"


@pytest.mark.parametrize(("sign", "side"), [("grip-drags", None), ("throttle-lever-sticks", "left")])
def test_what_drags_with_the_cables_on_proves_neither_grip_nor_cable(sign: str, side: Side, advisor: Advisor) -> None:
    """Unhook first. Common practice, no source."""
    found = advisor.diagnose(case(report("throttle-stays-open"), report(sign, side)))
    assert not found.advice.proven
    assert found.advice.kind == "check"


def test_valves_before_ignition_before_carburettors_and_balance_last(base: Rulebase) -> None:
    order = [base.order_of(place) for place in ("valves", "ignition", "carburettor", "cables", "method")]
    assert order == sorted(order)
    assert len(set(order)) == len(order)


def test_a_leak_test_that_finds_nothing_is_weak_evidence(base: Rulebase) -> None:
    """A negative must leave a leak at least a quarter of the odds it had; a sound port cap need not."""
    shows = {
        (cause.id, link.sign): base.words.shows[link.shows] for cause in base.causes.values() for link in cause.links
    }
    assert 1 - shows["intake-joint-leak", "joint-wetting-moves-idle"] >= 0.25
    assert 1 - shows["vacuum-port-leak", "port-cover-moves-idle"] <= 0.15


def test_tight_valves_are_said_to_be_silent(base: Rulebase) -> None:
    assert "quieter" in base.causes["clearance-tight"].reason


@pytest.mark.parametrize("sign", ["fuel-drips", "throttle-lever-sticks"])
def test_what_can_hurt_is_said_at_once(advisor: Advisor, sign: str) -> None:
    wanted = {"fuel-drips": "fuel-leak", "throttle-lever-sticks": "stuck-throttle"}[sign]
    assert advisor.diagnose(case(report(sign, "left"))).cautions[0].id == wanted


def test_checks_on_a_running_engine_warn_of_exhaust_gas(base: Rulebase) -> None:
    """Every check at warm idle carries a caution for a running engine."""
    running = [
        check
        for check in base.checks.values()
        if any("idle" in step.lower() and "warm idle" in step.lower() for step in check.steps)
    ]
    assert len(running) > 8
    for check in running:
        assert set(check.cautions) & {"carbon-monoxide", "stuck-throttle", "overheating"}, check.id


def test_no_real_names_and_no_seed_in_the_demo() -> None:
    """The demo lives on an invented island; its bikes are numbered."""
    pages = sorted(shipped("cases_demo").glob("*.yaml"))
    assert len(pages) >= 8
    for path in pages:
        assert "mail bike" in path.read_text(encoding="utf-8").lower()
