"""A recording is a log: what was put into the revs comes out of the sound, with the bounds that were promised."""

from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace
from scipy.io import wavfile
from scipy.signal import iirpeak, lfilter

from advisor.intake.logfile import Log
from advisor.intake.sound_file import open_sound
from advisor.readings.idle_log import reduce_idle
from advisor.readings.sound_log import ALONE_OR_BOTH, ALONE_UNDER, CANNOT, SoundLog, reduce_sound
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import plant
from advisor.virtual_bike.sound import Running, at_idle, clicks, firings, noise, recorded, sound_of
from advisor.virtual_bike.steady import steady as values
from tests.sounds import RATE, Column, blipped, made, shorting, steady, told


def hunting(swing: float, period: float, seconds: float = 60.0, drift: float = 0.0) -> Running:
    times = np.arange(0.0, seconds, 0.05)
    revs = 1000 + swing / 2 * np.sin(2 * np.pi * times / period) + drift * times / 60
    return Running(times=tuple(times.tolist()), revs=tuple(revs.tolist()))


@pytest.mark.parametrize(("swing", "period"), [(150.0, 4.0), (200.0, 8.0)])
def test_hunting_comes_back(tmp_path: Path, swing: float, period: float) -> None:
    found = told(tmp_path, made(hunting(swing, period)))
    assert found.idle is not None
    assert found.idle.period == pytest.approx(period, rel=0.1)
    assert found.idle.swing == pytest.approx(swing, rel=0.2)


def test_a_steady_idle_has_nothing_to_say(tmp_path: Path) -> None:
    found = told(tmp_path, made(steady(980, 45)))
    assert found.idle is not None
    assert found.idle.warm is not None
    assert found.idle.period is None
    assert found.idle.steps == ()
    assert found.idle.hangs == ()
    assert found.idle.warm.level == pytest.approx(980, abs=3)
    assert found.level == pytest.approx(980, abs=3)
    assert found.shorted == ()
    assert found.beats > 0.95


def test_a_drift_comes_back(tmp_path: Path) -> None:
    found = told(tmp_path, made(hunting(0, 5, 90, drift=40.0)))
    assert found.idle is not None
    assert found.idle.warm is not None
    assert found.idle.warm.drift is not None
    assert found.idle.warm.drift.value == pytest.approx(40, abs=5)
    assert found.idle.warm.drift.low > 0


@pytest.mark.parametrize("fall", [0.4, 0.9, 1.6])
def test_the_fall_after_a_blip_is_that_of_a_log_of_the_same_revs(tmp_path: Path, fall: float) -> None:
    how = blipped(70, fall)
    time = np.arange(0.1, 70, 0.1)
    log = Log(file="x", columns={"time": time, "revs": np.interp(time, how.times, how.revs)}, repairs=())
    theirs = reduce_idle(log, "warm").hangs
    found = told(tmp_path, made(how))
    assert found.idle is not None
    assert len(found.idle.hangs) == len(theirs) > 3
    assert np.median(found.idle.hangs) == pytest.approx(np.median(theirs), abs=0.2)
    assert found.idle.hangs == pytest.approx(theirs, abs=0.4)


def test_shorted_plugs_are_no_hunt_and_no_step(tmp_path: Path) -> None:
    found = told(tmp_path, made(shorting((220.0, 300.0) * 3)))
    assert len(found.shorted) == 6
    assert found.level == pytest.approx(1000, abs=5)
    assert found.idle is None or (not found.idle.steps and found.idle.period is None)


@pytest.mark.parametrize("seed", [0, 1, 4, 7])
def test_the_level_lies_within_its_bounds(tmp_path: Path, seed: int) -> None:
    revs = 700.0 + 400 * seed
    found = told(tmp_path, made(Running(times=(0, 12), revs=(revs, revs), shake=0.015), seed, 8.0))
    assert found.level is not None
    assert found.within is not None
    assert abs(found.level - revs) <= found.within
    assert found.within < 0.02 * revs


@pytest.mark.parametrize("channels", ["both", "left only", "opposite", "wind on the right", "three"])
def test_channels_are_mixed_or_the_better_one_is_taken(tmp_path: Path, channels: str) -> None:
    one = made(steady(1000, 10), ratio_db=20.0)
    rng = np.random.default_rng(1)
    second = {
        "both": one,
        "left only": np.zeros_like(one),
        "opposite": -one,
        "wind on the right": 0.3 * rng.normal(size=len(one)),
        "three": one,
    }[channels]
    table = np.column_stack([one, second, *([one] if channels == "three" else [])])
    levels = []
    for exchanged in (table, table[:, ::-1]):
        wavfile.write(tmp_path / "a.wav", RATE, np.round(np.clip(exchanged, -1, 1) * 32767).astype(np.int16))
        with open_sound(tmp_path / "a.wav") as sound:
            found = reduce_sound(sound, "warm")
        assert found.doubt == ""
        levels.append(found.level)
    assert levels[0] == pytest.approx(1000, abs=5)
    assert levels[0] == pytest.approx(levels[1], abs=1e-6)


