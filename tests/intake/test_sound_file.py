"""A WAV recording is read as scipy reads it, in pieces; what is none is refused in one sentence."""

import contextlib
import struct
import tracemalloc
import warnings
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.io import wavfile

from advisor.errors import CaseError
from advisor.intake import sound_file
from advisor.intake.sound_file import open_sound

GUID_TAIL = bytes.fromhex("000000001000800000aa00389b71")


def wav(
    data: bytes, *, tag: int = 1, channels: int = 1, rate: int = 16_000, bits: int = 16, told: int | None = None
) -> bytes:
    """Return the bytes of a WAV file; tag 0xFFFE is followed by its real one, 1."""
    frame = channels * bits // 8
    form = struct.pack("<HHIIHH", tag, channels, rate, rate * frame, frame, bits)
    if tag == 0xFFFE:
        form += struct.pack("<HHIH", 22, bits, 3, 1) + GUID_TAIL
    size = len(data) if told is None else told
    body = b"WAVEfmt " + struct.pack("<I", len(form)) + form + b"data" + struct.pack("<I", size) + data
    return b"RIFF" + struct.pack("<I", len(body)) + body


def read(path: Path, size: int = 1000) -> NDArray[np.float32]:
    with open_sound(path) as sound:
        return np.concatenate(list(sound.pieces(size)))


def refusal(path: Path) -> str:
    with pytest.raises(CaseError) as caught, open_sound(path) as sound:
        list(sound.pieces())
    (problem,) = caught.value.problems
    assert problem.file == str(path)
    return problem.text


@pytest.mark.parametrize("kind", [np.uint8, np.int16, np.int32, np.float32, np.float64])
@pytest.mark.parametrize("channels", [1, 2, 3])
def test_every_kind_is_read_as_it_was_written(tmp_path: Path, kind: type, channels: int) -> None:
    rng = np.random.default_rng(1)
    shares = rng.uniform(-0.99, 0.99, (5001, channels))
    if kind is np.uint8:
        data, step = np.round(shares * 128 + 128).astype(kind), 1 / 128
    elif np.issubdtype(kind, np.integer):
        top = np.iinfo(kind).max
        data, step = np.round(shares * top).astype(kind), 2 / top
    else:
        data, step = shares.astype(kind), 1e-6
    wavfile.write(tmp_path / "a.wav", 44_100, data)
    with open_sound(tmp_path / "a.wav") as sound:
        assert (sound.rate, sound.channels, sound.frames) == (44_100, channels, 5001)
        assert sound.lasts == pytest.approx(5001 / 44_100)
        assert sound.repairs == ()
    assert np.abs(read(tmp_path / "a.wav") - shares).max() <= max(step, 1e-6)


@settings(max_examples=30, deadline=None)
@given(values=st.lists(st.integers(-(2**23), 2**23 - 1), min_size=2, max_size=50), tag=st.sampled_from([1, 0xFFFE]))
def test_24_bits_against_scipy(tmp_path_factory: pytest.TempPathFactory, values: list[int], tag: int) -> None:
    """scipy.io.wavfile reads 24 bits into the upper bytes of 32."""
    path = tmp_path_factory.mktemp("w") / "a.wav"
    data = b"".join(struct.pack("<i", one)[:3] for one in values)
    path.write_bytes(wav(data + b"\0" * (len(data) % 2), tag=tag, bits=24, told=len(data)))
    _, theirs = wavfile.read(path)
    assert np.array_equal(read(path, 7)[:, 0], (theirs / 2.0**31).astype(np.float32))


def test_parts_beside_the_sound_are_passed_over(tmp_path: Path) -> None:
    plain = wav(b"\1\0" * 100)
    noted = plain[:12] + b"LIST" + struct.pack("<I", 5) + b"notes\0" + plain[12:]
    (tmp_path / "a.wav").write_bytes(noted)
    assert len(read(tmp_path / "a.wav")) == 100


@pytest.mark.parametrize("told", [0, 0xFFFFFFFF])
def test_a_file_that_the_recorder_did_not_finish_is_read_to_its_end(tmp_path: Path, told: int) -> None:
    (tmp_path / "a.wav").write_bytes(wav(b"\1\0" * 100, told=told))
    with open_sound(tmp_path / "a.wav") as sound:
        assert sound.frames == 100
        assert sound.repairs == ("the recorder did not finish the file; read to its end",)


