"""Pages to engine rules: each page rule once a side, with what it asks, what it waits for and what it gives."""

import pytest

from advisor.chain.compile import atom_of, compile_rules, is_sided, side_at
from advisor.chain.terms import ChainRule
from advisor.rulebase.model import PartIs
from advisor.sides import BOTH, OPPOSITE, Side
from tests.small import area, asks, limit, over, reading, rule, rulebase, sign

PAGES = (
    sign("hot", sided=True),
    sign("cold", sided=True),
    sign("smell"),
    sign("higher", sided=True, exclusive=True),
    sign("one-only", exclusive=True),
    reading("column", "kPa"),
    limit("apart", 1.0, "kPa"),
)


def made(*pages: object) -> dict[str, ChainRule]:
    rules, _ = compile_rules(rulebase(*PAGES, *pages))  # type: ignore[arg-type]  # pages
    assert len({one.id for one in rules}) == len(rules)
    return {one.id: one for one in rules}


@pytest.mark.parametrize("side", BOTH)
def test_a_sided_rule_exists_once_a_side(side: Side) -> None:
    one = rule("r", "hot this", "not smell", unless=["cold other"], shows=["cold this", "not hot other"])
    found = made(one)[f"r {side}"]
    assert found.when == (("seen", f"hot {side}"), ("not seen", "smell"))
    assert found.unless == (("seen", f"cold {OPPOSITE[side]}"),)
    assert found.gives == (("seen", f"cold {side}"), ("not seen", f"hot {OPPOSITE[side]}"))


@pytest.mark.parametrize(
    ("one", "sided"),
    [
        (rule("r", "smell", shows=["smell"]), False),
        (rule("r", "hot this"), True),
        (rule("r", "smell", unless=["hot other"]), True),
        (rule("r", "smell", shows=["hot this"]), True),
        (rule("r", PartIs("ignition", "points")), False),
    ],
)
def test_a_rule_is_sided_where_anything_of_it_has_a_side(one: object, sided: bool) -> None:
    assert is_sided(one) is sided  # type: ignore[arg-type]  # a rule
    assert {name for name in made(one) if name.startswith("r")} == ({"r left", "r right"} if sided else {"r"})


@pytest.mark.parametrize("side", BOTH)
def test_this_and_the_other_side(side: Side) -> None:
    assert (side_at("this", side), side_at("other", side), side_at("none", side)) == (side, OPPOSITE[side], None)


def test_what_a_condition_asks_for() -> None:
    above, below = over("column", "apart", of="lead"), over("column", "apart", above=False)
    assert atom_of(PartIs("ignition", "points"), None) == ("part", "ignition=points")
    assert atom_of(above, "left") == ("held", "column lead above apart left")
    assert atom_of(below, "right") == ("held", "column below apart right")
    assert atom_of(asks("not hot other"), "left") == ("not seen", "hot right")


def test_and_its_opposite() -> None:
    assert atom_of(over("column", "apart"), "left", turned=True) == ("not held", "column above apart left")
    assert atom_of(asks("hot this"), "left", turned=True) == ("not seen", "hot left")
    assert atom_of(asks("not smell"), None, turned=True) == ("seen", "smell")


def test_one_fact_is_asked_for_once() -> None:
    found = made(rule("r", "smell", "smell", unless=["not smell", "not smell"]))["r"]
    assert (found.when, found.unless) == ((("seen", "smell"),), (("not seen", "smell"),))


def test_all_that_a_rule_gives() -> None:
    one = rule(
        "r",
        "hot this",
        shows=["cold this"],
        sets_aside=("column",),
        switches_off=(("cause", "smell"),),
        warns=("fire",),
        forbids=("running",),
        remark="Often mistaken.",
    )
    assert made(one)["r left"].gives == (
        ("seen", "cold left"),
        ("aside", "column"),
        ("off", "cause|smell"),
        ("warn", "fire"),
        ("forbid", "running"),
        ("remark", "r left"),
    )


