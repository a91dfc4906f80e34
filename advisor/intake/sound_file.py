"""A recorded sound: a WAV file, read in pieces. What cannot be used is refused in one sentence.

The layout is that of RIFF WAVE (Microsoft and IBM, Multimedia Programming Interface, 1991, from memory). The standard
library reads no floating point before Python 3.12, and scipy reads 24 bits only as a whole; recordings have both.
"""

import struct
from collections.abc import Iterator
from contextlib import contextmanager
from io import FileIO
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import numpy as np

from advisor.errors import AdvisorError, CaseError, Problem
from advisor.files import MEGABYTE, open_plain

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Samples = NDArray[np.float32]

NEEDED = "a WAV recording"
MOST_BYTES = 500 * MEGABYTE  # a quarter of an hour in stereo at the finest setting of a phone
SLOWEST, FASTEST = 8_000, 384_000  # samples a second
MOST_CHANNELS = 8
MOST_PARTS = 1_000  # chunks before the sound: a recorder writes a few
LOUDEST = 1_000.0  # times full scale: floating point goes over it by some, and by no more
AT_ONCE = 262_144  # frames
PCM, FLOAT, EXTENSIBLE = 1, 3, 0xFFFE
KINDS = {(PCM, 8): "u1", (PCM, 16): "<i2", (PCM, 24): "i3", (PCM, 32): "<i4", (FLOAT, 32): "<f4", (FLOAT, 64): "<f8"}
OTHERS = (  # where the mark stands, the mark, and what the file is then
    (4, b"ftyp", "an M4A or MP4 recording"),
    (0, b"OggS", "an OGG recording"),
    (0, b"ID3", "an MP3 recording"),
    (0, b"\xff\xfb", "an MP3 recording"),
    (0, b"\xff\xf1", "an AAC recording"),
    (0, b"fLaC", "a FLAC recording"),
    (0, b"caff", "a CAF recording"),
    (0, b"FORM", "an AIFF recording"),
    (0, b"#!AMR", "an AMR recording"),
    (0, b"RF64", "a WAV file for over 4 GB"),
)
AS_WAV = "save it as WAV: in the recorder's settings, or with any sound editor or converter (WAV, PCM, 16 bit)"


