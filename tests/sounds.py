"""Recordings made for the tests: the virtual bike's exhaust at known revs, and much that is no engine."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy import signal
from scipy.io import wavfile

from advisor.intake.sound_file import open_sound
from advisor.readings.sound_bands import Recording, listen
from advisor.readings.sound_log import SoundLog, reduce_sound
from advisor.sides import BOTH
from advisor.virtual_bike.sound import Kind, Running, noise, recorded, sound_of

Column = NDArray[np.float64]
RATE = 16_000


Pair = tuple[float, float]


def steady(revs: float, seconds: float = 10.0, sides: Pair = (1.0, 1.0), misses: Pair = (0.0, 0.0)) -> Running:
    """Return an engine held at these revs."""
    return Running(times=(0.0, seconds), revs=(revs, revs), sides=sides, misses=misses)


def shorting(drops: tuple[float, ...], idle: float = 1000.0) -> Running:
    """Return an idle with a plug shorted four seconds of every eight, left and right in turn, and these drops."""
    times = np.arange(0.0, 8.0 * len(drops) + 6, 0.05)
    moments = [(6.0 + 8 * number, 10.0 + 8 * number, BOTH[number % 2]) for number in range(len(drops))]
    goal = np.full(len(times), idle)
    for (start, end, _), drop in zip(moments, drops, strict=True):
        goal[(times >= start) & (times < end)] -= drop
    revs = signal.lfilter([0.12], [1, -0.88], goal, zi=[0.88 * idle])[0]
    return Running(times=tuple(times.tolist()), revs=tuple(revs.tolist()), shorted=tuple(moments))


def blipped(seconds: float, fall: float, every: float = 12.0, idle: float = 1000.0) -> Running:
    """Return an idle with blips to 3,000 rpm that fall with this time constant (s)."""
    times = np.arange(0.0, seconds, 0.02)
    revs = np.full(len(times), idle)
    for start in np.arange(every, seconds - every / 2, every):
        after = times - start
        rise = 2000 * np.clip(after / 0.4, 0, 1) * np.exp(-np.clip(after - 0.8, 0, None) / fall)
        revs += np.where(after >= 0, rise, 0)
    return Running(times=tuple(times.tolist()), revs=tuple(revs.tolist()))


def made(how: Running, seed: int = 1, ratio_db: float = 12.0, kind: Kind = "pink", rate: int = RATE) -> Column:
    """Return a recording in mono, its exhaust so many dB over a noise."""
    rng = np.random.default_rng(seed)
    both = sound_of(how, rng, rate).mean(axis=1)
    return recorded(both, 0.05, ratio_db, noise(kind, len(both), rng, rate))


def written(path: Path, sound: Column, rate: int = RATE) -> Path:
    """Write a recording with 16 bits and return its path."""
    wavfile.write(path, rate, np.round(np.clip(sound, -1, 1) * 32767).astype(np.int16))
    return path


def heard(folder: Path, sound: Column, rate: int = RATE) -> Recording:
    """Return what is heard of a sound."""
    with open_sound(written(folder / "heard.wav", sound, rate)) as opened:
        return listen(opened)


def told(folder: Path, sound: Column, starts: str = "warm", near: float | None = None, rate: int = RATE) -> SoundLog:
    """Return what a sound tells."""
    with open_sound(written(folder / "told.wav", sound, rate)) as opened:
        return reduce_sound(opened, starts, near)


SECONDS = 12
TIME = np.arange(SECONDS * RATE) / RATE


def _level(sound: Column) -> Column:
    made_level: Column = 0.1 * sound / np.std(sound)
    return made_level


def sine(rng: np.random.Generator) -> Column:
    return 0.3 * np.sin(2 * np.pi * 50 * TIME) + 0.0005 * rng.normal(size=len(TIME))


def hum(rng: np.random.Generator) -> Column:
    tones = sum(np.sin(2 * np.pi * 50 * order * TIME + order) / order for order in range(1, 12))
    return np.asarray(0.1 * tones + 0.003 * rng.normal(size=len(TIME)))


def chord(rng: np.random.Generator) -> Column:
    tones = sum(np.sin(2 * np.pi * at * order * TIME) / order for at in (261.6, 329.6, 392.0) for order in range(1, 5))
    return np.asarray(0.05 * tones + 0.0005 * rng.normal(size=len(TIME)))


def music(rng: np.random.Generator) -> Column:
    """Return plucked chords, four a second."""
    found = np.zeros(len(TIME))
    for start in np.arange(0, SECONDS - 0.5, 0.25):
        first = int(start * RATE)
        after = TIME[: min(RATE // 2, len(TIME) - first)]
        note = 130.8 * 2 ** (rng.integers(12) / 12)
        for part in (0.5, 1.0, 1.26, 1.5):
            tones = sum(np.sin(2 * np.pi * note * part * order * after) / order for order in range(1, 6))
            found[first : first + len(after)] += np.exp(-3 * after) * tones
    return _level(found)


def talk(rng: np.random.Generator) -> Column:
    """Return syllables: a buzz at a voice's pitch through a mouth."""
    found, at = np.zeros(len(TIME)), 0.0
    while at < SECONDS - 0.5:
        size, first = int(rng.uniform(0.1, 0.35) * RATE), int(at * RATE)
        pitch = rng.uniform(90, 180) * np.exp(np.cumsum(rng.normal(0, 0.0001, size)))
        buzz = signal.square(2 * np.pi * np.cumsum(pitch) / RATE, 0.1)
        mouth = signal.lfilter(*signal.iirpeak(rng.uniform(400, 900), 5, fs=RATE), buzz)
        found[first : first + size] += mouth * np.hanning(size)
        at += size / RATE + rng.uniform(0.02, 0.2)
    return _level(found)


