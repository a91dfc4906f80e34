"""One case through a small chain; `test_run_shipped` runs the whole rule base."""

from typing import Any

import pytest
from msgspec.structs import replace

from advisor.case import Bike, Case, Measured, SignReport
from advisor.chain.run import Chain, Chained, trusted
from advisor.errors import ChainError
from advisor.readings.verdicts import Judged
from advisor.report import SetAside
from advisor.rulebase.model import PartIs
from advisor.rulebase.table_records import Item
from advisor.sides import BOTH, OPPOSITE, Side
from tests.cases import case, report
from tests.small import area, blank, limit, over, reading, rule, rulebase, sign, yes_no

POINTS = {"ignition": "points"}
BASE = rulebase(
    sign("rough"),
    sign("hunts", kind_of="rough"),
    sign("higher", sided=True, exclusive=True, title="The {side} column stands higher"),
    sign("far-higher", sided=True, exclusive=True, kind_of="higher"),
    sign("late", sided=True, title="The {side} spark is late"),
    sign("weak", sided=True),
    sign("tight", sided=True, title="The {side} valve is tight"),
    sign("swings"),
    reading("column", "kPa"),
    limit("apart", 1.0, "kPa", far=5.0),
    limit("far-apart", 9.0, "kPa"),
    rule("read", over("column", "apart", of="lead"), shows=["higher this"], otherwise=True, reason="It reads {side}."),
    rule("far-read", over("column", "far-apart", of="lead"), shows=["far-higher this"]),
    rule("follows", "late this", "hunts", shows=["weak this"], reason="So the {side} one is weak."),
    rule("again", "weak this", shows=["tight other"]),
    rule(
        "swinging",
        "swings",
        sets_aside=("column", "higher"),
        reason="It swings.",
        warns=("fire",),
        forbids=("running",),
        switches_off=(("leak", "hunts"),),
        remark="Often mistaken.",
    ),
    rule("points", PartIs("ignition", "points"), shows=["rough"]),
    rule("spark", "late this", warns=("spark",), remark="Look at the {side}.", reason="The {side} spark."),
    rule("own", "hunts", shows=["hunts"]),
    rule("by-part", PartIs("coil", "double"), shows=["not rough"]),
    rule("unless-rough", "odd", unless=["rough"], shows=["not swings"]),
    rule("sets", "odd", "late this", sets_aside=("weak",), reason="The {side} one is odd."),
    rule("misses", over("column", "misses-at", of="lead"), shows=["misses this", "rough"]),
    rule("sure", over("column", "sure-at", of="lead"), shows=["not odd"]),
    limit("misses-at", 2.0, "kPa"),
    limit("sure-at", 2.0, "kPa"),
    sign("odd"),
    sign("misses", sided=True, kind_of="rough"),
    area("valves", ("tight",), check="feel"),
    area("balance", relies=("column", "higher")),
    area("spark", items=(blank(Item, id="points", title="points", wrong=("odd",), check="ask", only_if=POINTS),)),
    yes_no("feel", "tight this", sided=True),
    yes_no("ask", "odd"),
)
CHAIN = Chain(BASE)


def held(
    side: Side, *, over_limit: bool | None = True, name: str = "column lead above apart", grade: str = ""
) -> Judged:
    """Return a figure that was held against a limit."""
    return blank(
        Judged, name=name, side=side, held=over_limit, said=f"column {side}: 3 kPa", reading="column", grade=grade
    )


def run(*reports: SignReport, figures: tuple[Judged, ...] = (), **more: Any) -> Chained:
    measured = tuple(_read(one) for one in figures)
    return CHAIN.run(replace(case(*reports, measured=measured), **more), list(figures))


def _read(one: Judged) -> Measured:
    return blank(Measured, reading="column", side=one.side)


def counts(found: Chained) -> dict[tuple[str, Side], tuple[bool, str]]:
    return {(one.sign, one.side): (one.seen, one.how) for one in found.evidence}


def test_a_case_that_says_nothing_has_nothing() -> None:
    found = run()
    assert (found.evidence, found.signs, found.set_aside, found.firings, found.facts) == ((), (), (), (), {})
    assert (found.off, found.warnings, found.forbidden, found.remarks) == (frozenset(), (), frozenset(), ())
    assert [one.state for one in found.readiness] == ["not checked", "not checked"]


