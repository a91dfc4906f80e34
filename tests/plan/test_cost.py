"""What checks cost here, what stands open afterwards, and the way to the cause."""

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.plan.cost import Search, expected_minutes, minutes, open_after, opens
from advisor.rulebase import Rulebase
from advisor.rulebase.table_records import Cover
from advisor.sides import Side, Sided
from tests.small import blank, cause, check, rulebase, sign, yes_no

LEFT: Sided = ("bowl", "left")
RIGHT: Sided = ("bowl", "right")
TANK: Sided = ("tank", None)


@pytest.fixture(scope="module")
def base() -> Rulebase:
    """Return a cover on each side, one for both, and checks that open them."""
    return rulebase(
        blank(Cover, id="bowl", minutes=6.0, each_side=True, shut_to_run=True),
        blank(Cover, id="tank", minutes=10.0, each_side=False, shut_to_run=False),
        check("float", sided=True, opens="bowl", minutes=9.0),
        check("levels", opens="bowl", minutes=15.0),
        check("coil", opens="tank", minutes=14.0),
        check("glance", opens="bowl", sided=True, minutes=6.2),
        check("ask", minutes=0.0),
        check("listen", minutes=4.0, involves=("running",)),
        check("sniff", sided=True, opens="bowl", minutes=9.0, involves=("cranking", "other")),
        check("warm", opens="tank", minutes=14.0, involves=("riding",)),
    )


def test_a_check_by_itself_takes_its_own_minutes(base: Rulebase) -> None:
    assert minutes(base.checks["float"], "left", (), base) == 9.0
    assert minutes(base.checks["ask"], None, (), base) == 0.5  # nothing is done in no time


def test_what_is_open_already_is_not_opened_again(base: Rulebase) -> None:
    assert minutes(base.checks["float"], "left", [LEFT], base) == 3.0
    assert minutes(base.checks["coil"], None, [TANK], base) == 4.0
    assert minutes(base.checks["glance"], "left", [LEFT], base) == 0.5


@pytest.mark.parametrize(("opened", "takes"), [([], 15.0), ([LEFT], 9.0), ([RIGHT], 9.0), ([LEFT, RIGHT], 3.0)])
def test_a_check_of_both_sides_is_spared_each_cover_that_is_open(
    base: Rulebase, opened: list[Sided], takes: float
) -> None:
    assert minutes(base.checks["levels"], None, opened, base) == takes


def test_the_other_sides_cover_helps_nothing(base: Rulebase) -> None:
    assert minutes(base.checks["float"], "right", [LEFT], base) == 9.0
    assert minutes(base.checks["ask"], None, [LEFT, RIGHT], base) == 0.5


def test_what_a_check_opens(base: Rulebase) -> None:
    assert opens(base.checks["float"], "right", base) == (RIGHT,)
    assert opens(base.checks["levels"], None, base) == (LEFT, RIGHT)
    assert opens(base.checks["coil"], None, base) == (TANK,)
    assert opens(base.checks["ask"], None, base) == ()


def test_what_stands_open_afterwards(base: Rulebase) -> None:
    assert open_after(base.checks["float"], "left", (TANK,), base) == (TANK, LEFT)
    assert open_after(base.checks["float"], "left", (LEFT,), base) == (LEFT,)
    assert open_after(base.checks["ask"], None, (LEFT,), base) == (LEFT,)


def test_what_must_be_shut_to_run_is_shut_by_what_runs(base: Rulebase) -> None:
    assert open_after(base.checks["listen"], None, (LEFT, TANK), base) == (TANK,)
    assert open_after(base.checks["sniff"], "left", (RIGHT,), base) == ()
    assert open_after(base.checks["warm"], None, (), base) == (TANK,)


CHANCES = st.lists(st.tuples(st.floats(0.5, 60.0), st.floats(0.01, 1.0)), min_size=1, max_size=5)


@given(CHANCES)
def test_no_order_is_better_than_the_best_bargain_first(places: list[tuple[float, float]]) -> None:
    """Against every order there is; the one place left at the end is looked at as well."""
    total = math.fsum(chance for _, chance in places)

    def walk(order: tuple[tuple[float, float], ...]) -> float:
        spent, left = 0.0, 1.0
        for price, chance in order:
            spent += left * price
            left -= chance / total
        return spent

    best = min(walk(order) for order in itertools.permutations(places))
    prices, chances = zip(*places, strict=True)
    assert expected_minutes(prices, chances) == pytest.approx(best, rel=1e-3)
    assert expected_minutes(prices, [10 * one for one in chances]) == pytest.approx(best, rel=1e-3)


