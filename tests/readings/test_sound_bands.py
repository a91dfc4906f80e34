"""What is heard of a recording does not depend on the pieces in which it is read, and holds little."""

import time
import tracemalloc
from pathlib import Path

import numpy as np
import pytest
from scipy import signal
from scipy.io import wavfile

from advisor.intake.sound_file import open_sound
from advisor.readings import sound_bands
from advisor.readings.sound_bands import listen
from advisor.readings.sound_log import reduce_sound
from advisor.virtual_bike.sound import clicks, noise
from tests.sounds import RATE, heard, made, steady, written


@pytest.mark.parametrize("size", [777, 4_096, 100_000])
def test_pieces_make_no_difference(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, size: int) -> None:
    path = written(tmp_path / "a.wav", made(steady(1000, 5)))
    with open_sound(path) as sound:
        whole = listen(sound)
        pieces = sound.pieces
        monkeypatch.setattr(type(sound), "pieces", lambda _: pieces(size))
        again = listen(sound)
    for one, two in zip(whole.ways[0].curves, again.ways[0].curves, strict=True):
        assert one == pytest.approx(two, abs=1e-6)
    assert again.loud == pytest.approx(whole.loud)
    assert again.low == pytest.approx(whole.low)


@pytest.mark.parametrize("rate", [8_000, 11_025, 16_000, 22_050, 44_100, 48_000, 96_000, 192_000])
def test_every_rate_is_heard_at_a_like_one(tmp_path: Path, rate: int) -> None:
    """A click a turn is heard at its own times, at any rate: ten a second, the first at once."""
    at = np.arange(0.05, 4.0, 0.1)
    found = heard(tmp_path, 0.9 * clicks(at, np.ones(len(at)), rate, 4 * rate), rate)
    (way,) = found.ways
    assert 1_000 <= way.rate < 2_100
    assert all(len(one) == pytest.approx(4 * way.rate, abs=2) for one in way.curves)
    for curve in way.curves[1:]:
        peaks, _ = signal.find_peaks(curve, height=0.5 * float(curve.max()), distance=int(0.05 * way.rate))
        assert peaks / way.rate == pytest.approx(at, abs=0.02)


def test_a_loud_band_is_as_loud_as_it_is(tmp_path: Path) -> None:
    """A sine of 1,000 Hz has a loudness of its height over root two, and no beat."""
    sound = 0.5 * np.sin(2 * np.pi * 1000 * np.arange(4 * RATE) / RATE)
    found = heard(tmp_path, sound)
    high = found.ways[0].curves[2][1000:]
    assert high == pytest.approx(0.5 / 2**0.5, rel=0.02)
    assert found.loud == pytest.approx(0.5 / 2**0.5, rel=0.01)
    assert found.tone > 0.99
    assert found.low < 0.01


def test_channels_are_heard_together_and_each_alone(tmp_path: Path) -> None:
    one = made(steady(1000, 4))
    wavfile.write(tmp_path / "a.wav", RATE, np.round(np.column_stack([one, -one, one]) * 32767).astype(np.int16))
    with open_sound(tmp_path / "a.wav") as sound:
        mix, left, right = listen(sound).ways
    assert np.abs(mix.curves[0]).max() < 1e-4  # they cancel
    assert left.curves[0] == pytest.approx(-right.curves[0], abs=1e-4)
    assert left.curves[1] == pytest.approx(right.curves[1], abs=1e-4)


def test_clipped_samples_are_counted(tmp_path: Path) -> None:
    sound = 2 * np.sin(2 * np.pi * 100 * np.arange(4 * RATE) / RATE)
    assert heard(tmp_path, sound).clipped == pytest.approx(2 / 3, abs=0.01)  # |2 sin| over 1 for two thirds of a turn
    assert heard(tmp_path, 0.4 * sound).clipped == 0


def test_wind_is_low(tmp_path: Path) -> None:
    rng = np.random.default_rng(1)
    assert heard(tmp_path, 0.1 * noise("wind", 4 * RATE, rng, RATE)).low > 0.5
    assert heard(tmp_path, 0.1 * noise("white", 4 * RATE, rng, RATE)).low < 0.01


def test_the_smallest_rate_has_room_for_the_highest_band() -> None:
    assert sound_bands.LOUDNESS[-1][1] < 0.4 * sound_bands.WORKED_AT


@pytest.mark.slow
def test_ten_minutes_take_some_seconds_and_little_memory(tmp_path: Path) -> None:
    """Ten minutes of stereo at 48,000 samples a second are 115 MB as a file, 230 MB as figures."""
    rate = 48_000
    part = np.round(made(steady(1000, 60), rate=rate) * 32767).astype(np.int16)
    wavfile.write(tmp_path / "a.wav", rate, np.column_stack([np.tile(part, 10)] * 2))
    del part
    tracemalloc.start()
    started = time.process_time()
    with open_sound(tmp_path / "a.wav") as sound:
        found = reduce_sound(sound, "warm")
    took, most = time.process_time() - started, tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert found.lasts == pytest.approx(600)
    assert found.level == pytest.approx(1000, abs=5)
    assert took < 40  # of one slow core, watched by tracemalloc
    assert most < 230_000_000