@pytest.mark.parametrize("seen", [True, False])
def test_what_is_told_counts_as_told(seen: bool) -> None:
    found = run(report("rough", seen=seen, how="told"))
    assert counts(found) == {("rough", None): (seen, "told")}
    (one,) = found.signs
    assert (one.state, one.title, one.how, one.rules) == ("seen" if seen else "not seen", "rough", "told", ())
    assert one.facts == (f"rough: {'seen' if seen else 'not seen'} (told)",)
    assert found.evidence[0].facts == one.facts


@pytest.mark.parametrize("side", BOTH)
def test_a_rule_follows_on_its_side_with_all_its_reasons(side: Side) -> None:
    found = run(report("late", side, how="measured"), report("hunts", how="told"))
    assert counts(found)["weak", side] == (True, "told")  # as far as its weakest link
    assert counts(found)["tight", OPPOSITE[side]] == (True, "told")
    tight = next(one for one in found.evidence if one.sign == "tight")
    assert tight.rules == (f"follows {side}", f"again {side}")
    assert tight.facts == (f"late {side}: seen (measured)", "hunts: seen (told)")
    fired = [one.rule for one in found.firings]
    assert fired.index(f"follows {side}") < fired.index(f"again {side}")
    assert f"spark {side}" in fired
    assert not any(one.startswith("counts:") for one in fired)


def test_what_is_known_in_two_ways_is_known_the_better_way() -> None:
    both = run(report("late", "left"), report("hunts", how="told"), report("weak", "left", how="measured"))
    assert counts(both)["weak", "left"] == (True, "measured")
    less = run(report("late", "left"), report("hunts", how="seen"), report("weak", "left", how="told"))
    assert counts(less)["weak", "left"] == (True, "seen")


def test_a_part_is_known_as_what_is_seen() -> None:
    points = replace(case().bike, parts={"ignition": "points"})
    assert counts(run(bike=points)) == {("rough", None): (True, "seen")}
    assert run(bike=points).signs[0].facts == ("ignition: points",)
    assert counts(run(bike=replace(points, parts={"ignition": "electronic"}))) == {}


@pytest.mark.parametrize("side", BOTH)
def test_a_figure_over_its_limit_is_a_sign_read_off(side: Side) -> None:
    found = run(figures=(held(side), held(OPPOSITE[side], over_limit=False)))
    assert counts(found) == {("higher", side): (True, "seen")}  # the valves are not checked: believed less
    (one,) = found.evidence
    assert (one.rules, one.facts) == ((f"read {side}",), (f"column {side}: 3 kPa",))
    hidden = next(sign for sign in found.signs if sign.side == OPPOSITE[side])
    assert (hidden.state, hidden.rules) == ("not seen", (f"read {OPPOSITE[side]} (not so)",))


def test_level_figures_say_no_on_both_sides() -> None:
    level = tuple(held(side, over_limit=False) for side in BOTH)
    assert counts(run(figures=level)) == {("higher", side): (False, "seen") for side in BOTH}


def test_a_figure_too_close_to_call_says_nothing() -> None:
    assert run(figures=(held("left", over_limit=None),)).facts == {}


def test_a_reading_is_believed_in_full_once_the_bike_is_ready() -> None:
    valves = [report("tight", side, seen=False) for side in BOTH]
    assert counts(run(*valves, figures=(held("left"),)))["higher", "left"] == (True, "measured")
    assert counts(run(*valves[:1], figures=(held("left"),)))["higher", "left"] == (True, "seen")
    assert counts(run(report("higher", "left", how="told")))["higher", "left"] == (True, "told")
    assert counts(run(report("late", "left", how="measured")))["late", "left"] == (True, "measured")


@pytest.mark.parametrize(
    ("grades", "grade"),
    [(("far",), "far"), (("a little",), "a little"), (("",), ""), ((), "")],
)
def test_how_far_over_its_limit_is_kept(grades: tuple[str, ...], grade: str) -> None:
    found = run(figures=tuple(held("left", grade=one) for one in grades))
    assert [one.grade for one in found.evidence] == ([grade] if grades else [])


def test_an_absence_has_no_grade() -> None:
    found = run(figures=tuple(held(side, over_limit=False, grade="far") for side in BOTH))
    assert {one.grade for one in found.evidence} == {""}
    assert run(report("higher", "left")).evidence[0].grade == ""


