"""The causes as a person reads them: which share a line, what is worth one, and what would tell them apart."""

from typing import Any

import pytest
from msgspec.structs import replace

from advisor.plan.candidates import Scene
from advisor.plan.lines import lines
from advisor.rank.network import build
from advisor.rank.ranking import Ranking
from advisor.report import Line, RankedCause
from advisor.rulebase import Rulebase
from advisor.rulebase.table_records import Trust
from advisor.sides import Sided
from tests.small import blank, cause, check, here, outcome, rulebase, sign, yes_no

SEEN = Trust(0.94, 0.01)
LEAK, PORT, JET = "leak", "port", "jet"


def _base(**met: str) -> Rulebase:
    """Return a leak and a port that look alike until one is wetted, and a jet that looks different."""
    return rulebase(
        sign("hangs"),
        sign("rough"),
        sign("moves-joint", sided=True),
        sign("moves-port", sided=True),
        sign("blocked", sided=True),
        cause(
            LEAK,
            "wet-joint",
            {"hangs": "usually", "moves-joint this": "sure"},
            sided=True,
            met=met.get(LEAK, "often"),
        ),
        cause(
            PORT, "wet-port", {"hangs": "usually", "moves-port this": "sure"}, sided=True, met=met.get(PORT, "often")
        ),
        cause(JET, "blow", {"rough": "usually", "blocked this": "sure"}, sided=True, met=met.get(JET, "often")),
        yes_no("wet-joint", "moves-joint this", sided=True, minutes=6.0, title="Wet the {side} joint"),
        yes_no("wet-port", "moves-port this", sided=True, minutes=3.0, title="Wet the {side} port"),
        yes_no("blow", "blocked this", sided=True, minutes=9.0, title="Blow the {side} jet"),
    )


BASE = _base()


def ranking(base: Rulebase, *seen: Sided) -> Ranking:
    network = build(base)
    return Ranking(network, {key: network.report(key, SEEN, seen=True) for key in seen})


def ranked(one: Ranking, **chances: float) -> list[RankedCause]:
    """Return the causes as they are ranked; a chance may be given as `leak_left`."""
    found = [
        blank(
            RankedCause,
            id=name,
            side=side,
            probability=chances.get(f"{name}_{side}", one.probability(number) if not chances else 0.0),
        )
        for number, (name, side) in enumerate(one.network.causes)
    ]
    return sorted(found, key=lambda cause: -cause.probability)


def drawn(base: Rulebase, one: Ranking, scene: Scene | None = None, **chances: float) -> tuple[Line, ...]:
    return lines(ranked(one, **chances), one, scene or here(), base)


def keys(found: tuple[Line, ...]) -> list[set[Sided]]:
    return [set(one.causes) for one in found]


def test_two_causes_that_look_alike_share_a_line_with_what_tells_them_apart() -> None:
    one = ranking(BASE, ("hangs", None))
    first = drawn(BASE, one, leak_left=0.2, leak_right=0.2, port_left=0.2, port_right=0.2)[0]
    assert first.causes == ((LEAK, "left"), (LEAK, "right"), (PORT, "left"), (PORT, "right"))
    assert first.title == "leak, left or right; or: port, left or right"
    assert (first.told_by, first.minutes, first.found) == ("Wet the left or right port", 3.0, False)
    assert first.probability == pytest.approx(one.any_of([0, 1, 2, 3]))


def test_what_looks_different_stands_apart() -> None:
    found = drawn(BASE, ranking(BASE, ("hangs", None), ("rough", None)))
    assert keys(found) == [
        {(LEAK, "left"), (LEAK, "right"), (PORT, "left"), (PORT, "right")},
        {(JET, "left"), (JET, "right")},
    ]


def test_left_and_right_of_one_cause_share_a_line_told_apart_by_its_own_check() -> None:
    one = ranking(BASE, ("rough", None))
    found = drawn(BASE, one, jet_left=0.3, jet_right=0.2)
    assert found[0].probability == pytest.approx(one.any_of([4, 5]))
    assert keys(found) == [{(JET, "left"), (JET, "right")}]
    assert (found[0].titles, found[0].told_by) == (("jet, left or right",), "Blow the left or right jet")


@pytest.mark.parametrize(("right", "together"), [(0.25, True), (0.249, False)])
def test_sides_share_a_line_while_about_as_likely(right: float, together: bool) -> None:
    """One and a half times as likely is still about as likely: judgement, written here once more."""
    found = drawn(BASE, ranking(BASE), jet_left=0.375, jet_right=right)
    assert len(found) == (1 if together else 2)
    assert found[0].titles == ("jet, left or right" if together else "jet, left",)


