"""One case through the chain: trust follows the weakest link, rules set aside, switch off and warn."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.case import Case, SignReport
from advisor.chain.run import Chain, Chained
from advisor.diagnose import Advisor
from advisor.places import shipped
from advisor.readings.reduce import reduce
from advisor.readings.verdicts import judge
from advisor.rulebase import load
from tests.cases import case, figure, report

pytestmark = pytest.mark.wide

RULES = """
crossed-leads-mean-nothing:
  when: [{part: ignition, is: electronic}]
  switches off: [{cause: plug-dead, sign: hard-start-cold}]
  reason: A rule of this test.
weak-and-dead:
  when:
    - {sign: misfires-idle, side: this side}
    - {sign: header-cold, side: this side}
  unless:
    - {sign: fuel-smell}
  shows: {fault-follows-plug: this side}
  reason: A rule of this test on the {side}.
and-on:
  when: [{sign: fault-follows-plug, side: this side}]
  shows: {plug-wet: other side}
  reason: A rule of this test.
"""


@pytest.fixture(scope="module")
def ours(tmp_path_factory: pytest.TempPathFactory) -> Advisor:
    """Return the shipped rules with a few more."""
    folder: Path = tmp_path_factory.mktemp("shop")
    (folder / "ignition").mkdir()
    (folder / "ignition" / "patterns.yaml").write_text(RULES, encoding="utf-8")
    return Advisor(load([shipped("rules"), folder], cached=False))


def _run(advisor: Advisor, told: Case) -> Chained:
    judged = judge(reduce(told.measured, told.before, advisor.base), told.bike, advisor.base)
    return advisor.chain.run(told, judged)


def _dead(how: str, other: str = "measured") -> tuple[SignReport, SignReport]:
    return report("misfires-idle", "left", how=how), report("header-cold", "left", how=other)


def test_rules_fire_in_order_and_the_trace_says_so(ours: Advisor) -> None:
    chained = _run(ours, case(*_dead("seen")))
    wet = next(sign for sign in chained.signs if sign.id == "plug-wet")
    assert (wet.side, wet.state) == ("right", "seen")
    assert wet.rules == ("weak-and-dead left", "and-on left")
    assert wet.facts == ("misfires-idle left: seen (seen)", "header-cold left: seen (measured)")
    assert [one.rule for one in chained.firings if one.rule in wet.rules] == list(wet.rules)


@pytest.mark.parametrize("how", ["measured", "seen", "told", "assumed"])
def test_a_derived_sign_is_trusted_as_its_weakest_link(ours: Advisor, how: str) -> None:
    chained = _run(ours, case(*_dead(how)))
    assert {sign.how for sign in chained.signs if sign.id in {"fault-follows-plug", "plug-wet"}} == {how}


def test_unless_and_unknown(ours: Advisor) -> None:
    signs = {sign.id for sign in _run(ours, case(*_dead("seen"), report("fuel-smell"))).signs}
    assert "fault-follows-plug" not in signs
    signs = {sign.id for sign in _run(ours, case(*_dead("seen"), report("fuel-smell", seen=False))).signs}
    assert "fault-follows-plug" in signs
    assert not _run(ours, case(report("misfires-idle", "left"))).firings


def test_a_link_is_switched_off(ours: Advisor) -> None:
    told = case(report("hard-start-cold"), parts={"ignition": "electronic"})
    assert ("plug-dead", "hard-start-cold") in _run(ours, told).off
    chances = {cause.id: cause.probability for cause in ours.diagnose(told).causes}
    untouched = {cause.id: cause.probability for cause in ours.diagnose(case(parts={"ignition": "electronic"})).causes}
    assert chances["plug-dead"] == pytest.approx(untouched["plug-dead"])
    points = _run(ours, case(report("hard-start-cold"), parts={"ignition": "points"}))
    assert ("plug-dead", "hard-start-cold") not in points.off


def test_every_link_of_a_cause_is_switched_off_but_those_named(advisor: Advisor) -> None:
    off = _run(advisor, case(parts={"ignition": "electronic"})).off
    page = advisor.base.causes["points-burnt"]
    kept = {"points-gap-off", "points-arc", "points-faces-burnt"}
    assert {sign for cause, sign in off if cause == page.id} == {link.sign for link in page.links} - kept


def test_set_aside_readings_give_no_signs(ours: Advisor) -> None:
    base = ours.base
    columns = tuple(figure("column-idle", side, value, base) for side, value in (("left", 30.0), ("right", 20.0)))  # type: ignore[arg-type]  # sides
    whole = _run(ours, case(measured=columns))
    assert ("column-higher-idle", "left", True) in {(one.sign, one.side, one.seen) for one in whole.evidence}
    aside = _run(ours, case(report("gauge-difference-stays"), measured=columns))
    assert not any(one.sign == "column-higher-idle" for one in aside.evidence)
    assert [(one.what, one.rule) for one in aside.set_aside] == [("column-idle", "instrument-at-fault")]


def test_what_is_told_of_it_is_set_aside_too(ours: Advisor) -> None:
    aside = _run(ours, case(report("gauge-difference-stays"), report("column-higher-idle", "left")))
    assert not any(one.sign == "column-higher-idle" for one in aside.evidence)
    assert [one.what for one in aside.set_aside] == ["column-higher-idle"]


def test_a_twin_hides_the_absence_on_the_other_side(ours: Advisor) -> None:
    """Seen on the left, a sign that compares the sides says nothing of what the right does on its own."""
    one = _run(ours, case(report("drop-small-idle", "left"), report("drop-small-idle", "right", seen=False)))
    assert [(found.side, found.seen) for found in one.evidence] == [("left", True)]
    level = _run(ours, case(*(report("drop-small-idle", side, seen=False) for side in ("left", "right"))))
    assert [(found.side, found.seen) for found in level.evidence] == [("left", False), ("right", False)]


def test_warnings_carry_their_reason(ours: Advisor) -> None:
    chained = _run(ours, case(report("fuel-drips", "right")))
    assert chained.warnings == (("fuel-leak", "Fuel drips from the right carburettor."),)


def test_a_chain_can_be_used_again(ours: Advisor) -> None:
    first = _run(ours, case(*_dead("seen")))
    _run(ours, case(report("fuel-drips", "right")))
    assert _run(ours, case(*_dead("seen"))) == first
    assert isinstance(ours.chain, Chain)


def test_of_one_reading_the_exact_kind_counts(ours: Advisor) -> None:
    """Columns far apart are uneven too, which says nothing more; a little apart, they are that and not far apart."""
    base = ours.base

    def counts(left: float, right: float) -> dict[tuple[str, str | None], bool]:
        read = (figure("column-idle", "left", left, base), figure("column-idle", "right", right, base))
        pair = tuple(replace(one, give=0.1) for one in read)
        found = _run(ours, case(measured=pair)).evidence
        return {(one.sign, one.side): one.seen for one in found if one.sign.startswith("column-")}

    assert counts(32.0, 27.0)["column-higher-idle", "left"]
    assert ("column-uneven-idle", "left") not in counts(32.0, 27.0)
    assert counts(28.0, 27.2)["column-uneven-idle", "left"]
    assert not counts(28.0, 27.2)["column-higher-idle", "left"]