def test_a_file_that_is_cut_off_says_so(tmp_path: Path) -> None:
    (tmp_path / "a.wav").write_bytes(wav(b"\1\0" * 100, told=400))
    with open_sound(tmp_path / "a.wav") as sound:
        assert sound.repairs == ("it is cut off: 50% of it is there",)
    assert len(read(tmp_path / "a.wav")) == 100


@pytest.mark.parametrize(
    ("data", "says"),
    [
        (b"", "is empty; a WAV recording is needed"),
        (b"time s,rpm\n0,1000\n", "this is no sound; a WAV recording is needed"),
        (b"\0\0\0\x20ftypM4A ", "this is an M4A or MP4 recording; save it as WAV"),
        (b"OggS\0\2" + b"\0" * 40, "this is an OGG recording; save it as WAV"),
        (b"ID3\4" + b"\0" * 40, "this is an MP3 recording; save it as WAV"),
        (b"RIFF\0\0\0\0AVI " + b"\0" * 40, "this is no sound"),
        (b"RIFF\4\0\0\0WAVE", "is damaged: it has no sound in it"),
        (wav(b"")[:30], "is damaged: it has no sound in it"),
        (wav(b""), "holds no sound; record it again"),
        (wav(b"\1" * 40, bits=12), "12 bits a sample"),
        (wav(b"\1" * 40, tag=85), "holds a compressed sound; save it as WAV"),
        (wav(b"\1" * 40, tag=1, channels=0), "0 channels of 16 bits do not fit together"),
        (wav(b"\1" * 40, channels=60), "60 channels of 16 bits do not fit together"),
        (wav(b"\1" * 40, rate=4000), "holds 4,000 samples a second; 8,000 or more are needed"),
        (wav(b"\1" * 40, rate=4_000_000), "that cannot be right"),
        (wav(struct.pack("<4f", 0.1, float("nan"), 0.2, 0.3), tag=3, bits=32), "holds samples that are no figures"),
        (wav(struct.pack("<2d", 1e300, 0.3), tag=3, bits=64), "holds samples that are no figures"),
        (wav(struct.pack("<2f", 1001.0, 0.3), tag=3, bits=32), "holds samples that are no figures"),
    ],
)
def test_what_cannot_be_used_is_one_sentence(tmp_path: Path, data: bytes, says: str) -> None:
    (tmp_path / "a.wav").write_bytes(data)
    assert says in refusal(tmp_path / "a.wav")


def test_what_is_no_file_is_said(tmp_path: Path) -> None:
    assert refusal(tmp_path) == "this is a folder; a WAV recording is needed"
    assert refusal(tmp_path / "none.wav") == "cannot be read: no such file or directory"


def test_a_file_that_is_too_large_is_refused_unread(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sound_file, "MOST_BYTES", 1_000_000)
    (tmp_path / "a.wav").write_bytes(wav(b"\0" * 1_000_001))
    assert refusal(tmp_path / "a.wav") == "is over 1 MB; cut out a few minutes of it"


@settings(max_examples=300, deadline=None)
@given(data=st.data())
def test_a_damaged_file_is_read_or_refused(tmp_path_factory: pytest.TempPathFactory, data: st.DataObject) -> None:
    whole = bytearray(wav(bytes(range(256)) * 2, channels=2))
    for _ in range(data.draw(st.integers(1, 6))):
        whole[data.draw(st.integers(0, 60))] = data.draw(st.integers(0, 255))
    path = tmp_path_factory.mktemp("w") / "a.wav"
    path.write_bytes(bytes(whole[: data.draw(st.integers(0, len(whole)))]))
    with contextlib.suppress(CaseError):
        assert np.isfinite(read(path)).all()


def test_a_piece_is_all_that_is_held(tmp_path: Path) -> None:
    (tmp_path / "a.wav").write_bytes(wav(b"\1\0" * 10_000_000))
    tracemalloc.start()
    with open_sound(tmp_path / "a.wav") as sound:
        assert sum(len(one) for one in sound.pieces()) == 10_000_000
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert most < 5_000_000


def test_scipy_reads_what_is_written_here(tmp_path: Path) -> None:
    """The tests' own files are files that others read too."""
    (tmp_path / "a.wav").write_bytes(wav(b"\1\0\2\0", channels=2))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        rate, data = wavfile.read(tmp_path / "a.wav")
    assert rate == 16_000
    assert data.tolist() == [[1, 2]]