def test_a_single_cause_has_nothing_to_be_told_apart_from() -> None:
    (found,) = drawn(BASE, ranking(BASE), jet_left=0.3)
    assert (found.titles, found.told_by, found.minutes, found.probability) == (("jet, left",), "", 0.0, 0.3)


@pytest.mark.parametrize(("chance", "worth"), [(0.03, 1), (0.0299, 0)])
def test_what_is_worth_a_line(chance: float, worth: int) -> None:
    """0.03, judgement, written here once more."""
    assert len(drawn(BASE, ranking(BASE), jet_left=chance)) == worth


def test_left_and_right_together_may_be_worth_a_line() -> None:
    found = drawn(BASE, ranking(BASE), jet_left=0.015, jet_right=0.015)
    assert [one.probability for one in found] == [pytest.approx(0.03)]
    assert found[0].told_by == ""  # too little to name a check for
    assert drawn(BASE, ranking(BASE), jet_left=0.0149, jet_right=0.0149) == ()


@pytest.mark.parametrize(("chance", "together"), [(0.1, True), (0.0999, False)])
def test_different_causes_share_a_line_only_where_each_is_worth_one(chance: float, together: bool) -> None:
    """0.1, judgement, written here once more."""
    found = drawn(BASE, ranking(BASE, ("hangs", None)), leak_left=0.12, port_left=chance)
    assert len(found) == (1 if together else 2)


@pytest.mark.parametrize(("chance", "together"), [(0.375, True), (0.376, False)])
def test_different_causes_share_a_line_only_while_about_as_likely(chance: float, together: bool) -> None:
    found = drawn(BASE, ranking(BASE, ("hangs", None)), leak_left=chance, port_left=0.25)
    assert len(found) == (1 if together else 2)


def test_different_causes_share_a_line_only_on_the_same_sides() -> None:
    one = ranking(BASE, ("hangs", None))
    assert len(drawn(BASE, one, leak_left=0.3, port_right=0.3)) == 2
    assert len(drawn(BASE, one, leak_left=0.3, port_left=0.3)) == 1
    assert len(drawn(BASE, one, leak_left=0.2, leak_right=0.2, port_left=0.3)) == 2


def test_three_causes_are_no_answer() -> None:
    pages = {**BASE.causes, "third": replace(BASE.causes[PORT], id="third", title="third, {side}")}
    base = replace(BASE, causes=pages)
    found = drawn(base, ranking(base, ("hangs", None)), leak_left=0.2, port_left=0.2, third_left=0.2)
    assert keys(found) == [{(LEAK, "left"), (PORT, "left")}, {("third", "left")}]


def test_what_was_found_comes_first_and_alone_however_unlikely() -> None:
    one = ranking(BASE, ("hangs", None))
    seen = here({("moves-port", "left"): True})
    found = drawn(BASE, one, seen, leak_left=0.4, port_left=0.4, port_right=0.4, jet_left=0.02)
    assert [(line.causes, line.found) for line in found] == [
        (((PORT, "left"),), True),
        (((LEAK, "left"),), False),
        (((PORT, "right"),), False),
    ]
    (alone,) = drawn(BASE, one, here({("blocked", "left"): True}), jet_left=0.016)
    assert (alone.found, alone.probability) == (True, 0.016)
    assert drawn(BASE, one, here({("blocked", "left"): True}), jet_left=0.0149) == ()


def test_what_was_looked_at_in_vain_is_not_found() -> None:
    found = drawn(BASE, ranking(BASE), here({("blocked", "left"): False}), jet_left=0.2)
    assert [one.found for one in found] == [False]


def test_the_likeliest_line_comes_first() -> None:
    found = drawn(BASE, ranking(BASE, ("rough", None)), leak_left=0.2, jet_left=0.3, port_right=0.25)
    assert [one.probability for one in found] == [0.3, 0.25, 0.2]
    pair = drawn(BASE, ranking(BASE, ("rough", None)), leak_left=0.2, jet_left=0.16, jet_right=0.15)
    assert [one.titles[0] for one in pair] == ["jet, left or right", "leak, left"]


def _told_by(*checks: Any, known: tuple[Sided, ...] = ()) -> str:
    base = replace(BASE, checks={**BASE.checks, **{one.id: one for one in checks}})
    return drawn(base, ranking(base, ("hangs", None), *known), leak_left=0.2, port_left=0.2)[0].told_by


