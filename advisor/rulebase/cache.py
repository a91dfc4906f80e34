"""Keeps the compiled rule base in the user's cache folder, with the pages it was compiled from.

Reading the pages takes far longer than anything else in a diagnosis. The cache file holds the bytes of every
page and of this package's code that reads them, and is used only while they are the same. So a stale copy is never
used, and a damaged one is replaced. Everything else a diagnosis needs is cached under a stamp, the sizes and times of
these files: while they are the same (as build tools and version control do it), the pages need
not be read. Nothing here may fail: without a cache the rule base is simply read again.

Cache file: the CRC-32 of all that follows, the length of the source, the source, the compiled form as MessagePack.
(A cryptographic hash would do as a key too, but importing one takes longer than comparing the source.)
"""

import contextlib
import os
import struct
import time
import zlib
from collections.abc import Iterable
from pathlib import Path
from typing import TypeVar

import msgspec

from advisor.errors import AdvisorError
from advisor.files import read_plain, write_whole
from advisor.garbage import put_off
from advisor.places import PACKAGE, cache_folder

CODE = (
    "quantities.py",
    "rulebase/advised.py",
    "rulebase/cause_pages.py",
    "rulebase/check_pages.py",
    "rulebase/contradicting.py",
    "rulebase/grammar.py",
    "rulebase/look.py",
    "rulebase/model.py",
    "rulebase/page_record.py",
    "rulebase/pattern_pages.py",
    "rulebase/read.py",
    "rulebase/reading_pages.py",
    "rulebase/sheets.py",
    "rulebase/sign_pages.py",
    "rulebase/source.py",
    "rulebase/table_records.py",
    "rulebase/tables.py",
    "rulebase/whole.py",
    "yaml_nodes.py",
)
T = TypeVar("T", bound=msgspec.Struct)
Files = list[tuple[str, os.stat_result]]
KEEP, HEAD = 24, struct.Struct("<IQ")
MOST_BYTES = 100_000_000
SETTLED = (
    3.0  # s without a change before a file's times are trusted: two changes in one tick of the file clock look alike
)


def source(pages: list[tuple[str, bytes]]) -> bytes:
    """Return everything the compiled rule base depends on: the code that reads pages, and every page with its path."""
    parts = [code(CODE)]
    for path, data in pages:
        parts += [f"\0{path}\0{len(data)}\0".encode(errors="surrogateescape"), data]
    return b"".join(parts)


def code(names: Iterable[str]) -> bytes:
    """Return the text of the modules of these names."""
    return b"".join((PACKAGE / name).read_bytes() for name in names)


def code_of(names: Iterable[str]) -> Files:
    """Return the modules of these names and those that read pages, with their sizes and times.

    Called at import, so it describes the code that runs, even if an upgrade has replaced the files since.
    """
    return [(str(path), path.stat()) for path in (PACKAGE / name for name in (*CODE, *names))]


def stamp(files: Iterable[tuple[str, os.stat_result]]) -> bytes:
    """Return the sizes and times of the pages and of the code that reads them; b'' if one has just changed.

    The time of the last status change cannot be set by hand, so a file restored with its old time still differs.
    """
    found = list(files)
    if max(max(one.st_mtime, one.st_ctime) for _, one in found) > time.time() - SETTLED:
        return b""
    lines = [f"{path}\0{one.st_size} {one.st_mtime_ns} {one.st_ctime_ns} {one.st_ino}\0" for path, one in found]
    return "".join(lines).encode(errors="surrogateescape")


def _place(made_from: bytes) -> Path:
    return cache_folder() / f"{zlib.crc32(made_from):08x}.rules"


def fetch(made_from: bytes, kind: type[T]) -> T | None:
    """Return what is cached for this source or stamp, or None when there is nothing or it cannot be read."""
    try:
        data = memoryview(read_plain(_place(made_from), MOST_BYTES, "a cache file"))
        if len(data) < HEAD.size:
            return None
        sum_, length = HEAD.unpack_from(data)
        # The decoder trusts its input, so never give it a damaged file.
        if zlib.crc32(data[4:]) != sum_ or data[HEAD.size : HEAD.size + length] != made_from:
            return None
        with put_off():
            return msgspec.msgpack.decode(data[HEAD.size + length :], type=kind)
    except (AdvisorError, ValueError, msgspec.MsgspecError, RuntimeError):
        return None  # not there or unreadable; text that is no UTF-8; no home folder, or nested too deeply


def store(made_from: bytes, thing: msgspec.Struct) -> None:
    """Cache what was made from this source, whole or not at all, and drop the oldest copies."""
    with contextlib.suppress(OSError, RuntimeError, ValueError):  # ValueError: a folder whose name is no UTF-8
        home = cache_folder()
        home.mkdir(parents=True, exist_ok=True)
        kept = HEAD.pack(0, len(made_from))[4:] + made_from + msgspec.msgpack.encode(thing)
        place = _place(made_from)
        if place.is_dir() and not place.is_symlink():
            place.rmdir()
        elif not place.is_file() or place.is_symlink():
            place.unlink(missing_ok=True)  # a pipe, or somebody else's file behind a link
        write_whole(place, struct.pack("<I", zlib.crc32(kept)) + kept, lasting=False)
        copies = sorted(home.glob("*.rules"), key=lambda path: path.lstat().st_mtime)
        for old in copies[:-KEEP]:
            with contextlib.suppress(OSError):
                old.unlink()
