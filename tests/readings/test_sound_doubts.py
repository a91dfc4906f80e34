"""What is no engine, or cannot be heard well enough, is said to be so; what is an engine is not."""

from pathlib import Path

import numpy as np
import pytest

from advisor.readings.sound_doubts import BLOCK, MOST_BLOCKS, PLAIN, WHY, beating, doubt, sounding
from advisor.readings.sound_pitch import track
from advisor.virtual_bike.sound import Kind, recorded, sound_of
from tests.sounds import NO_ENGINE, RATE, SECONDS, TIME, Column, blipped, heard, made, shorting, steady


def doubted(folder: Path, sound: Column) -> str:
    found = heard(folder, sound)
    return doubt(found, found.ways[0], track(found.ways[0]), len(sound) / RATE)


@pytest.mark.parametrize("seed", [1, *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(2, 7))])
@pytest.mark.parametrize("name", NO_ENGINE)
def test_what_is_no_engine_is_no_reading(tmp_path: Path, name: str, seed: int) -> None:
    make, why = NO_ENGINE[name]
    assert doubted(tmp_path, make(np.random.default_rng(seed))) == why


@pytest.mark.parametrize(("kind", "ratio"), [("pink", 6.0), ("pink", -3.0), ("white", 0.0), ("wind", -10.0)])
@pytest.mark.parametrize("revs", [700.0, 1000.0, 2500.0])
def test_an_engine_in_noise_is_an_engine(tmp_path: Path, revs: float, kind: Kind, ratio: float) -> None:
    assert doubted(tmp_path, made(steady(revs, 10), 3, ratio, kind)) == ""


def test_an_engine_that_is_blipped_shorted_weak_or_misses_is_an_engine(tmp_path: Path) -> None:
    for how in (
        blipped(40, 0.5),
        shorting((200.0, 250.0)),
        steady(1000, sides=(1.0, 0.5)),
        steady(1000, misses=(0.3, 0.0)),
    ):
        assert doubted(tmp_path, made(how)) == ""


def test_a_whine_of_gears_beside_an_engine_does_no_harm(tmp_path: Path) -> None:
    """A mesh of 23 teeth at engine speed, twice as loud as the exhaust."""
    rng = np.random.default_rng(1)
    exhaust = sound_of(steady(2500, SECONDS), rng, RATE).mean(axis=1)
    whine = np.sin(2 * np.pi * 23 * 2500 / 60 * TIME[: len(exhaust)])
    assert doubted(tmp_path, recorded(exhaust, 0.05, -6.0, whine)) == ""
    assert doubted(tmp_path, 0.1 * whine) == "tone"


def test_the_more_two_engines_are_alike_in_loudness_the_surer(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    for second in (820.0, 1040.0, 1600.0):
        one, two = (sound_of(steady(revs, SECONDS), rng, RATE).mean(axis=1) for revs in (1000.0, second))
        assert doubted(tmp_path, recorded(one, 0.05, 3.0, two)) == "two"
        assert doubted(tmp_path, recorded(one, 0.05, 25.0, two)) == ""


def test_a_moment_after_the_engine_stopped_does_not_beat(tmp_path: Path) -> None:
    sound = made(steady(1000, 10), ratio_db=30.0)
    sound[6 * RATE :] *= 0.001
    found = heard(tmp_path, sound)
    way = track(found.ways[0])
    assert not sounding(way, found.loud)[way.time > 6.2].any()
    assert beating(way, found.loud)[way.time < 5.5].all()
    assert doubt(found, found.ways[0], way, 10.0) == ""


def test_every_reason_says_what_to_do() -> None:
    assert {why for _, why in NO_ENGINE.values()} == set(WHY)
    assert all("ecord" in text or "go nearer" in text for text in WHY.values())


def test_beats_that_one_engine_may_have() -> None:
    """Whole ones up to eight, their parts, and halves, thirds and quarters among the first four; judgement."""
    assert {0.125, 0.5, 0.75, 1.0, 4 / 3, 1.5, 2.0, 8.0} <= set(PLAIN)
    assert not {1.13, 5 / 3, 7 / 3} & set(PLAIN)
    assert (BLOCK, MOST_BLOCKS) == (20, 20)