def test_of_one_reading_only_the_exact_kind_counts() -> None:
    far = held("left", name="column lead above far-apart")
    assert set(counts(run(figures=(held("left"), far)))) == {("far-higher", "left")}
    assert set(counts(run(report("higher", "right"), report("hunts"), report("rough")))) == {
        ("higher", "right"),
        ("hunts", None),
        ("rough", None),
    }


# What contradicts what.


def test_the_better_known_of_two_accounts_counts() -> None:
    found = run(report("rough", how="seen"), report("rough", seen=False, how="told"))
    assert counts(found) == {("rough", None): (True, "seen")}
    assert [(one.what, one.side, one.rule) for one in found.set_aside] == [("rough", None, "")]
    assert found.set_aside[0].reason == (
        "'rough' is not seen by one account and the opposite by another that is trusted as much or more"
    )


def test_what_anybody_can_see_and_what_asks_for_less_is_said_first() -> None:
    """Remarks and reasons come in the order of their rules: who can see it, how much is asked, then file and line."""
    base = rulebase(
        sign("easy", seen_by="rider"),
        sign("hard", seen_by="workshop"),
        rule("hard-one", "hard", remark="Hard.", warns=("fire",), reason="Hard."),
        rule("both", "easy", "hard", remark="Both.", warns=("fire",), reason="Both."),
        rule("z", "easy", remark="First.", warns=("fire",), reason="First.", file="a.yaml", line=1),
        rule("y", "easy", remark="Third.", file="b.yaml", line=1),
        rule("x", "easy", remark="Second.", file="a.yaml", line=2),
        rule("part", PartIs("ignition", "points"), remark="Part.", file="0.yaml"),
    )
    points = replace(case(report("hard"), report("easy")), bike=Bike(parts=POINTS))
    found = Chain(base).run(points, [])
    assert found.remarks == ("Part.", "First.", "Second.", "Third.", "Hard.", "Both.")
    assert found.warnings == (("fire", "First."),)


def test_of_two_accounts_as_good_as_each_other_neither_counts() -> None:
    found = run(report("rough"), report("rough", seen=False))
    assert counts(found) == {}
    assert [one.what for one in found.set_aside] == ["rough", "rough"]
    assert [one.state for one in found.signs] == ["seen", "not seen"]


def test_a_report_that_a_figure_contradicts_is_set_aside() -> None:
    found = run(report("higher", "right", how="told"), figures=(held("left"), held("right", over_limit=False)))
    assert counts(found) == {("higher", "left"): (True, "seen")}
    assert found.set_aside == (
        SetAside(
            what="higher",
            side="right",
            reason="'The right column stands higher' was given as seen (told), but what is better known says otherwise",
            rule="",
        ),
    )
    absent = run(report("higher", "left", seen=False, how="told"), figures=(held("left"),))
    assert "was given as not seen (told)" in absent.set_aside[0].reason


def test_a_report_as_good_as_what_follows_is_beaten_too_and_a_better_one_is_not() -> None:
    told = report("late", "left", how="told"), report("hunts", how="told")
    beaten = run(*told, report("weak", "left", seen=False, how="told"))
    assert counts(beaten)["weak", "left"] == (True, "told")
    assert len(beaten.set_aside) == 1
    kept = run(*told, report("weak", "left", seen=False, how="seen"))
    assert counts(kept)["weak", "left"] == (False, "seen")
    assert [one.what for one in kept.set_aside] == ["weak"]  # what follows from less is set aside instead


def test_what_follows_from_a_beaten_report_goes_with_it() -> None:
    """The report that the right stands higher is beaten by the figure; nothing else of the case changes."""
    alone = run(figures=(held("left"),))
    beaten = run(report("higher", "left", seen=False, how="assumed"), figures=(held("left"),))
    assert counts(beaten) == counts(alone)


def test_what_is_set_aside_counts_no_more_and_says_why() -> None:
    found = run(report("swings"), report("higher", "left"), figures=(held("right"),))
    assert counts(found) == {("swings", None): (True, "seen")}
    assert {(one.what, one.rule, one.reason) for one in found.set_aside} == {
        ("column", "swinging", "It swings."),
        ("higher", "swinging", "It swings."),
    }
    assert run(report("swings")).set_aside == ()  # nothing was given that it sets aside


def test_what_an_earlier_stage_silences_names_the_sign_on_its_side() -> None:
    found = run(report("tight", "right"), report("higher", "left"))
    assert ("higher", "left") not in counts(found)
    (aside,) = found.set_aside
    assert aside.reason == "taken while something that must be right before it was wrong: The right valve is tight"
    assert aside.rule == "order: valves-0 before balance, tight right"


