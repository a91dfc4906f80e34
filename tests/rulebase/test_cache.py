"""What is kept of the rules: used only if it is whole, and of no weight where the pages are checked."""

import os
import struct
import zlib
from collections.abc import Callable
from pathlib import Path

import msgspec
import pytest
from click.testing import CliRunner
from msgspec.structs import replace

from advisor.cli import cli
from advisor.places import cache_folder, shipped
from advisor.rulebase import Rulebase, cache, load
from advisor.rulebase.source import contents


class Thing(msgspec.Struct, frozen=True):
    """Something to keep."""

    name: str
    nested: list[object] = []


SOURCE = b"the pages"


@pytest.fixture(autouse=True)
def _own_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))


def _sealed(body: bytes) -> bytes:
    """Return a cache file with this body and the right sum."""
    kept = struct.pack("<Q", len(SOURCE)) + SOURCE + body
    return struct.pack("<I", zlib.crc32(kept)) + kept


def _write(data: bytes) -> Callable[[Path], object]:
    return lambda place: place.write_bytes(data)


def _sparse(place: Path) -> None:
    with place.open("wb") as stream:
        stream.truncate(3_000_000_000)


DAMAGE: dict[str, Callable[[Path], object]] = {
    "empty": _write(b""),
    "short": _write(b"\x01\x02\x03"),
    "cut short": lambda place: place.write_bytes(_sealed(msgspec.msgpack.encode(Thing("x" * 100)))[:-50]),
    "another sum": _write(b"\0\0\0\0" + _sealed(msgspec.msgpack.encode(Thing("planted")))[4:]),
    "text that is no UTF-8": _write(_sealed(b"\x81\xa4name\xa3\xff\xfe\xfd")),
    "another type": _write(_sealed(msgspec.msgpack.encode({"name": 5}))),
    "another thing": _write(_sealed(msgspec.msgpack.encode([1, 2, 3]))),
    "nested without end": _write(_sealed(b"\x82\xa4name\xa1x\xa6nested" + b"\x91" * 50_000)),
    "three gigabytes": _sparse,
    "a folder": lambda place: place.mkdir(),
    "a pipe": os.mkfifo,
    "a link to nothing": lambda place: place.symlink_to(place.parent / "nothing"),
    "a link to itself": lambda place: place.symlink_to(place),
}


@pytest.mark.parametrize("damage", DAMAGE.values(), ids=DAMAGE)
def test_a_damaged_file_is_made_again_without_a_word(
    damage: Callable[[Path], object], capfd: pytest.CaptureFixture[str]
) -> None:
    kept = Thing("kept")
    cache.store(SOURCE, kept)
    (place,) = cache_folder().glob("*.rules")
    assert cache.fetch(SOURCE, Thing) == kept
    place.unlink()
    damage(place)
    assert cache.fetch(SOURCE, Thing) is None
    cache.store(SOURCE, kept)
    assert cache.fetch(SOURCE, Thing) == kept
    assert capfd.readouterr() == ("", "")
    assert not list(cache_folder().glob("*.draft"))


def test_a_folder_that_is_not_empty_is_left_alone() -> None:
    cache.store(SOURCE, Thing("kept"))
    (place,) = cache_folder().glob("*.rules")
    place.unlink()
    place.mkdir()
    (place / "mine.txt").write_text("mine", encoding="utf-8")
    cache.store(SOURCE, Thing("kept"))
    assert cache.fetch(SOURCE, Thing) is None
    assert (place / "mine.txt").read_text(encoding="utf-8") == "mine"


def test_old_copies_go_and_what_cannot_go_stops_nothing() -> None:
    for number in range(cache.KEEP + 3):
        cache.store(b"%d" % number, Thing(str(number)))
    assert len(list(cache_folder().glob("*.rules"))) == cache.KEEP
    assert cache.fetch(b"%d" % (cache.KEEP + 2), Thing) == Thing(str(cache.KEEP + 2))
    stuck = cache_folder() / "00000000.rules"
    stuck.mkdir()
    os.utime(stuck, (0, 0))
    for number in range(3):
        cache.store(b"more %d" % number, Thing(str(number)))
    assert len(list(cache_folder().glob("*.rules"))) == cache.KEEP + 1
    assert stuck.is_dir()


def test_rules_are_checked_as_they_stand_in_the_pages(
    tmp_path: Path, base: Rulebase, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A caution planted in what is kept is shown by nobody who checks the rules."""
    shop = tmp_path / "shop"
    shop.mkdir()
    (shop / "cautions.yaml").write_text("hot-parts: Hot parts burn. Wear gloves.\n", encoding="utf-8")
    folders = [shipped("rules"), shop]
    planted = replace(base.cautions["hot-parts"], says="Gloves are not needed.")
    poisoned = replace(base, causes={}, cautions=base.cautions | {"hot-parts": planted})
    cache.store(cache.source(contents(folders)), poisoned)
    assert load(folders) == poisoned
    monkeypatch.setattr("advisor.cli.rules.run_examples", lambda *_: (0, []))
    checked = CliRunner().invoke(cli, ["rules", "check", "--rules", str(shop)])
    assert checked.exit_code == 0, checked.output
    assert checked.output.startswith(f"{len(base.causes)} causes, ")
    assert load(folders, cached=False).cautions["hot-parts"].says == "Hot parts burn. Wear gloves."