def test_where_nothing_is_likely_everything_must_be_looked_at() -> None:
    assert expected_minutes([3.0, 4.0], [0.0, 0.0]) == 7.0
    assert expected_minutes([3.0, 400.0], [1.0, 1e-9]) == 3.0  # what is all but impossible weighs nothing


@pytest.fixture(scope="module")
def faults() -> Rulebase:
    """Return two causes that one strobe decides, one on each side, and one that takes its own look."""
    return rulebase(
        sign("late"),
        sign("early"),
        sign("dead", sided=True),
        cause("timing-late", "strobe", {"late": "sure"}, minutes=12.0),
        cause("timing-early", "strobe", {"early": "sure"}, minutes=12.0),
        cause("plug", "swap", {"dead this": "sure"}, sided=True, minutes=6.0),
        yes_no("strobe", "late", minutes=10.0),
        yes_no("swap", "dead this", sided=True, minutes=4.0),
    )


CAUSES: list[Sided] = [("timing-late", None), ("timing-early", None), ("plug", "left"), ("plug", "right")]


def test_one_look_serves_all_that_it_decides(faults: Rulebase) -> None:
    search = Search(faults, CAUSES, (), [None] * 4)
    assert search.place == [0, 0, 1, 2]
    assert search.prices == [10.0, 4.0, 4.0]
    assert search.at([0.1, 0.2, 0.3, 0.4]) == [pytest.approx(0.3), 0.3, 0.4]
    assert [search.price(one) for one in range(4)] == [10.0, 10.0, 4.0, 4.0]


def test_what_was_found_costs_half_its_repair_and_a_run(faults: Rulebase) -> None:
    """Half the repair, were it in vain, and five minutes to run it again: judgement, written here once more."""
    search = Search(faults, CAUSES, (), [None, True, False, True])
    assert search.place == [0, 1, 2, 3]
    assert search.prices == [10.0, 5.0 + 6.0, 4.0, 5.0 + 3.0]


def test_the_bargain_is_the_likeliest_of_the_place_with_most_for_its_minutes(faults: Rulebase) -> None:
    search = Search(faults, CAUSES, (), [None] * 4)
    assert search.bargain([0.1, 0.9, 0.2, 0.1], range(4)) == 1  # 1.0 in ten minutes against 0.2 in four
    assert search.bargain([0.1, 0.1, 0.3, 0.1], range(4)) == 2
    assert search.bargain([0.1, 0.1, 0.3, 0.1], [0, 1, 3]) == 3
    assert search.bargain([0.2, 0.2, 0.0, 0.0], range(4)) == 0  # the first of equals


def test_going_for_the_bargain_in_vain_leaves_the_rest(faults: Rulebase) -> None:
    search = Search(faults, CAUSES, (), [None] * 4)
    missed, rest = search.expected_after(2, [0.1, 0.1, 0.5, 0.3])
    assert missed == pytest.approx(0.5)
    assert rest == pytest.approx(expected_minutes([10.0, 4.0], [0.2, 0.3]))
    assert search.expected([0.1, 0.1, 0.5, 0.3]) == pytest.approx(
        expected_minutes([10.0, 4.0, 4.0], [0.2, 0.5, 0.3]), rel=1e-12
    )
    missed, _ = search.expected_after(2, [0.0] * 4)
    assert missed == 1.0
    half, _ = search.expected_after(2, [0.1, 0.0, 0.1, 0.0])  # of what is believed, not of one
    assert half == pytest.approx(0.5)


def test_an_open_cover_makes_a_look_cheaper() -> None:
    base = rulebase(
        blank(Cover, id="bowl", minutes=6.0, each_side=True),
        sign("jet", sided=True),
        cause("jet", "blow", {"jet this": "sure"}, sided=True),
        yes_no("blow", "jet this", sided=True, minutes=9.0, opens="bowl"),
    )
    both: list[Sided] = [("jet", "left"), ("jet", "right")]
    side: Side = "right"
    assert Search(base, both, (("bowl", side),), [None, None]).prices == [9.0, 3.0]