def test_what_rules_switch_off_warn_of_forbid_and_remark() -> None:
    found = run(report("swings"))
    assert found.off == {("leak", "hunts")}
    assert found.warnings == (("fire", "It swings."),)
    assert found.forbidden == {"running"}
    assert found.remarks == ("Often mistaken.",)


def test_a_remark_is_said_once_and_a_warning_on_its_side() -> None:
    found = run(report("late", "right"))
    assert found.remarks == ("Look at the right.",)
    assert found.warnings == (("spark", "The right spark."),)
    both = run(report("late", "left"), report("late", "right"))
    assert both.remarks == ("Look at the left.", "Look at the right.")
    assert len(both.warnings) == 1


@pytest.mark.parametrize("side", BOTH)
def test_left_and_right_swap(side: Side) -> None:
    def told(at: Side) -> Case:
        return case(report("late", at), report("hunts"), report("tight", OPPOSITE[at], how="told", seen=False))

    def swapped(found: Chained) -> set[tuple[str, Side, bool, str]]:
        return {(one.sign, OPPOSITE[one.side], one.seen, one.how) for one in found.evidence}

    one, two = CHAIN.run(told(side), []), CHAIN.run(told(OPPOSITE[side]), [])
    assert swapped(one) == {(each.sign, each.side, each.seen, each.how) for each in two.evidence}


@pytest.mark.parametrize("side", BOTH)
def test_a_fresh_chain_says_what_one_says_that_ran_before(side: Side) -> None:
    told = case(report("late", side), report("hunts"), report("swings"), report("higher", side))
    figures = [held(side), held(OPPOSITE[side], over_limit=False)]
    assert Chain(BASE).run(told, figures) == CHAIN.run(told, figures)
    assert Chain(BASE).run(case(), figures) == CHAIN.run(case(), figures)
    assert counts(Chain(BASE).run(case(), figures)) == {("higher", side): (True, "seen")}
    kept = Chain(BASE, CHAIN.compiled)  # as it was compiled and kept the last time
    assert kept.run(told, figures) == CHAIN.run(told, figures)
    assert kept.compiled == CHAIN.compiled


def test_what_is_told_and_follows_too_has_both_reasons() -> None:
    found = run(report("late", "left"), report("hunts"), report("weak", "left"), report("tight", "right", how="told"))
    weak = next(one for one in found.evidence if one.sign == "weak")
    assert weak.facts == ("weak left: seen (seen)", "late left: seen (seen)", "hunts: seen (seen)")
    assert weak.rules == ("follows left",)
    tight = next(one for one in found.evidence if one.sign == "tight")
    assert tight.facts == ("tight right: seen (told)", *weak.facts)
    assert tight.rules == ("follows left", "again left")


def test_what_follows_in_two_ways_has_the_rules_of_both() -> None:
    points = replace(case().bike, parts={"ignition": "points"})
    found = run(bike=points, figures=(held("left", name="column lead above misses-at"),))
    rough = next(one for one in found.signs if one.id == "rough")
    assert set(rough.rules) == {"points", "misses left"}
    assert len(rough.facts) == 2


def test_a_rule_that_gives_what_it_asks_for_explains_nothing() -> None:
    (hunts,) = [one for one in run(report("hunts")).evidence if one.sign == "hunts"]
    assert (hunts.rules, hunts.facts) == ((), ("hunts: seen (seen)",))


def test_of_a_sided_kind_the_vague_sign_without_a_side_counts_no_more() -> None:
    found = counts(run(figures=(held("right", name="column lead above misses-at"),)))
    assert set(found) == {("misses", "right")}


def test_what_a_figure_far_over_its_limit_denies_has_no_grade() -> None:
    found = run(figures=(held("left", name="column lead above sure-at", grade="far"),))
    assert [(one.sign, one.seen, one.grade) for one in found.evidence] == [("odd", False, "")]


def test_a_report_beaten_in_its_turn_is_kept_among_those_set_aside() -> None:
    """Once the first is gone, a rule that it held back denies the second."""
    parts = replace(case().bike, parts={"coil": "double"})
    found = run(report("rough", how="told"), report("odd"), report("swings", how="told"), bike=parts)
    assert [one.what for one in found.set_aside] == ["rough", "swings"]
    assert counts(found) == {
        ("rough", None): (False, "seen"),
        ("swings", None): (False, "seen"),
        ("odd", None): (True, "seen"),
    }


