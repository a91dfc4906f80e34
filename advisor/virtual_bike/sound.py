"""The sound of the virtual bike's two exhausts, as a microphone behind it records it: for practice and for tests.

Both cylinders of a flat twin fire in turn, once in two turns each, so a pulse leaves the one or the other silencer at
every turn of the crank: revs / 60 a second. Each pulse is a short rise of pressure that rings in its pipe, and a hiss
that lasts as long. The shape of it is a textbook sketch (from memory), tuned by hand; times and counts are exact.
Times in s, speeds in 1/min, rates in Hz; sound pressure has no unit.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from scipy import signal

from advisor.sides import BOTH, Side
from advisor.virtual_bike import idle
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.steady import shorted as with_a_plug_shorted

Kind = Literal["white", "pink", "wind"]
RISE, FALL = 0.0006, 0.004  # s, of the pressure at the end of the pipe as the valve opens: judgement
PIPE = {"left": (96.0, 290.0, 640.0), "right": (92.0, 281.0, 655.0)}  # Hz: the pipes are never quite alike
RINGS = 4.0  # resonance over its width
DIRECT, HISS = 0.5, 0.35  # shares of the pulse that do not ring, and of the hiss
UNBURNT = 0.08  # what is left of the pulse of a charge that did not burn: the compressed air alone
GUST = 0.7  # s from one gust to the next
MICROPHONE = 45.0  # Hz below which a phone hears little
COMES_BACK, FALLS = 0.25, 0.5  # s in which the revs follow, with both plugs firing again and with one shorted


@dataclass(frozen=True)
class Running:
    """How the engine runs while it is recorded; `revs` at `times`, straight between them.

    `sides` is the strength of each side's pulse (1 for a sound one), `misses` the share of its charges that do not
    burn, `shorted` the moments (from, to, side) with a plug shorted. `spread` is how much the pulses of one side differ
    (standard deviation), `shake` how much the time between two firings does, as a share: judgement, for a rough idle.
    """

    times: tuple[float, ...]
    revs: tuple[float, ...]
    sides: tuple[float, float] = (1.0, 1.0)
    misses: tuple[float, float] = (0.0, 0.0)
    shorted: tuple[tuple[float, float, Side], ...] = ()
    spread: float = 0.12
    shake: float = 0.008

    def mirrored(self) -> "Running":
        """Return the same with left and right exchanged."""
        cut = tuple((start, end, "right" if side == "left" else "left") for start, end, side in self.shorted)
        return replace(self, sides=self.sides[::-1], misses=self.misses[::-1], shorted=cut)  # type: ignore[arg-type]


def firings(how: Running, rng: np.random.Generator) -> tuple[Array, Array]:
    """Return the time of each firing, and its strength: those of the left side are the even ones."""
    fine = np.arange(how.times[0], how.times[-1], 0.005)
    turns = np.concatenate([[0.0], np.cumsum(np.interp(fine, how.times, how.revs) / 60)[:-1] * 0.005])
    count = int(turns[-1])
    at = np.interp(np.arange(count), turns, fine)
    each = np.gradient(at) if count > 1 else np.ones(count)
    at = at + rng.normal(0.0, how.shake, count) * each
    side = np.arange(count) % 2
    strength = np.array(how.sides)[side] * np.maximum(1 + rng.normal(0.0, how.spread, count), 0.1)
    unburnt = rng.random(count) < np.array(how.misses)[side]
    for start, end, name in how.shorted:
        unburnt |= (side == BOTH.index(name or "left")) & (at >= start) & (at < end)
    return at, np.where(unburnt, UNBURNT * strength, strength)


def clicks(at: Array, strength: Array, rate: float, count: int) -> Array:
    """Return a train of clicks at these times, each shared between the two nearest samples."""
    place = at * rate
    whole = np.floor(place).astype(np.int64)
    part = place - whole
    inside = (whole >= 0) & (whole < count - 1)
    train = np.zeros(count)
    np.add.at(train, whole[inside], (strength * (1 - part))[inside])
    np.add.at(train, whole[inside] + 1, (strength * part)[inside])
    return train


def sound_of(how: Running, rng: np.random.Generator, rate: int = 48_000) -> Array:
    """Return the sound of both exhausts, a column for each, at so many samples a second; its loudness is 1."""
    at, strength = firings(how, rng)
    at, count = at - how.times[0], int((how.times[-1] - how.times[0]) * rate)
    columns = [
        _pipe(clicks(at[n::2], strength[n::2], rate, count), PIPE[side], rng, rate) for n, side in enumerate(BOTH)
    ]
    heard: Array = signal.sosfilt(signal.butter(2, MICROPHONE, "highpass", fs=rate, output="sos"), columns).T
    return heard / max(float(np.sqrt(np.mean(heard.sum(axis=1) ** 2))), 1e-12)


def _pipe(train: Array, rings_at: Sequence[float], rng: np.random.Generator, rate: int) -> Array:
    """Return what comes out of one pipe."""
    pulse = train
    for lasts in (RISE, FALL):
        keep = float(np.exp(-1 / (lasts * rate)))
        pulse = signal.lfilter([1 - keep], [1, -keep], pulse)
    edge = np.diff(pulse, prepend=0.0) * FALL * rate
    found = DIRECT * edge
    for number, at in enumerate(rings_at):
        found = found + signal.lfilter(*signal.iirpeak(at, RINGS, fs=rate), edge) / (number + 1)
    hiss = signal.sosfilt(
        signal.butter(2, [400.0, 3000.0], "bandpass", fs=rate, output="sos"), rng.normal(size=len(train))
    )
    return np.asarray(found + HISS * 3 * hiss * pulse)


def noise(kind: Kind, count: int, rng: np.random.Generator, rate: int = 48_000) -> Array:
    """Return noise of loudness 1: white, pink (falling by 3 dB an octave), or wind.

    Wind at a microphone is turbulence: it falls steeply above some ten Hz, and comes in gusts (from memory).
    """
    white = rng.normal(size=count)
    if kind != "white":
        shape = np.fft.rfft(white)
        frequency = np.maximum(np.fft.rfftfreq(count, 1 / rate), 1.0)
        shape *= frequency**-0.5 if kind == "pink" else 1 / (1 + (frequency / 15.0) ** 2)
        white = np.fft.irfft(shape, count)
    if kind == "wind":
        time = np.arange(count) / rate
        gusts = np.arange(0.0, count / rate + GUST, GUST)
        white = white * (0.3 + np.interp(time, gusts, rng.exponential(size=len(gusts))))
    return np.asarray(white / np.sqrt(np.mean(white**2)))


def recorded(sound: Array, loud: float = 0.1, ratio_db: float | None = None, other: Array | None = None) -> Array:
    """Return a sound as recorded, `loud` of full scale (root mean square), under another that is `ratio_db` fainter."""
    mixed = sound / np.sqrt(np.mean(sound**2))
    if other is not None and ratio_db is not None:
        by = 10 ** (-ratio_db / 20)
        mixed = mixed + by * (other if other.ndim == sound.ndim else other[:, None]) / np.sqrt(np.mean(other**2))
    return np.asarray(np.clip(loud * mixed, -1.0, 1.0))


def at_idle(bike: Bike, seconds: float, shorted: Sequence[tuple[float, float, Side]] = ()) -> Running:
    """Return how a bike runs at idle, with its misfires and its sides' work, while plugs are shorted (from, to, side).

    The revs go to those of the shorted engine in about a second, and come back when it is let go. Where it does not
    run, or stalls, they are 0.
    """
    every = (bike, *with_a_plug_shorted(bike))
    b = pack(every)
    net = idle.balance(b)
    whole = float(idle.follow(net[:1])[0])
    cut = np.nan_to_num(idle.follow(net[1:], np.full(2, np.nan_to_num(whole, nan=idle.USUAL))))
    fire = idle.at_speed(b, np.full(3, whole)).fire
    work, burn = fire.work.reshape(3, 2)[0], fire.burn.reshape(3, 2)[0]
    each = work / np.maximum(burn, 1e-6)  # of a charge that burns
    times = np.arange(0.0, seconds + 0.05, 0.05)
    revs, now = np.empty(len(times)), np.nan_to_num(whole)
    for n, at in enumerate(times):
        side = next((name for start, end, name in shorted if start <= at < end), None)
        goal = float(cut[BOTH.index(side)]) if side else float(np.nan_to_num(whole))
        now += (goal - now) * 0.05 / (FALLS if side else COMES_BACK)
        revs[n] = now
    sides = each / max(float(each.max()), 1e-9)
    return Running(
        times=tuple(times.tolist()),
        revs=tuple(revs.tolist()),
        sides=(float(sides[0]), float(sides[1])),
        misses=(float(1 - burn[0]), float(1 - burn[1])),
        shorted=tuple(shorted),
    )