def test_exchanged_sides_give_the_same_answer(tmp_path: Path) -> None:
    """A silencer for each channel, one side weak: the engine with its sides exchanged sounds the same."""
    how = Running(times=(0, 14), revs=(1000, 1000), sides=(1.0, 0.5))
    found = []
    for each in (how, how.mirrored()):
        both = sound_of(each, np.random.default_rng(1), RATE)
        wavfile.write(tmp_path / "a.wav", RATE, np.round(np.clip(0.05 * both, -1, 1) * 32767).astype(np.int16))
        with open_sound(tmp_path / "a.wav") as sound:
            found.append(reduce_sound(sound, "warm"))
    assert found[0].level == pytest.approx(found[1].level, abs=2)
    assert found[0].alone == found[1].alone
    verdicts = {one.half_order.verdict for one in found if one.half_order}
    assert verdicts <= {"unlike"}


def dead(revs: float) -> Running:
    return steady(revs, 12, sides=(1.0, 0.03))


def test_a_dead_side_at_idle_is_no_slow_idle(tmp_path: Path) -> None:
    """It beats 500 times a minute, and no such engine idles there."""
    found = told(tmp_path, made(dead(1000)))
    assert found.doubt == ""
    assert found.alone
    assert found.level == pytest.approx(1000, abs=10)
    assert found.half_order is None


def test_what_could_be_either_is_asked(tmp_path: Path) -> None:
    sound = made(dead(1200))
    assert "It beats 600 times a minute" in told(tmp_path, sound).doubt
    assert "--near '1200 rpm'" in told(tmp_path, sound).doubt
    found = told(tmp_path, sound, near=1150)
    assert found.alone
    assert found.level == pytest.approx(1200, abs=12)
    found = told(tmp_path, sound, near=620)
    assert not found.alone
    assert found.level == pytest.approx(600, abs=10)
    assert told(tmp_path, sound, near=900).doubt.startswith(CANNOT)


def off_the_middle(revs: float, later: float, share: float) -> Column:
    """Return what a phone hears nearer to the left silencer: the right one later (s) and fainter."""
    rng = np.random.default_rng(1)
    both, late = sound_of(steady(revs, 12), rng, RATE), int(later * RATE)
    both[late:, 0] += share * both[: len(both) - late, 1]
    return recorded(both[:, 0], 0.05, 12.0, noise("pink", len(both), rng, RATE))


@pytest.mark.parametrize(
    "revs", [1000.0, 2500.0, *(pytest.param(one, marks=pytest.mark.slow) for one in (800.0, 4000.0))]
)
@pytest.mark.parametrize(("later", "share"), [(0.0003, 0.8), (0.0005, 0.7), (0.002, 0.7), (0.0, 0.35)])
def test_a_phone_off_the_middle_is_no_octave(tmp_path: Path, revs: float, later: float, share: float) -> None:
    """Sound goes a metre in 3 ms. It gives the revs or asks; told about how fast it ran, it gives them."""
    sound = off_the_middle(revs, later, share)
    found = told(tmp_path, sound)
    assert found.level == pytest.approx(revs, rel=0.01) if found.level else "weaker beats between" in found.doubt
    assert found.level or (later, share) not in {(0.0003, 0.8), (0.0005, 0.7)}
    hinted = told(tmp_path, sound, near=1.05 * revs)
    assert hinted.level == pytest.approx(revs, rel=0.01)
    assert not hinted.alone


def test_the_other_speed_is_named_while_nothing_speaks_against_it(tmp_path: Path) -> None:
    """Four strokes are two turns: what repeats itself after two turns, and not after one, has two sides."""
    assert told(tmp_path, made(steady(1000, 14))).either == pytest.approx(2000, abs=10)
    assert told(tmp_path, made(steady(1000, 14)), near=1000).either is None
    assert told(tmp_path, made(steady(1000, 14, sides=(1.0, 0.5)))).either is None
    assert told(tmp_path, made(shorting((200.0, 250.0)))).either is None
    assert told(tmp_path, made(steady(4000, 14))).either is None  # 8,000 rpm is no speed of it
    assert told(tmp_path, made(dead(1000))).either is None