class Sound(msgspec.Struct, frozen=True, kw_only=True):
    """An open recording: samples a second, channels, frames (one sample of each channel), and its repairs."""

    file: str
    rate: int
    channels: int
    frames: int
    kind: str
    repairs: tuple[str, ...]
    stream: FileIO
    start: int

    @property
    def lasts(self) -> float:
        """Its length in s."""
        return self.frames / self.rate

    def pieces(self, size: int = AT_ONCE) -> "Iterator[Samples]":
        """Yield the sound from its start, at most `size` frames at once: a row a frame, from -1 to 1 of full scale.

        Raises CaseError where it holds what is no figure of a sound.
        """
        self.stream.seek(self.start)
        frame = self.channels * _bytes(self.kind)
        left = self.frames
        while left > 0:
            data = self.stream.read(min(size, left) * frame)
            if len(data) < frame:
                return
            data = data[: len(data) // frame * frame]
            left -= len(data) // frame
            yield self._figures(data)

    def _figures(self, data: bytes) -> "Samples":
        found = _decoded(data, self.kind).reshape(-1, self.channels)
        if not (np.abs(found) <= LOUDEST).all():
            raise _refused(Path(self.file), "holds samples that are no figures of a sound; record it again")
        return found


def _bytes(kind: str) -> int:
    return int(kind[-1])


def _decoded(data: bytes, kind: str) -> "Samples":
    """Return samples as shares of full scale; 8 bits have their zero at 128."""
    if kind == "u1":
        return (np.frombuffer(data, np.uint8).astype(np.float32) - np.float32(128)) / np.float32(128)
    if kind == "i3":
        parts = np.frombuffer(data, np.uint8).reshape(-1, 3).astype(np.int32)
        value = parts[:, 0] | parts[:, 1] << 8 | parts[:, 2] << 16
        return ((value ^ 0x800000) - 0x800000).astype(np.float32) / np.float32(2**23)
    found = np.frombuffer(data, kind)
    if "f" in kind:
        with np.errstate(over="ignore"):
            return found.astype(np.float32)
    return found.astype(np.float32) / np.float32(2.0 ** (8 * _bytes(kind) - 1))


@contextmanager
def open_sound(path: Path) -> Iterator[Sound]:
    """Open a WAV recording. Raises CaseError, with what would be right, when it is none or cannot be used."""
    try:
        with open_plain(path, NEEDED) as stream:
            yield _opened(path, stream)
    except CaseError:
        raise
    except AdvisorError as error:
        raise CaseError(error.problems) from error


def _opened(path: Path, stream: FileIO) -> Sound:
    size = stream.seek(0, 2)
    stream.seek(0)
    head = stream.read(12)
    if not head:
        raise _refused(path, f"is empty; {NEEDED} is needed")
    if head[:4] != b"RIFF" or head[8:12] != b"WAVE":
        what = next((what for at, mark, what in OTHERS if head[at : at + len(mark)] == mark), "")
        raise _refused(path, f"this is {what}; {AS_WAV}" if what else f"this is no sound; {NEEDED} is needed")
    if size > MOST_BYTES:
        raise _refused(path, f"is over {MOST_BYTES // MEGABYTE} MB; cut out a few minutes of it")
    form, start, told = _parts(path, stream, size)
    return _checked(path, stream, form, (start, told, size - start))


def _parts(path: Path, stream: FileIO, size: int) -> tuple[bytes, int, int]:
    """Return the description of the sound, where its samples start, and how many bytes they are said to have."""
    form = b""
    for _ in range(MOST_PARTS):
        head = stream.read(8)
        if len(head) < 8:  # noqa: PLR2004 - a name and a length
            break
        name, length = head[:4], int.from_bytes(head[4:], "little")
        if name == b"data":
            if not form:
                break
            return form, stream.tell(), length
        if name == b"fmt ":
            form = stream.read(min(length, 40))
            length -= len(form)
        if stream.seek(length + length % 2, 1) > size:
            break
    raise _refused(path, "is damaged: it has no sound in it; record it again")


def _checked(path: Path, stream: FileIO, form: bytes, data: tuple[int, int, int]) -> Sound:
    start, told, there = data
    if len(form) < 16:  # noqa: PLR2004 - the shortest description there is
        raise _refused(path, "is damaged: it does not say how it was recorded; record it again")
    tag, channels, rate, _, frame, bits = struct.unpack("<HHIIHH", form[:16])
    if tag == EXTENSIBLE and len(form) >= 26:  # noqa: PLR2004 - the kind stands behind the plain description
        tag = int.from_bytes(form[24:26], "little")
    kind = KINDS.get((tag, bits))
    if kind is None:
        what = f"{bits} bits a sample" if tag in {PCM, FLOAT} else "a compressed sound"
        raise _refused(path, f"holds {what}; {AS_WAV}")
    if not 1 <= channels <= MOST_CHANNELS or frame != channels * _bytes(kind):
        raise _refused(path, f"is damaged: {channels} channels of {bits} bits do not fit together; record it again")
    if not SLOWEST <= rate <= FASTEST:
        lies = f"{SLOWEST:,} or more are needed" if rate < SLOWEST else "that cannot be right"
        raise _refused(path, f"holds {rate:,} samples a second; {lies}")
    repairs = []
    if told in {0, 0xFFFFFFFF} and there:
        repairs.append("the recorder did not finish the file; read to its end")
        told = there
    if told > there:
        repairs.append(f"it is cut off: {there / told:.0%} of it is there")
    frames = min(told, there) // frame
    if not frames:
        raise _refused(path, "holds no sound; record it again")
    return Sound(
        file=str(path),
        rate=rate,
        channels=channels,
        frames=frames,
        kind=kind,
        repairs=tuple(repairs),
        stream=stream,
        start=start,
    )


def _refused(path: Path, text: str) -> CaseError:
    return CaseError([Problem(str(path), 0, text)])
