"""The shorting test: trust, Welch's test, stalls as bounds or censored; swapping the sides swaps the answer."""

import math
import statistics
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from advisor.readings.shorting import ALL_STALLED, LOG_RANK, PLAIN, WELCH, Trust, compare

drops = st.lists(st.floats(50, 400), min_size=1, max_size=6)
OTHER = {"left": "right", "right": "left", "": "", None: None}


@given(left=drops, right=drops, stalls=st.tuples(st.integers(0, 3), st.integers(0, 3)), least=st.sampled_from([0, 300]))
def test_swapped_sides_swap_the_answer(
    left: list[float], right: list[float], stalls: tuple[int, int], least: float
) -> None:
    trust = Trust(20, stall=least)
    one, two = compare(left, right, 50, trust, stalls), compare(right, left, 50, trust, (stalls[1], stalls[0]))
    assert two.weaker == OTHER[one.weaker]
    assert two.more == one.more
    if one.by is not None and two.by is not None:
        assert two.by == pytest.approx(-one.by, abs=1e-9)


def test_both_sides_must_drop_to_the_same_low_revs() -> None:
    """Common practice, no source: shorted in turn, both sides must bring the revs down to the same low figure.

    From one idle that is the same as equal drops, whatever the tachometer adds.
    """
    idle, low = 1000.0, 740.0
    for reads_high in (0.0, 80.0):
        shown = [(idle + reads_high) - (low + reads_high)] * 3
        assert compare(shown, shown, 50, Trust(20)).weaker == ""
    assert compare([idle - 740] * 3, [idle - 640] * 3, 50, Trust(20)).weaker == "left"


def test_welch_against_the_librarys_documented_test() -> None:
    """scipy.stats.ttest_ind, equal_var=False: its interval decides, where it is wider than one reading's trust."""
    left, right = [120.0, 180.0, 150.0, 170.0], [260.0, 310.0, 240.0, 330.0]
    interval = stats.ttest_ind(left, right, equal_var=False).confidence_interval(0.95)
    found = compare(left, right, 20, Trust(5))
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high))
    assert found.weaker == "left"


def test_welch_by_a_published_example() -> None:
    """Welch's interval from the formula itself (Welch, Biometrika 34 (1947), 28; NIST/SEMATECH e-Handbook, 7.3.1)."""
    left, right = [210.0, 230.0, 250.0], [300.0, 330.0, 390.0]
    mean = (sum(left) - sum(right)) / 3
    parts = [sum((x - sum(s) / 3) ** 2 for x in s) / 2 / 3 for s in (left, right)]
    freedom = sum(parts) ** 2 / sum(part**2 / 2 for part in parts)
    half = float(stats.t.ppf(0.975, freedom)) * math.sqrt(sum(parts))
    found = compare(left, right, 50, Trust(10))
    assert found.by == pytest.approx(mean)
    assert found.high is not None
    assert found.high - mean == pytest.approx(half)
    assert found.weaker is None
    assert found.more is not None
    assert found.more > 0


def test_more_trials_decide_what_they_were_said_to_decide() -> None:
    left, right = [180.0, 215.0], [250.0, 290.0]
    found = compare(left, right, 50, Trust(20))
    assert found.weaker is None
    assert found.more is not None
    size = 2 + found.more
    spread = (35**2 / 2 + 40**2 / 2) / 2  # the pooled variance of the two

    def sample(mean: float) -> list[float]:
        scale = math.sqrt(spread * (size - 1) / size)
        return [mean + scale * (1 if one % 2 else -1) for one in range(size)]

    assert compare(sample(197.5), sample(270.0), 50, Trust(20)).weaker == "left" or size % 2


def test_equal_repeats_are_no_proof_of_an_exact_tachometer() -> None:
    found = compare([200.0, 200.0], [200.0, 200.0], 50, Trust(20))
    assert found.weaker == ""
    assert found.high is not None
    assert found.high >= 20 / math.sqrt(2)


def test_stalls_are_censored_not_left_out() -> None:
    weak = compare([100, 110, 120, 105, 115], [], 50, Trust(20), (0, 5))
    assert weak.weaker == "left"
    assert weak.by is None
    assert compare([], [], 50, Trust(20), (3, 3)).weaker is None
    assert compare([200], [210], 50, Trust(20), (1, 1)).weaker is None


def test_calm_repeats_are_trusted_as_readings_are() -> None:
    """Independent figures: their halves add as squares (JCGM 100:2008, 5.1.2); 20 rpm each, two a side: 20 rpm."""
    found = compare([200, 205], [300, 305], 50, Trust(20))
    assert (found.low, found.high) == pytest.approx((-120, -80))
    assert found.weaker == "left"


def test_one_trial_against_scattered_ones_is_not_trusted_like_calm_ones() -> None:
    assert compare([200], [300, 300], 50, Trust(20)).weaker == "left"
    assert compare([200], [250, 350], 50, Trust(20)).weaker is None