def test_titles_and_reasons_name_the_side() -> None:
    found = run(report("late", "right"), report("odd"), report("weak", "left"))
    assert {one.title for one in found.signs} >= {"The right spark is late", "the left weak"}
    assert [(one.what, one.reason) for one in found.set_aside] == [("weak", "The right one is odd.")]
    both = run(report("late", "left"), report("late", "left", seen=False))
    assert {(one.what, one.side) for one in both.set_aside} == {("late", "left")}


def test_readiness_knows_the_parts_and_the_best_of_what_is_wrong() -> None:
    electronic = replace(case().bike, parts={"ignition": "electronic"})
    assert [one.title for one in run(bike=electronic).readiness] == ["valves 0"]
    wrong = run(report("tight", "left", how="told"), report("tight", "right", how="measured"))
    assert (wrong.readiness[0].state, wrong.readiness[0].how) == ("wrong", "measured")


def test_signs_and_evidence_come_in_the_order_of_the_pages() -> None:
    found = run(report("late", "right"), report("late", "left"), report("rough"))
    assert [(one.id, one.side) for one in found.signs] == [("rough", None), ("late", "left"), ("late", "right")]
    assert [one.sign for one in found.evidence] == ["rough", "late", "late"]


def test_ways_of_knowing_stand_in_the_order_of_the_table() -> None:
    ranks = [trusted(how, BASE) for how in BASE.words.trust]
    assert ranks == sorted(ranks, reverse=True)
    assert len(set(ranks)) == len(ranks)


def test_rules_that_cannot_be_run_are_refused_by_their_page() -> None:
    bad = rule("no$name", "swings", file="ours.yaml", line=7)
    with pytest.raises(ChainError) as caught:
        Chain(replace(BASE, rules={"other": rule("other", "swings", file="else.yaml"), bad.id: bad}))
    (problem,) = caught.value.problems
    assert (problem.file, problem.line) == ("ours.yaml", 7)
    assert "no$name" in problem.text


def test_where_no_page_is_to_blame_the_first_is_named() -> None:
    ring = area("a", tuple(f"s{n}" for n in range(17)), relies=("x",))
    signs = [sign(f"s{n}") for n in range(501)]
    rules = [rule(f"r{n}", f"s{n}", file=f"{n}.yaml", line=n) for n in range(501)]
    with pytest.raises(ChainError) as caught:
        Chain(rulebase(*signs, *rules, ring))
    (problem,) = caught.value.problems
    assert (problem.file, problem.line, problem.text) == ("0.yaml", 0, "kinds with over 500 names: seen")
    order = area("b", tuple(f"s{n}" for n in range(501)), file="order.yaml", line=3), area("c", relies=("x",))
    with pytest.raises(ChainError) as caught:
        Chain(rulebase(*signs, *order))
    assert (caught.value.problems[0].file, caught.value.problems[0].line) == ("order.yaml", 3)


def test_what_follows_from_much_is_traced_step_by_step() -> None:
    """Two signs at each of forty steps, each from both before: a million million ways lead to the last one."""
    steps = range(40)
    signs = [sign(f"{which}{n:02}") for n in (*steps, 40) for which in "ab"]
    rules = [
        rule(f"{which}{n:02}", f"a{n:02}", f"b{n:02}", shows=[f"{which}{n + 1:02}"]) for n in steps for which in "ab"
    ]
    found = Chain(rulebase(*signs, *rules)).run(case(report("a00"), report("b00", how="told")), [])
    last = next(one for one in found.signs if one.id == "b40")
    assert last.how == "told"
    assert set(last.facts) == {"a00: seen (seen)", "b00: seen (told)"}
    assert set(last.rules) == {one.id for one in rules} - {"a39"}
    assert len(last.rules) == len(set(last.rules))


def test_a_long_chain_of_rules_is_traced_to_its_end() -> None:
    many = 490
    signs = [sign(f"s{n:03}") for n in range(many + 1)]
    rules = [rule(f"r{n:03}", f"s{n:03}", shows=[f"s{n + 1:03}"]) for n in range(many)]
    found = Chain(rulebase(*reversed(signs), *rules)).run(case(report("s000")), [])
    last = next(one for one in found.signs if one.id == f"s{many:03}")
    assert last.facts == ("s000: seen (seen)",)
    assert list(last.rules) == [one.id for one in rules]
