"""Garbage is left alone inside, and afterwards all is as before, whatever happened."""

import gc
from collections.abc import Iterator

import pytest

from advisor.garbage import put_off


@pytest.fixture(autouse=True, params=[True, False])
def before(request: pytest.FixtureRequest) -> Iterator[bool]:
    was = gc.isenabled()
    (gc.enable if request.param else gc.disable)()
    yield request.param
    (gc.enable if was else gc.disable)()


def test_nothing_is_collected_inside(before: bool) -> None:
    with put_off():
        assert not gc.isenabled()
        with put_off():
            assert not gc.isenabled()
        assert not gc.isenabled()
    assert gc.isenabled() is before


def test_an_error_leaves_it_as_it_was(before: bool) -> None:
    with pytest.raises(ZeroDivisionError), put_off():
        _ = 1 / 0
    assert gc.isenabled() is before
