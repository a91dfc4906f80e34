"""What must be right before a bike is balanced: right, wrong, or not checked, and how well that is known."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.chain.readiness import readiness, unready
from advisor.report import ReadyItem, SignState
from advisor.rulebase import Rulebase
from advisor.rulebase.table_records import Item
from tests.small import area, blank, rulebase, sign, state, yes_no

ORDER = ("assumed", "told", "seen", "measured")


def _page() -> Rulebase:
    points = blank(Item, id="points", title="points", wrong=("gap",), check="gauge", only_if={"ignition": "points"})
    clearance = blank(Item, id="valves", title="valves", wrong=("tight", "noisy"), check="feel")
    return rulebase(
        sign("tight", sided=True),
        sign("noisy"),
        sign("gap"),
        yes_no("feel", "tight this", sided=True, minutes=10.0, title="Feel the valves"),
        yes_no("gauge", "gap", minutes=4.0),
        area("first", items=(clearance,), relies=("early",)),
        area("second", items=(points,), relies=("column",)),
        area("last", relies=("drop", "column")),
    )


BASE = _page()


def found(*signs: SignState, **parts: str) -> dict[str, ReadyItem]:
    items = readiness(BASE, signs, parts, ORDER.index)
    return {one.title: one for one in items}


def test_each_item_names_its_stage_and_check_with_its_minutes() -> None:
    items = found()
    assert list(items) == ["valves", "points"]
    assert items["valves"] == ReadyItem(
        stage="first",
        title="valves",
        state="not checked",
        how="",
        check="feel",
        check_title="Feel the valves",
        minutes=20.0,
    )
    assert items["points"].minutes == 4.0  # once for both sides


ALL = (state("tight", "left", seen=False), state("tight", "right", seen=False), state("noisy", seen=False))


def test_it_is_right_only_once_every_sign_is_known_to_be_absent_on_both_sides() -> None:
    assert found(*ALL)["valves"].state == "right"
    for missing in range(3):
        some = [one for n, one in enumerate(ALL) if n != missing]
        assert (found(*some)["valves"].state, found(*some)["valves"].how) == ("not checked", "")


@pytest.mark.parametrize("one", [state("tight", "left"), state("tight", "right"), state("noisy")])
def test_one_sign_of_a_fault_makes_it_wrong(one: SignState) -> None:
    assert found(one)["valves"].state == "wrong"
    assert (
        found(*(other for other in ALL if (other.id, other.side) != (one.id, one.side)), one)["valves"].state == "wrong"
    )


@given(st.lists(st.sampled_from(ORDER), min_size=3, max_size=3))
def test_it_is_known_to_be_right_as_well_as_the_least_known_and_wrong_as_the_best(ways: list[str]) -> None:
    right = [state(one.id, one.side, seen=False, how=how) for one, how in zip(ALL, ways, strict=True)]
    assert found(*right)["valves"].how == min(ways, key=ORDER.index)
    wrong = [state(one.id, one.side, seen=True, how=how) for one, how in zip(ALL, ways, strict=True)]
    assert found(*wrong)["valves"].how == max(ways, key=ORDER.index)


def test_an_item_of_other_parts_is_not_asked_of_this_bike() -> None:
    assert "points" not in found(ignition="electronic")
    assert "points" in found(ignition="points")
    assert "points" in found()  # unknown is never a no
    assert list(found(ignition="electronic")) == ["valves"]


def test_an_item_after_one_of_other_parts_is_still_asked() -> None:
    items = tuple(
        blank(
            Item,
            id=name,
            title=name,
            wrong=("noisy",),
            check="gauge",
            only_if={"ignition": name} if name == "a" else {},
        )
        for name in ("a", "b")
    )
    base = rulebase(sign("noisy"), yes_no("gauge", "noisy"), area("only", items=items))
    assert [one.title for one in readiness(base, [], {"ignition": "b"}, ORDER.index)] == ["b"]


def test_an_item_without_a_sign_is_never_right() -> None:
    bare = blank(Item, id="x", title="x", check="gauge")
    base = rulebase(yes_no("gauge", "noisy"), sign("noisy"), area("only", items=(bare,)))
    assert [one.state for one in readiness(base, [], {}, ORDER.index)] == ["not checked"]


def test_what_relies_on_an_unchecked_stage_is_unready() -> None:
    first_open = found(state("gap", seen=False)).values()
    assert unready(BASE, first_open) == {"column", "drop"}
    second_open = found(*ALL).values()
    assert unready(BASE, second_open) == {"drop", "column"}
    assert unready(BASE, found(*ALL, state("gap", seen=False)).values()) == set()
    assert unready(BASE, found(*ALL, state("gap")).values()) == set()  # wrong is checked


def test_all_stages_after_an_open_one_are_unready_each_for_its_own() -> None:
    base = rulebase(
        sign("noisy"),
        yes_no("gauge", "noisy"),
        area("first", ("noisy",), check="gauge"),
        area("second", relies=("column",)),
        area("third", relies=("drop",)),
    )
    assert unready(base, readiness(base, [], {}, ORDER.index)) == {"column", "drop"}


def test_a_stage_does_not_wait_for_itself_or_what_comes_later() -> None:
    assert "early" not in unready(BASE, found().values())
    assert unready(BASE, [one for one in found().values() if one.title == "points"]) == {"drop", "column"}
    assert unready(BASE, found().values()) == {"column", "drop"}