def test_the_quickest_check_that_tells_apart_is_named() -> None:
    assert _told_by() == "Wet the left or right port"
    quick = check("smell", outcome("It smells.", "moves-joint this"), minutes=1.0, title="Smell")
    assert _told_by(quick) == "Smell"
    useless = check("listen", outcome("It hangs.", "hangs"), minutes=1.0, title="Listen")
    other = check("poke", outcome("It is blocked.", "blocked this"), minutes=1.0, title="Poke")
    assert _told_by(useless, other) == "Wet the left or right port"


def test_of_checks_as_quick_the_one_whose_sign_lies_furthest_apart_is_named() -> None:
    """Sure against never is further apart than often against never; then by name."""
    faint = check("a-faint", outcome("It is rough.", "rough"), minutes=2.0, title="Faint")
    clear = check("z-clear", outcome("It moves.", "moves-joint this", "blocked this"), minutes=2.0, title="Clear")
    pages = {
        **BASE.causes,
        LEAK: cause(LEAK, "wet-joint", {"hangs": "usually", "moves-joint this": "sure", "rough": "often"}, sided=True),
    }
    base = replace(BASE, causes=pages, checks=BASE.checks | {"a-faint": faint, "z-clear": clear})
    (first, *_) = drawn(base, ranking(base, ("hangs", None)), leak_left=0.2, port_left=0.2)
    assert (len(first.titles), first.told_by) == (2, "Clear")
    alike = replace(base, checks=BASE.checks | {name: replace(clear, id=name, title=name) for name in ("z", "b")})
    assert drawn(alike, ranking(alike, ("hangs", None)), leak_left=0.2, port_left=0.2)[0].told_by == "b"


def test_of_both_sides_of_a_sign_the_wider_gap_counts() -> None:
    """The leak shows it on its side for sure and on the other often: as far apart as 'sure', whichever comes first."""
    other = check("a-other", outcome("It is rough.", "rough"), minutes=2.0, title="Other")
    both = check("z-both", outcome("It moves.", "moves-joint this"), minutes=2.0, title="Both")
    for links in (
        {"moves-joint this": "sure", "moves-joint other": "often"},
        {"moves-joint this": "often", "moves-joint other": "sure"},
    ):
        page = cause(LEAK, "wet-joint", {"hangs": "usually", "rough": "usually"} | links, sided=True)
        base = replace(
            BASE, causes={**BASE.causes, LEAK: page}, checks=BASE.checks | {"a-other": other, "z-both": both}
        )
        assert drawn(base, ranking(base, ("hangs", None)), leak_left=0.2, port_left=0.2)[0].told_by == "Both"


def test_a_check_whose_sign_is_known_tells_nothing_more() -> None:
    both = check("wet-both", outcome("No.", "moves-joint this", "hangs"), minutes=1.0, title="Wet all")
    assert _told_by(both) == "Wet the left or right port"


def test_signs_that_hardly_differ_tell_nothing_apart() -> None:
    """Half of the bikes with the one and none of those with the other: judgement, written here once more."""

    def told(one: str, two: str) -> str:
        links = {"hangs": "usually", "moves-joint this": one}
        pages = {
            LEAK: cause(LEAK, "wet-joint", links, sided=True, met="often"),
            PORT: cause(PORT, "wet-port", {"hangs": "usually", "moves-joint this": two}, sided=True, met="often"),
            JET: BASE.causes[JET],
        }
        base = replace(BASE, causes=pages)
        return drawn(base, ranking(base, ("hangs", None)), leak_left=0.2, port_left=0.2)[0].told_by

    assert told("sure", "often") == ""
    assert told("sure", "sometimes") == "Wet the left or right joint"
    assert told("sometimes", "sure") == "Wet the left or right joint"
    halves = replace(BASE.words, shows=BASE.words.shows | {"half": 0.5, "none": 0.0})
    pages = {
        LEAK: cause(LEAK, "wet-joint", {"hangs": "usually", "moves-joint this": "half"}, sided=True),
        PORT: cause(PORT, "wet-port", {"hangs": "usually"}, sided=True),
    }
    base = replace(BASE, causes=pages, words=halves)
    assert drawn(base, ranking(base, ("hangs", None)), leak_left=0.2, port_left=0.2)[0].told_by != ""


def test_a_cause_without_a_side_is_compared_as_on_the_left() -> None:
    base = rulebase(
        sign("a"),
        sign("b", sided=True),
        cause("one", "k", {"a": "usually", "b this": "sure"}, met="often"),
        cause("two", "k", {"a": "usually"}, met="often"),
        yes_no("k", "b this", sided=True, title="Look at the {side}"),
    )
    found = drawn(base, ranking(base, ("a", None)), one_None=0.3, two_None=0.3)
    assert [(one.titles, one.told_by) for one in found] == [(("one", "two"), "Look at the left or right")]
