"""The virtual bike's sound: counts and times of its firings are exact; its strengths are those of the model."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant
from advisor.virtual_bike.sound import Kind, Running, at_idle, clicks, firings, noise, recorded, sound_of
from advisor.virtual_bike.steady import steady as values

RATE = 16_000


@settings(max_examples=30, deadline=None)
@given(revs=st.floats(400, 7000), seconds=st.floats(2, 20))
def test_it_fires_once_a_turn(revs: float, seconds: float) -> None:
    at, strength = firings(Running(times=(0, seconds), revs=(revs, revs), spread=0, shake=0), np.random.default_rng(1))
    assert len(at) == pytest.approx(revs / 60 * seconds, abs=1.5)
    assert np.diff(at) == pytest.approx(60 / revs, rel=1e-6)
    assert (strength == 1).all()


def test_revs_that_rise_fire_the_mean_of_them() -> None:
    """From 1,000 to 3,000 rpm in ten seconds is 20,000 / 60 turns."""
    at, _ = firings(Running(times=(0, 10), revs=(1000, 3000)), np.random.default_rng(1))
    assert len(at) == pytest.approx(2000 * 10 / 60, abs=2)


def test_sides_take_turns_and_a_shorted_plug_leaves_its_pump_stroke() -> None:
    how = Running(times=(0, 10), revs=(1000, 1000), sides=(1.0, 0.5), shorted=((4.0, 6.0, "left"),), spread=0, shake=0)
    at, strength = firings(how, np.random.default_rng(1))
    cut = (at >= 4) & (at < 6)
    assert set(strength[::2][~cut[::2]]) == {1.0}
    assert set(strength[1::2]) == {0.5}
    assert strength[::2][cut[::2]].max() < 0.1


def test_misfires_are_as_many_as_was_said() -> None:
    how = Running(times=(0, 600), revs=(1000, 1000), misses=(0.2, 0.0), spread=0)
    _, strength = firings(how, np.random.default_rng(1))
    assert (strength[::2] < 0.5).mean() == pytest.approx(0.2, abs=0.02)
    assert (strength[1::2] == 1).all()


def test_clicks_carry_all_their_strength() -> None:
    at = np.array([0.1, 0.20003, 0.5])
    train = clicks(at, np.array([1.0, 2.0, 3.0]), RATE, RATE)
    assert train.sum() == pytest.approx(6.0)
    assert (train * np.arange(RATE)).sum() / RATE == pytest.approx((at * [1, 2, 3]).sum())


def test_exchanged_sides_are_exchanged_channels() -> None:
    how = Running(times=(0, 5), revs=(1000, 1000), sides=(1.0, 0.4), shorted=((1.0, 2.0, "left"),))
    assert how.mirrored().mirrored() == how
    assert how.mirrored().sides == (0.4, 1.0)
    assert how.mirrored().shorted == ((1.0, 2.0, "right"),)
    both = sound_of(how, np.random.default_rng(1), RATE)
    assert both.shape == (5 * RATE, 2)
    assert np.std(both[:, 0]) > 1.5 * np.std(both[:, 1])


@pytest.mark.parametrize(("kind", "slope"), [("white", 0.0), ("pink", -1.0)])
def test_noise_falls_as_it_should(kind: Kind, slope: float) -> None:
    """Pink noise has a power that falls with the frequency, white the same at all."""
    found = noise(kind, 2**18, np.random.default_rng(1), RATE)
    power = np.abs(np.fft.rfft(found)) ** 2
    at = np.fft.rfftfreq(len(found), 1 / RATE)
    bands = [float(power[(at >= low) & (at < 2 * low)].mean()) for low in (50, 100, 200, 400, 800)]
    falls = np.polyfit(np.log([50, 100, 200, 400, 800]), np.log(bands), 1)[0]
    assert falls == pytest.approx(slope, abs=0.1)
    assert np.std(found) == pytest.approx(1.0, abs=0.01)


def test_wind_lies_low() -> None:
    found = noise("wind", 2**17, np.random.default_rng(1), RATE)
    power, at = np.abs(np.fft.rfft(found)) ** 2, np.fft.rfftfreq(2**17, 1 / RATE)
    assert power[at < 40].sum() > 0.9 * power.sum()


@pytest.mark.parametrize("ratio", [0.0, 6.0, 20.0])
def test_the_ratio_to_the_noise_is_the_one_asked_for(ratio: float) -> None:
    one, other = np.sin(np.arange(40_000) * 0.1), noise("white", 40_000, np.random.default_rng(1), RATE)
    mixed = recorded(one, 0.01, ratio, other)
    share = float(np.dot(mixed, one) / np.dot(one, one)) * one
    assert 20 * np.log10(np.std(share) / np.std(mixed - share)) == pytest.approx(ratio, abs=0.3)


def test_a_bike_sounds_as_it_idles() -> None:
    bike = Bike()
    true = values(bike)
    how = at_idle(bike, 20, ((5.0, 10.0, "left"),))
    assert how.revs[0] == pytest.approx(true.idle_rpm[0], abs=1)
    assert min(how.revs) == pytest.approx(true.shorted_rpm[0, 0], abs=3)
    assert how.misses == pytest.approx(tuple(true.misfire[0]), abs=0.01)
    assert how.sides == pytest.approx((1, 1), abs=0.02)


def test_a_dead_plug_misses_every_time() -> None:
    how = at_idle(plant(Bike(), "plug-dead", "right", 1.0), 5)
    assert how.misses[1] > 0.99
    assert how.misses[0] < 0.2
