"""How unlike the sides sound, against Fourier's series; and plugs shorted, against the revs that were put in."""

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.readings.sound_doubts import beating
from advisor.readings.sound_pitch import HOP, Track, track
from advisor.readings.sound_sides import HalfOrder, Shorting, half_order, shortings, without
from advisor.virtual_bike.sound import Running
from tests.sounds import heard, made, shorting, steady


def a_track(once: float, twice: float, moments: int = 200, scatter: float = 0.0) -> Track:
    rng = np.random.default_rng(1)
    return Track(
        time=HOP * np.arange(1.0, moments + 1),
        revs=np.full(moments, 1000.0) + rng.normal(0, 1, moments),
        once=once + rng.normal(0, scatter, moments) if scatter else np.full(moments, once),
        twice=twice + rng.normal(0, scatter, moments) if scatter else np.full(moments, twice),
        clear=np.ones(moments),
        alone=np.zeros(moments, bool),
    )


def sides(folder: Path, how: Running, seed: int = 1, ratio_db: float = 12.0) -> HalfOrder:
    found = heard(folder, made(how, seed, ratio_db))
    way = track(found.ways[0])
    told = half_order(way, beating(way, found.loud))
    assert told is not None
    return told


@given(weak=st.floats(0.0, 1.0), orders=st.integers(1, 6))
def test_against_the_series_of_two_pulses(weak: float, orders: int) -> None:
    """Pulses 1 and `weak` in turn: whole orders (1 + weak) / 2, half orders (1 - weak) / 2, autocorrelation by sums."""
    whole, half = orders * ((1 + weak) / 2) ** 2, orders * ((1 - weak) / 2) ** 2
    found = a_track((whole - half) / (whole + half), 1.0)
    told = half_order(found, np.ones(200, bool))
    assert told is not None
    if weak > 1 / 3:  # from there on it repeats itself after one turn at all
        assert told.strength == pytest.approx((1 - weak) / (1 + weak), abs=1e-6)
        assert told.share == pytest.approx(weak, abs=1e-6)


@pytest.mark.parametrize("revs", [750.0, 1000.0, 2500.0])
def test_sides_alike_and_unlike_are_told_apart(tmp_path: Path, revs: float) -> None:
    alike, unlike = sides(tmp_path, steady(revs, 14)), sides(tmp_path, steady(revs, 14, sides=(1.0, 0.45)))
    assert alike.verdict == "alike"
    assert unlike.verdict == "unlike"
    assert unlike.share == pytest.approx(0.45, abs=0.12)
    assert unlike.low <= unlike.strength <= unlike.high


def test_exchanged_sides_give_the_same_answer(tmp_path: Path) -> None:
    how = steady(1000, 14, sides=(1.0, 0.5))
    one, two = sides(tmp_path, how), sides(tmp_path, how.mirrored())
    assert one.strength == pytest.approx(two.strength, abs=0.06)
    assert one.verdict == two.verdict


def test_the_weaker_a_side_the_stronger_the_half_orders(tmp_path: Path) -> None:
    found = [sides(tmp_path, steady(1000, 12, sides=(1.0, weak))).strength for weak in (1.0, 0.8, 0.6, 0.45)]
    assert found == sorted(found)


def test_what_is_between_is_not_told() -> None:
    """Up to 0.22 alike, from 0.30 unlike: judgement, written here once more."""
    ones = np.ones(200, bool)

    def verdict(strength: float) -> str:
        found = half_order(a_track((1 - strength**2) / (1 + strength**2), 1.0), ones)
        assert found is not None
        return found.verdict

    assert [verdict(each) for each in (0.0, 0.21, 0.23, 0.29, 0.31, 0.9)] == [
        "alike",
        "alike",
        "",
        "",
        "unlike",
        "unlike",
    ]
    wild = half_order(a_track(0.8, 0.9, scatter=0.4), ones)
    assert wild is not None
    assert wild.verdict == ""
    assert half_order(a_track(1.0, 1.0), np.arange(200) < 59) is None
    assert half_order(a_track(1.0, 1.0), np.arange(200) < 60) is not None


def drops(folder: Path, how: Running, seed: int = 1) -> tuple[Shorting, ...]:
    found = heard(folder, made(how, seed))
    way = track(found.ways[0])
    return shortings(way, beating(way, found.loud))


@pytest.mark.parametrize("seed", [1, 2])
def test_drops_come_back_one_by_one(tmp_path: Path, seed: int) -> None:
    how = shorting((220.0, 310.0, 200.0, 300.0))
    found = drops(tmp_path, how, seed)
    assert len(found) == 4
    for one, drop, (start, end, _) in zip(found, (220, 310, 200, 300), how.shorted, strict=True):
        assert one.drop == pytest.approx(drop, abs=12)
        assert abs(one.drop - drop) < 2 * one.within
        assert one.start == pytest.approx(start, abs=0.6)
        assert one.end == pytest.approx(end, abs=0.6)
        assert one.before == pytest.approx(1000, abs=8)
        assert one.after == pytest.approx(1000, abs=15)


def test_drops_from_2500_rpm_come_back(tmp_path: Path) -> None:
    found = drops(tmp_path, shorting((500.0, 380.0), 2500.0))
    assert [one.drop for one in found] == pytest.approx([500, 380], abs=20)


def test_an_idle_without_a_test_has_no_drops(tmp_path: Path) -> None:
    assert drops(tmp_path, steady(1000, 20)) == ()
    assert drops(tmp_path, steady(1000, 20, misses=(0.2, 0.0))) == ()


def test_what_is_too_short_too_long_or_at_an_end_is_no_test() -> None:
    def count(start: int, stop: int, moments: int = 600) -> int:
        found = a_track(0.9, 0.9, moments)
        alone = np.zeros(moments, bool)
        alone[start:stop] = True
        return len(shortings(replace(found, alone=alone), np.ones(moments, bool)))

    assert count(200, 240) == 1
    assert count(200, 209) == 0
    assert count(200, 211) == 1
    assert count(100, 299) == 1
    assert count(100, 302) == 0
    assert count(2, 40) == 0
    assert count(560, 598) == 0


def test_the_moments_of_a_test_are_left_out() -> None:
    one = Shorting(start=5.0, end=8.0, before=1000, during=800, after=1000, drop=200, within=5)
    time = np.arange(0, 15, 0.5)
    assert time[~without(time, (one,))] == pytest.approx(np.arange(5.0, 10.1, 0.5))
    assert without(time, ()).all()
