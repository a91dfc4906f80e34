"""Puts off the collection of garbage while many records are made that all stay: it would walk them again and again."""

import contextlib
import gc
from collections.abc import Iterator


@contextlib.contextmanager
def put_off() -> Iterator[None]:
    """Collect no garbage inside; whether it is collected afterwards is as before."""
    before = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if before:
            gc.enable()