def test_a_stall_tells_by_what_it_says_at_least() -> None:
    """Arithmetic: 400 rpm or more is over 50 rpm more than 200, and not more than 380, each within 20."""
    trust = Trust(20, stall=400)
    assert compare([], [200], 50, trust, (1, 0)).weaker == "right"
    assert "400 rpm or more" in compare([], [200], 50, trust, (1, 0)).test
    assert compare([], [380], 50, trust, (1, 0)).weaker is None
    assert compare([], [200], 50, Trust(20), (1, 0)).weaker is None


@pytest.mark.parametrize(
    ("right", "weaker"),
    [
        (271.0, "left"),
        (270.0, None),
        (231.0, None),
        (230.0, ""),
        (170.0, ""),
        (169.0, None),
        (130.0, None),
        (129.0, "right"),
    ],
)
def test_where_the_interval_lies_against_the_limit_decides(right: float, weaker: str | None) -> None:
    """Two trials within 14.14 rpm each make a half of 20 (JCGM 100:2008, 5.1.2), against a limit of 50."""
    found = compare([200.0], [right], 50, Trust(20 / math.sqrt(2)))
    assert found.weaker == weaker
    assert found.by == 200.0 - right
    assert (found.low, found.high) == pytest.approx((200 - right - 20, 200 - right + 20))
    assert found.test == PLAIN
    assert (found.more == 0) is (weaker is not None)


def test_how_many_more_trials_by_students_table() -> None:
    """JCGM 100:2008, table G.2, at 95 %: 2.064 at 24 degrees of freedom, 2.056 at 26.

    One trial a side within 28.28 rpm together has a standard error of 14.14; over 13 a side 2.064 x 14.14 / root 13 is
    8.10, over 14 it is 7.77: 8 rpm of room are reached with 13 more.
    """
    found = compare([200.0], [258.0], 50, Trust(20))
    assert (found.weaker, found.more) == (None, 13)
    nearer = compare([200.0], [255.0], 50, Trust(20))
    assert nearer.more is None  # not within thirty
    # One against two: half of hypot(20, 14.14) over 1.5 trials, 2.052 x 12.25 x root(1.5 / 15) is 7.95: 13.5 more.
    assert compare([200.0], [258.0, 258.0], 50, Trust(20)).more == 14


def test_the_scatter_of_trials_counts_where_it_is_the_wider_one() -> None:
    """Scattered on one side only is enough for Welch's test; never narrower than what a reading is trusted within."""
    wild = compare([100.0, 200.0, 300.0], [300.0, 305.0, 310.0], 20, Trust(20))
    assert wild.test == WELCH
    calm = compare([195.0, 200.0, 205.0], [300.0, 305.0, 310.0], 20, Trust(20))
    assert calm.test == PLAIN
    left, right = [150.0, 190.0, 151.0, 189.0] * 5, [250.0, 290.0, 251.0, 289.0] * 5
    many = compare(left, right, 20, Trust(20))
    assert many.test == WELCH
    assert many.high is not None
    least = 20 * math.sqrt(1 / 20 + 1 / 20)
    interval = stats.ttest_ind(left, right, equal_var=False).confidence_interval(0.95)
    half = max((interval.high - interval.low) / 2, least)
    assert many.high == pytest.approx(-100 + half)


def test_one_more_trial_and_thirty_are_the_least_and_the_most_that_are_asked_for() -> None:
    """Student's t at 20 degrees of freedom is 2.086, at 58 it is 2.002 (JCGM 100:2008, table G.2, by scipy).

    Ten trials within 20 each have an error of 4.472 together; 2.086 x 4.472 x root(10 / 11) is 8.895, a little less
    than the 8.92 of room. One trial has 14.142; over thirty that is 5.169, over thirty-one 5.08.
    """
    ten = compare([200.0] * 10, [258.92] * 10, 50, Trust(20))
    assert (ten.weaker, ten.more) == (None, 1)
    assert compare([200.0], [255.1695], 50, Trust(20)).more == 29
    assert compare([200.0], [255.16], 50, Trust(20)).more is None


def test_no_scatter_makes_trials_better_than_readings_are() -> None:
    """Ten that scatter and two that happen to agree: no narrower than 20 x root(1 / 10 + 1 / 2)."""
    wild = [200.0 + 18.0 * (-1) ** n for n in range(10)]
    found = compare(wild, [300.0, 300.0], 85, Trust(20))
    least = 20 * math.sqrt(1 / 10 + 1 / 2)
    assert found.test == WELCH
    assert (found.low, found.high) == pytest.approx((-100 - least, -100 + least))
    room = 15.0
    size = next(n for n in range(7, 31) if float(stats.t.ppf(0.975, 2 * n - 2)) * least / 2 * math.sqrt(6 / n) <= room)
    assert found.more == size - 6


