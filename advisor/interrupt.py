"""Ctrl-C: from the first moment a clean end, never a traceback.

By default it ends the process at once with one line: all that counts has been kept by then, and a file is written whole
or not at all. A session holds it while an answer is worked out, and takes it when it waits for the next line, so that
it can say where it goes on; a second Ctrl-C ends it at once. Nothing of this is done to a program that only imports
this package, or to one started with Ctrl-C ignored, as by nohup.
"""

import os
import signal
from collections.abc import Iterator
from contextlib import contextmanager

STOPPED = 128 + signal.SIGINT  # how shells report a command that an interrupt has ended


class _Hold:
    """Whether this process answers to Ctrl-C here, and whether one was pressed and is held."""

    ours = False
    pressed = False


def end_at_once() -> None:
    """From now on, Ctrl-C ends the process with one line. Called first of all, before the slow imports."""
    if _Hold.ours or signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _ended)
        _Hold.ours = True


def hold() -> None:
    """From now on, hold a Ctrl-C until a line is waited for; a second one ends the process."""
    if _Hold.ours:
        signal.signal(signal.SIGINT, _held)


@contextmanager
def raised() -> Iterator[None]:
    """Raise KeyboardInterrupt for a Ctrl-C in here, and for one that was held before."""
    if _Hold.pressed:
        _Hold.pressed = False
        raise KeyboardInterrupt
    if not _Hold.ours:
        yield
        return
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _ended(*_: object) -> None:
    os.write(2, b"\nStopped.\n")
    os._exit(STOPPED)


def _held(*_: object) -> None:
    if _Hold.pressed:
        _ended()
    _Hold.pressed = True