def test_a_rule_on_a_figure_waits_until_the_reading_is_not_set_aside() -> None:
    reads = rule("r", over("column", "apart"), shows=["hot this"])
    assert made(reads)["r left"].unless == ()
    aside = made(reads, rule("s", "smell", sets_aside=("column",)))
    assert aside["r left"].unless == (("aside", "column"),)
    order = made(reads, area("first", ("smell",)), area("last", relies=("column",)))
    assert order["r left"].unless == (("aside", "column"),)
    assert made(rule("t", "hot this"), rule("s", "smell", sets_aside=("column",)))["t left"].unless == ()


def test_otherwise_gives_the_absence_where_the_figure_is_clearly_within() -> None:
    one = rule(
        "r",
        over("column", "apart", of="lead"),
        "smell",
        unless=["cold other"],
        shows=["hot this", "not cold this"],
        otherwise=True,
    )
    found = made(one)
    other = found["r left (not so)"]
    assert other.when == (("not held", "column lead above apart left"), ("seen", "smell"))
    assert other.gives == (("not seen", "hot left"), ("seen", "cold left"))
    assert other.unless == found["r left"].unless
    assert "r left (not so)" not in made(rule("r", over("column", "apart"), shows=["hot this"]))


def test_each_compiled_rule_knows_its_page_and_side() -> None:
    base = rulebase(*PAGES, rule("r", over("column", "apart"), shows=["hot this"], otherwise=True), rule("s", "smell"))
    rules, origin = compile_rules(base)
    assert {name: (page.id, side) for name, (page, side) in origin.items()} == {
        "r left": ("r", "left"),
        "r left (not so)": ("r", "left"),
        "r right": ("r", "right"),
        "r right (not so)": ("r", "right"),
        "s": ("s", None),
    }
    assert set(origin) <= {one.id for one in rules}


def test_what_is_wrong_in_an_earlier_stage_sets_a_later_one_aside() -> None:
    found = made(
        area("first", ("smell",), ("hot", "cold")),
        area("second", ("smell",), relies=("column",)),
        area("last", ("higher",), relies=("drop", "column")),
    )
    order = {name: one for name, one in found.items() if name.startswith("order:")}
    assert order["order: first-0 before second, smell"] == ChainRule(
        id="order: first-0 before second, smell", when=(("seen", "smell"),), gives=(("aside", "column"),)
    )
    assert order["order: first-1 before last, cold right"].gives == (("aside", "drop"), ("aside", "column"))
    assert order["order: first-1 before last, cold right"].when == (("seen", "cold right"),)
    # Five signs on their sides before the second stage; before the last those and that of the second itself.
    assert len(order) == 5 + 5 + 1
    assert not any("before first" in name or "higher" in name for name in order)


def test_a_stage_that_nothing_relies_on_needs_no_order() -> None:
    assert not any(name.startswith("order:") for name in made(area("first", ("smell",)), area("last", ("hot",))))


def test_what_can_be_set_aside_or_hidden_must_be_accepted() -> None:
    found = made(rule("s", "smell", sets_aside=("hot", "higher")))
    names = {name for name in found if name.startswith("counts:")}
    assert names == {
        *(f"counts:{no}{name} {side}" for name in ("hot", "higher") for side in BOTH for no in ("", "not ")),
        "counts:one-only",
        "counts:not one-only",
    }
    assert found["counts:hot left"] == ChainRule(
        id="counts:hot left",
        when=(("seen", "hot left"),),
        unless=(("aside", "hot"),),
        gives=(("counts", "seen hot left"),),
    )
    assert found["counts:not hot left"].unless == (("aside", "hot"),)
    assert found["counts:not hot left"].gives == (("counts", "not seen hot left"),)
    assert found["counts:not hot left"].when == (("not seen", "hot left"),)


def test_an_absence_is_hidden_by_its_twin_and_a_sign_is_not() -> None:
    found = made()
    assert found["counts:higher left"].unless == ()
    assert found["counts:not higher left"].unless == (("seen", "higher right"),)
    both = made(rule("s", "smell", sets_aside=("higher",)))
    assert both["counts:not higher right"].unless == (("aside", "higher"), ("seen", "higher left"))
    assert both["counts:higher right"].unless == (("aside", "higher"),)
