"""What is heard of a recording: three slow curves in which each firing shows, made as the sound is read in pieces.

The pressure itself, and how loud two higher bands are from moment to moment. A phone hears little of the lowest tones,
wind drowns them, and a tone alone has no beat: what beats in two of the three is a train of pulses. (Full-wave
detection and smoothing of bands, as in beat tracking: E. Scheirer, J. Acoust. Soc. Am. 103, 1998, from memory.)
Times in s, rates in Hz, loudness as a share of full scale.
"""

from typing import TYPE_CHECKING

import msgspec
import numpy as np
from scipy import fft, signal

from advisor.intake.sound_file import Sound

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Column = NDArray[np.float64]
    Values = NDArray[np.float32]

WORKED_AT, HEARD_AT = 8_000, 1_000  # Hz, or a little more: of the sound, of the curves
PRESSURE = (20.0, 300.0)  # Hz
LOUDNESS = ((150.0, 600.0), (600.0, 2_400.0))
BEATS_UP_TO = 250.0  # Hz: two tones of the beat at 7,000 rpm
FULL = 0.999  # of full scale: a sample of this size is clipped
SECOND = 0.1  # s over which loudness is told
LINES = 16_384  # samples by which tones are told apart
MOST_CHANNELS = 2  # a phone has two; more are of no use


class Heard(msgspec.Struct, frozen=True, kw_only=True):
    """The curves of one way to listen (both channels together, or one), all of one length and at `rate`."""

    rate: float
    curves: "tuple[Values, ...]"


class Recording(msgspec.Struct, frozen=True, kw_only=True):
    """What is heard of a recording: its ways to listen, the first of all channels together.

    `loud` is the loudness (root mean square) in each tenth of a second, `clipped` the share of clipped samples. Of the
    sound's power, `low` is the share that lies under `PRESSURE`, and `tone` that of the strongest tone.
    """

    ways: tuple[Heard, ...]
    loud: "Column"
    clipped: float
    low: float
    tone: float


class _Filter:
    """A filter that goes on where the last piece ended; every `thin`-th sample of what comes out is kept."""

    def __init__(self, sections: "NDArray[np.float64]", channels: int, thin: int = 1) -> None:
        self.sections, self.thin, self.phase = sections, thin, 0
        self.state = np.zeros((len(sections), 2, channels))

    def __call__(self, block: "Column") -> "Column":
        found, self.state = signal.sosfilt(self.sections, block, axis=0, zi=self.state)
        kept: Column = found[self.phase :: self.thin]
        self.phase = (self.phase - len(found)) % self.thin
        return kept


class _Listener:
    """Turns pieces of sound into curves."""

    def __init__(self, rate: int, channels: int) -> None:
        self.first, self.ways = max(rate // WORKED_AT, 1), 1 if channels == 1 else channels + 1
        slow = rate / self.first
        self.second = max(int(slow // HEARD_AT), 1)
        self.rate = slow / self.second
        if self.first > 1:
            low = signal.butter(8, 0.4 * slow, fs=rate, output="sos")
            self.work: _Filter | None = _Filter(low, channels, self.first)
        else:
            self.work = None
        self.pressure = _Filter(_band(PRESSURE, slow), channels, self.second)
        self.bands = [_Filter(_band(one, slow), channels) for one in LOUDNESS]
        smooth = signal.butter(4, BEATS_UP_TO, fs=slow, output="sos")
        self.smooth = [_Filter(smooth, self.ways, self.second) for _ in LOUDNESS]

    def __call__(self, block: "Column") -> "list[Values]":
        """Return each curve's next values: a column for each way to listen."""
        slow = self.work(block) if self.work else block
        found = [_ways(self.pressure(slow))]
        for band, smooth in zip(self.bands, self.smooth, strict=True):
            found.append(np.sqrt(np.maximum(smooth(_ways(band(slow)) ** 2), 0.0)))
        return [one.astype(np.float32) for one in found]


def _band(limits: tuple[float, float], rate: float) -> "NDArray[np.float64]":
    found: NDArray[np.float64] = signal.butter(3, limits, "bandpass", fs=rate, output="sos")
    return found


def _ways(block: "Column") -> "Column":
    """Return all channels together, and then each of them if there are two."""
    return block if block.shape[1] == 1 else np.column_stack([block.mean(axis=1), block])


def listen(sound: Sound) -> Recording:
    """Return what is heard of an open recording, read in pieces. Raises CaseError as `Sound.pieces` does."""
    channels = min(sound.channels, MOST_CHANNELS)
    listener, meter = _Listener(sound.rate, channels), _Meter(sound, channels)
    curves: list[list[Values]] = [[] for _ in range(1 + len(LOUDNESS))]
    for piece in sound.pieces():
        block = piece[:, :channels].astype(np.float64)
        meter(block)
        for curve, more in zip(curves, listener(block), strict=True):
            curve.append(more)
    whole = [np.concatenate(one) for one in curves]
    ways = tuple(Heard(rate=listener.rate, curves=tuple(one[:, way] for one in whole)) for way in range(listener.ways))
    return Recording(ways=ways, loud=meter.loud(), clipped=meter.clipped(), low=meter.low(), tone=meter.tone())


class _Meter:
    """Measures loudness, the lowest tones, the strongest tone and clipping as the sound goes by."""

    def __init__(self, sound: Sound, channels: int) -> None:
        self.rate, self.size = sound.rate, int(SECOND * sound.rate)
        self.under = _Filter(signal.butter(4, PRESSURE[0], fs=sound.rate, output="sos"), channels)
        self.rest = np.empty((0, channels))
        self.power: list[Column] = []
        self.full = self.count = 0
        self.sums = np.zeros(2)
        self.lines = np.zeros(LINES // 2 + 1)

    def __call__(self, block: "Column") -> None:
        self.sums += float((self.under(block) ** 2).sum()), float((block**2).sum())
        whole = block[: len(block) // LINES * LINES, 0].reshape(-1, LINES)
        self.lines += (np.abs(fft.rfft(whole * np.hanning(LINES), axis=1)) ** 2).sum(axis=0)
        block = np.concatenate([self.rest, block])
        count = len(block) // self.size
        parts = block[: count * self.size].reshape(count, self.size, block.shape[1])
        self.rest = block[count * self.size :]
        self.power.append((parts**2).mean(axis=(1, 2)))
        self.full += int((np.abs(parts) >= FULL).any(axis=2).sum())
        self.count += count * self.size

    def loud(self) -> "Column":
        found: Column = np.sqrt(np.concatenate(self.power))
        return found

    def low(self) -> float:
        return float(self.sums[0] / max(self.sums[1], 1e-30))

    def tone(self) -> float:
        heard = np.where(np.arange(len(self.lines)) >= PRESSURE[0] * LINES / self.rate, self.lines, 0.0)
        near = np.convolve(heard, np.ones(5), "same")  # a tone spreads over some bins of its window
        return float(near.max() / max(self.lines.sum(), 1e-30))

    def clipped(self) -> float:
        return self.full / max(self.count, 1)