def car(rng: np.random.Generator) -> Column:
    """Return a car that passes at 15 m/s and 4 m: the hiss of its tyres, and its engine as it comes and goes."""
    far = np.hypot((TIME - SECONDS / 2) * 15, 4)
    pitch = 75 * (1 - np.gradient(far, 1 / RATE) / 340)
    turns = 2 * np.pi * np.cumsum(pitch) / RATE
    engine = sum(np.sin(order * turns + order) / order**0.7 for order in range(1, 8))
    hiss = signal.sosfilt(signal.butter(2, [300, 1800], "bandpass", fs=RATE, output="sos"), rng.normal(size=len(TIME)))
    return _level((hiss / np.std(hiss) + 0.25 * engine / np.std(engine)) / far)


def only(kind: Kind) -> Callable[[np.random.Generator], Column]:
    """Return a maker of noise alone."""
    return lambda rng: recorded(noise(kind, len(TIME), rng, RATE), 0.1)


def silence(rng: np.random.Generator) -> Column:
    return 0.00003 * rng.normal(size=len(TIME))


def faint(rng: np.random.Generator) -> Column:
    return recorded(sound_of(steady(1000, SECONDS), rng, RATE).mean(axis=1), 0.0001)


def two_engines(rng: np.random.Generator) -> Column:
    one, two = (sound_of(steady(revs, SECONDS), rng, RATE).mean(axis=1) for revs in (1000, 1130))
    return recorded(one, 0.05, 6.0, two)


def short(rng: np.random.Generator) -> Column:
    return recorded(sound_of(steady(1000, 3), rng, RATE).mean(axis=1), 0.05)


NO_ENGINE: dict[str, tuple[Callable[[np.random.Generator], Column], str]] = {
    "sine": (sine, "tone"),
    "hum": (hum, "hum"),
    "chord": (chord, "two"),
    "music": (music, "leaps"),
    "talk": (talk, "leaps"),
    "car": (car, "none"),
    "white": (only("white"), "none"),
    "pink": (only("pink"), "none"),
    "wind": (only("wind"), "wind"),
    "silence": (silence, "quiet"),
    "faint": (faint, "quiet"),
    "two": (two_engines, "two"),
    "short": (short, "short"),
}