def test_loud_valve_gear_is_no_octave(tmp_path: Path) -> None:
    """Two ticks a turn, as loud as the exhaust."""
    how, rng = steady(1000, 12), np.random.default_rng(1)
    exhaust = sound_of(how, rng, RATE).mean(axis=1)
    at, _ = firings(how, rng)
    ticks = clicks(np.concatenate([at + 0.01, at + 0.04]), np.ones(2 * len(at)), RATE, len(exhaust))
    ticks = lfilter(*iirpeak(2300, 6, fs=RATE), ticks)
    found = told(tmp_path, recorded(exhaust / np.std(exhaust) + ticks / np.std(ticks), 0.05))
    assert found.level == pytest.approx(1000, abs=8)


def test_where_it_is_asked() -> None:
    assert (ALONE_UNDER, ALONE_OR_BOTH) == (550, 650)


@pytest.mark.parametrize("revs", [680.0, 1000.0, 3000.0])
def test_a_hint_changes_nothing_that_was_clear(tmp_path: Path, revs: float) -> None:
    sound = made(steady(revs, 10))
    plain, hinted = told(tmp_path, sound), told(tmp_path, sound, near=1.1 * revs)
    assert replace(plain, either=None) == hinted
    assert plain.level == pytest.approx(revs, rel=0.01)


def test_what_is_clipped_still_has_its_revs(tmp_path: Path) -> None:
    found = told(tmp_path, 8 * made(steady(1000, 14)))
    assert found.clipped
    assert found.level == pytest.approx(1000, abs=6)
    assert found.half_order is None
    assert not told(tmp_path, made(steady(1000, 14))).clipped


@pytest.mark.parametrize("seconds", [0.01, 0.1, 0.3, 1.0, 3.9])
def test_a_moment_of_sound_is_too_short(tmp_path: Path, seconds: float) -> None:
    found = told(tmp_path, made(steady(1000, 5))[: int(seconds * RATE)])
    assert "too short" in found.doubt
    assert found == SoundLog(
        lasts=pytest.approx(seconds, abs=0.001),  # type: ignore[arg-type]
        rate=RATE,
        channels=1,
        repairs=(),
        clipped=False,
        doubt=found.doubt,
    )


def test_an_engine_that_stops_is_a_log_to_its_end(tmp_path: Path) -> None:
    sound = made(steady(1000, 50), ratio_db=30.0)
    sound[35 * RATE :] *= 0.001
    found = told(tmp_path, sound)
    assert found.idle is not None
    assert max(found.times) < 36
    assert found.level == pytest.approx(1000, abs=5)


@pytest.mark.parametrize(("fault", "severity"), [("plug-dead", 0.0), ("plug-dead", 1.0), ("clearance-tight", 0.5)])
def test_the_virtual_bike_is_heard_at_its_own_idle(tmp_path: Path, fault: str, severity: float) -> None:
    bike = plant(Bike(), fault, "left", severity)
    found = told(tmp_path, made(at_idle(bike, 15)), near=float(values(bike).idle_rpm[0]))
    assert found.level == pytest.approx(values(bike).idle_rpm[0], rel=0.01)
    assert found.alone == (severity == 1.0)


ODD: dict[str, Column] = {
    "nothing": np.zeros(8 * RATE),
    "all it can": np.ones(8 * RATE),
    "one click": np.eye(1, 8 * RATE, 4 * RATE)[0],
    "a burst": np.where(np.arange(8 * RATE) < 100, np.random.default_rng(1).uniform(-1, 1, 8 * RATE), 0.0),
    "up and down": np.where(np.arange(8 * RATE) % 2, 1.0, -1.0),
}


@pytest.mark.parametrize("name", ODD)
def test_an_odd_sound_is_refused_without_a_warning(tmp_path: Path, name: str) -> None:
    found = told(tmp_path, ODD[name])
    assert found.doubt.startswith(CANNOT)
    assert found.level is None


@pytest.mark.parametrize("seed", range(6))
def test_a_recording_with_holes_and_bangs_has_the_same_revs(tmp_path: Path, seed: int) -> None:
    rng = np.random.default_rng(seed)
    sound = made(steady(1000, 12), seed)
    for _ in range(3):
        start = int(rng.integers(0, len(sound)))
        sound[start : start + int(rng.integers(0, RATE))] *= rng.choice([0.0, 0.01, 5.0, 100.0])
    assert told(tmp_path, sound).level == pytest.approx(1000, abs=8)
