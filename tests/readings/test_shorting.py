"""The shorting test: trust, Welch's test, stalls as bounds or censored; swapping the sides swaps the answer."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from advisor.readings.shorting import Trust, compare

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
