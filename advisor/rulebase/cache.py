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
)
KEEP = 8


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
        digest.update(f"\0{path}\0{len(data)}\0".encode())
        digest.update(data)
    return digest.hexdigest()


def fetch(name: str) -> Rulebase | None:
    """Return the kept rule base, or None when there is none or it cannot be read."""
    try:
        return msgspec.msgpack.decode((folder() / f"{name}.rules").read_bytes(), type=Rulebase)
    except (OSError, msgspec.MsgspecError, RuntimeError):  # RuntimeError: no home folder to be found
        return None


def store(name: str, base: Rulebase) -> None:
    """Keep the rule base, whole or not at all, and drop the oldest copies."""
    with contextlib.suppress(OSError, RuntimeError):
        home = folder()
        home.mkdir(parents=True, exist_ok=True)
        draft = home / f"{name}.{os.getpid()}.draft"
        try:
            draft.write_bytes(msgspec.msgpack.encode(base))
            draft.replace(home / f"{name}.rules")
        finally:
            draft.unlink(missing_ok=True)
        kept = sorted(home.glob("*.rules"), key=lambda path: path.stat().st_mtime)
        for old in kept[:-KEEP]:
            old.unlink(missing_ok=True)