def test_more_trials_by_the_error_of_welchs_interval() -> None:
    """Its half-width over Student's t at its degrees of freedom is the standard error of the difference."""
    left, right = [210.0, 230.0, 250.0], [300.0, 330.0, 390.0]
    found = compare(left, right, 50, Trust(10))
    error = math.sqrt(sum(statistics.variance(side) / 3 for side in (left, right)))
    needed = abs(110 - 50)
    size = next(n for n in range(4, 31) if float(stats.t.ppf(0.975, 2 * n - 2)) * error * math.sqrt(3 / n) <= needed)
    assert found.more == size - 3


@pytest.mark.parametrize(("left", "weaker"), [(329.0, "left"), (330.0, None), (331.0, None)])
def test_a_stall_against_what_was_read(left: float, weaker: str | None) -> None:
    """A stall is 400 rpm or more; 330 within 20 and a limit of 50 reach just that (arithmetic)."""
    trust = Trust(20, stall=400)
    found = compare([left], [], 50, trust, (0, 1))
    assert found.weaker == weaker
    swapped = compare([], [left], 50, trust, (1, 0))
    assert swapped.weaker == ({"left": "right"}.get(weaker) if weaker else None)
    if weaker:
        assert (found.by, found.low, found.high, found.more) == (None, None, None, 0)
        assert found.test == "a stall is a drop of 400 rpm or more"


def test_some_stalls_beside_figures_still_bound_the_mean_from_below() -> None:
    trust = Trust(20, stall=400)
    assert compare([300.0, 300.0], [100.0, 100.0], 50, trust, (1, 0)).weaker == "right"
    assert compare([300.0, 300.0], [240.0, 240.0], 50, trust, (1, 0)).test == LOG_RANK
    assert compare([100.0, 100.0], [300.0, 300.0], 50, trust, (0, 1)).weaker == "left"


def test_a_side_that_stalled_once_is_not_bounded_from_above() -> None:
    """A stall on the left may be any drop: what was read there does not make it the weaker."""
    assert compare([100.0], [300.0], 50, Trust(20, stall=400), (1, 0)).weaker is None


def test_stalls_of_the_side_with_fewer_trials() -> None:
    found = compare([100.0, 101.0, 102.0, 103.0, 104.0, 105.0], [], 50, Trust(20), (0, 3))
    assert (found.weaker, found.more) == ("left", 0)


def test_stalls_without_a_bound_go_by_the_log_rank_test() -> None:
    """scipy.stats.logrank on the drops, stalls as censored above all that was read."""
    left, right = [100.0, 110.0, 120.0, 130.0], [125.0]
    found = compare(left, right, 50, Trust(20), (0, 3))
    sides = [stats.CensoredData(uncensored=left), stats.CensoredData(uncensored=right, right=[131.0] * 3)]
    reference = stats.logrank(*sides)
    assert found.test == LOG_RANK
    assert (found.weaker == "left") is bool(reference.pvalue < 0.05)
    assert (found.by, found.low, found.high) == (None, None, None)


JUST_THIRTY = [103.0, 117.0, 91.0, 123.0, 104.0, 118.0, 121.0], [104.0, 112.0, 104.0, 104.0, 119.0]
A_FEW_OVER = (
    [90.0, 124.0, 108.0, 98.0, 94.0, 122.0, 113.0, 126.0, 109.0, 117.0],
    [112.0, 123.0, 110.0, 90.0, 97.0],
)


@pytest.mark.parametrize(
    ("left", "right"),
    [
        *product(
            [[100.0, 110.0, 120.0], [100.0, 110.0], [120.0, 130.0, 140.0, 150.0, 101.0, 102.0]],
            [[105.0, 115.0], [125.0], [99.0, 98.0, 97.0]],
        ),
        JUST_THIRTY,
        A_FEW_OVER,
    ],
)
def test_how_many_more_trials_the_log_rank_test_would_take(left: list[float], right: list[float]) -> None:
    """Its statistic grows as the root of the number of trials: so much more is needed."""
    found = compare(left, right, 50, Trust(20), (0, 2))
    above = max(*left, *right) + 1
    sides = [stats.CensoredData(uncensored=left), stats.CensoredData(uncensored=right, right=[above] * 2)]
    reference = stats.logrank(*sides)
    if reference.pvalue < 0.05:
        assert found.more == 0
        return
    now = (len(left) + len(right) + 2) / 2
    more = math.ceil(now * ((1.959963984540054 / abs(float(reference.statistic))) ** 2 - 1))
    assert found.weaker is None
    assert found.more == (more if now + more <= 30 else None)


def test_sides_that_stall_alike_need_no_more_trials_of_this_kind() -> None:
    assert compare([200.0], [200.0], 50, Trust(20), (1, 1)).more is None
    both = compare([], [], 50, Trust(20), (3, 3))
    assert (both.weaker, both.more, both.test) == (None, 0, ALL_STALLED)
    assert (both.by, both.low, both.high) == (None, None, None)
