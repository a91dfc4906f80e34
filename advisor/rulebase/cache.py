"""Keeps the compiled rule base in the user's cache folder, named by what the pages held.

Reading the pages takes far longer than anything else a diagnosis does. The key covers every page's
bytes and this package's own code for reading them, so a stale copy is never found; a broken one is
read over. Nothing here may fail: without a cache the rule base is simply read again.
"""

import contextlib
import hashlib
import os
from pathlib import Path

import msgspec

from advisor.places import PACKAGE
from advisor.rulebase.model import Rulebase

CODE = (
    "pages.py",
    "quantities.py",
    "rulebase/grammar.py",
    "rulebase/model.py",
    "rulebase/records.py",
    "rulebase/tables.py",
    "rulebase/read.py",
    "rulebase/source.py",
    "rulebase/whole.py",
)
KEEP, SUM_BYTES = 8, 16


def folder() -> Path:
    """Return the folder that holds compiled rule bases (XDG Base Directory Specification, version 0.8)."""
    home = os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache"
    return Path(home) / "tuneup-advisor"


def key(pages: list[tuple[str, bytes]]) -> str:
    """Return a name that changes whenever a page or the code that reads it changes."""
    digest = hashlib.blake2b(digest_size=20)
    for name in CODE:
        digest.update((PACKAGE / name).read_bytes())
    for path, data in pages:
        digest.update(f"\0{path}\0{len(data)}\0".encode(errors="surrogateescape"))
        digest.update(data)
    return digest.hexdigest()


def fetch(name: str) -> Rulebase | None:
    """Return the kept rule base, or None when there is none or it cannot be read."""
    try:
        path = folder() / f"{name}.rules"
        data = path.read_bytes() if path.is_file() else b""
        sum_, kept = data[:SUM_BYTES], data[SUM_BYTES:]
        # The decoder trusts its input too far to be given a damaged file.
        return msgspec.msgpack.decode(kept, type=Rulebase) if sum_ == _sum(kept) else None
    except (OSError, msgspec.MsgspecError, RuntimeError):  # RuntimeError: no home folder to be found
        return None


def _sum(data: bytes) -> bytes:
    return hashlib.blake2b(data, digest_size=SUM_BYTES).digest()


def store(name: str, base: Rulebase) -> None:
    """Keep the rule base, whole or not at all, and drop the oldest copies."""
    with contextlib.suppress(OSError, RuntimeError):
        home = folder()
        home.mkdir(parents=True, exist_ok=True)
        draft = home / f"{name}.{os.getpid()}.draft"
        try:
            data = msgspec.msgpack.encode(base)
            draft.write_bytes(_sum(data) + data)
            draft.replace(home / f"{name}.rules")
        finally:
            draft.unlink(missing_ok=True)
        kept = sorted(home.glob("*.rules"), key=lambda path: path.stat().st_mtime)
        for old in kept[:-KEEP]:
            old.unlink(missing_ok=True)
