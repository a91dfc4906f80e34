"""Ctrl-C: one line or silence, from the first moment; a session ends with what it has to say."""

import signal
import subprocess
import sys
import time

import pytest

PROGRAM = """
import sys, time
from advisor import interrupt
interrupt.end_at_once()
{}
"""
WAIT = "print('ready', flush=True); time.sleep(20)"


def started(code: str, *, ignored: bool = False) -> "subprocess.Popen[str]":
    """Return a program that has said it is ready; its parent may have told it to ignore Ctrl-C."""
    words = [sys.executable, "-c", PROGRAM.format(code)]
    if ignored:
        words = ["/bin/sh", "-c", 'trap "" INT; exec "$0" "$@"', *words]
    run = subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    assert run.stdout
    assert run.stdout.readline() == "ready\n"
    return run


def pressed(run: "subprocess.Popen[str]") -> tuple[int, str]:
    """Press Ctrl-C, wait for the end, and return the exit code and what was said."""
    run.send_signal(signal.SIGINT)
    said = run.communicate(timeout=10)
    return run.returncode, "".join(said)


def test_it_ends_at_once_with_one_line() -> None:
    assert pressed(started(WAIT)) == (130, "\nStopped.\n")


def test_a_held_one_is_taken_when_a_line_is_waited_for() -> None:
    code = """
interrupt.hold()
print('ready', flush=True)
until = time.monotonic() + 1
while time.monotonic() < until:
    pass
print('worked out')
try:
    with interrupt.raised():
        print('waits')
except KeyboardInterrupt:
    sys.exit('it goes on from here')
"""
    assert pressed(started(code)) == (1, "worked out\nit goes on from here\n")


def test_a_second_one_ends_a_session_that_is_at_work() -> None:
    run = started("interrupt.hold(); " + WAIT)
    run.send_signal(signal.SIGINT)
    time.sleep(0.3)
    assert run.poll() is None
    assert pressed(run) == (130, "\nStopped.\n")


def test_while_a_line_is_waited_for_it_is_raised() -> None:
    code = f"""
interrupt.hold()
try:
    with interrupt.raised():
        {WAIT}
except KeyboardInterrupt:
    sys.exit('it goes on from here')
"""
    assert pressed(started(code)) == (1, "it goes on from here\n")


@pytest.mark.parametrize("code", ["", "interrupt.hold()", "interrupt.raised().__enter__()"])
def test_a_program_that_was_told_to_ignore_it_does(code: str) -> None:
    ends = "print('ready', flush=True); time.sleep(0.5); print('to its end')"
    assert pressed(started(f"{code}\n{ends}", ignored=True)) == (0, "to its end\n")


def test_a_program_that_only_imports_the_package_keeps_its_own_way() -> None:
    code = "import signal; from advisor import cli; print(signal.getsignal(2) is signal.default_int_handler)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "True\n"


def test_the_command_answers_to_it_before_the_slow_imports() -> None:
    code = "import sys, signal; import advisor.__main__; print(signal.getsignal(2).__module__, 'click' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout == "advisor.interrupt False\n"
