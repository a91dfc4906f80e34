"""All phrasings of a rule base, kept beside its rules, and slips of spelling."""

import contextlib
from pathlib import Path
from unittest.mock import patch

import pytest
from msgspec.structs import replace

from advisor.places import cache_folder
from advisor.rulebase import Rulebase, cache
from advisor.rulebase.phrasebook import Phrasebook, phrasebook_of
from tests.small import rulebase, sign


def test_a_book_is_made_once(base: Rulebase) -> None:
    assert phrasebook_of(base) is phrasebook_of(base)


def test_a_cache_gives_the_same(own: Rulebase) -> None:
    fresh = Phrasebook(own)
    with _not_read():
        kept = Phrasebook(own)
    assert kept.signs == fresh.signs
    assert kept.causes == fresh.causes


def test_a_kept_book_is_not_that_of_other_pages(own: Rulebase) -> None:
    Phrasebook(own)
    hangs = replace(own.signs["hangs"], also=("sticks up high",))
    changed = replace(own, signs=own.signs | {"hangs": hangs})
    assert "sticks up high" in {one.says for one in Phrasebook(changed).signs.all}
    assert "sticks up high" not in {one.says for one in Phrasebook(own).signs.all}


def test_a_kept_book_is_not_that_of_other_code(own: Rulebase, monkeypatch: pytest.MonkeyPatch) -> None:
    Phrasebook(own)
    code = cache.code
    monkeypatch.setattr(cache, "code", lambda names: code(names) + b"# changed")
    with _not_read(), pytest.raises(AssertionError):
        Phrasebook(own)


@pytest.mark.parametrize("cut", [0, 3, 200, -1])
def test_a_damaged_copy_is_read_anew_and_replaced(own: Rulebase, cut: int) -> None:
    fresh = Phrasebook(own)
    [kept] = cache_folder().glob("*.rules")
    whole = kept.read_bytes()
    kept.write_bytes(whole[:cut])
    assert Phrasebook(own).signs == fresh.signs
    assert kept.read_bytes() == whole


def test_what_was_read_from_no_pages_is_not_kept(own: Rulebase) -> None:
    Phrasebook(replace(own, folders=()))
    assert not list(cache_folder().glob("*.rules"))


@pytest.fixture
def own(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Rulebase:
    """Return a small rule base as if read from pages, with a cache folder of its own."""
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    said = sign("hangs", title="Revs hang", also=("will not drop", "slow to come down"), well=("drops at once",))
    return replace(rulebase(said, sign("pops", title="Pops back")), folders=(str(tmp_path),))


def _not_read() -> contextlib.AbstractContextManager[object]:
    """Fail if the phrasings are read from the pages."""
    return patch("advisor.rulebase.phrasebook.phrasings_of_signs", side_effect=AssertionError)


@pytest.mark.parametrize(
    ("slip", "word"),
    [
        ("throtle", "throttle"),
        ("idel", "idle"),
        ("carburator", "carburettor"),
        ("compresion", "compression"),
        ("diaphram", "diaphragm"),
        ("lovley", "lovely"),
    ],
)
def test_a_slip_is_put_right(base: Rulebase, slip: str, word: str) -> None:
    assert phrasebook_of(base).spelt(slip) == word


@pytest.mark.parametrize("word", ["town", "week", "thirty", "hot", "zebra", "the", "1200", "left", "stored"])
def test_what_is_no_slip_stays(base: Rulebase, word: str) -> None:
    assert phrasebook_of(base).spelt(word) == word
