"""The user's folders are where they always were on Linux, and where the library says."""

import sys
from pathlib import Path

import platformdirs
import pytest

from advisor.places import APP, cache_folder, data_folder
from advisor.session.store import default_path


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the XDG folders are those of Linux")
def test_without_a_word_they_lie_in_the_home_folder(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    for name in ("XDG_CACHE_HOME", "XDG_DATA_HOME"):
        monkeypatch.delenv(name, raising=False)
    assert cache_folder() == tmp_path / ".cache" / "tuneup-advisor"
    assert data_folder() == tmp_path / ".local" / "share" / "tuneup-advisor"


def test_a_folder_that_is_set_is_heeded(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "a cache"))
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    assert cache_folder() == tmp_path / "a cache" / "tuneup-advisor"
    assert default_path() == tmp_path / "data" / "tuneup-advisor" / "sessions.sqlite"


@pytest.mark.parametrize("given", ["", "/somewhere/else", "not/absolute", "~/.mine"])
def test_the_cache_is_where_the_library_would_have_it(given: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", given)
    assert cache_folder() == platformdirs.user_cache_path(APP, appauthor=False)
