"""Bad input over every command, its options and what is typed into it: one message, and nothing breaks."""

import random
from collections.abc import Callable, Iterator
from pathlib import Path

import click
import pytest

from advisor.cli import cli
from tests.attack import hostile
from tests.attack.attack import Tally, Word, call

pytestmark = pytest.mark.slow
PARTS, EACH = 20, 105
# What is typed in a session or a practice round, as people do.
USUAL = (
    *("1", "1", "1", "2", "3", "1 2", "workshop", "mechanic", "all", "not known", "can't", "undo", "where", "why", ""),
    *(
        "list",
        "look 1",
        "measure 1",
        "left",
        "right",
        "both",
        "fix 1",
        "give up",
        "know",
        "handbook",
        "more",
        "stop",
        "help",
    ),
)
# Without these a command would do a long piece of honest work. What is drawn comes after them, and counts.
SHORT: dict[str, tuple[str, ...]] = {"score": ("--cases", "1", "--planned", "0", "--jobs", "1")}


def commands(group: click.Group, before: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], click.Command]]:
    """Yield every command with the words that call it."""
    context = click.Context(group)
    for name in group.list_commands(context):
        found = group.get_command(context, name)
        assert found is not None
        if isinstance(found, click.Group):
            yield from commands(found, (*before, name))
        else:
            yield (*before, name), found
    if before == ("measure",):
        for reading in ("drop-idle", "column-idle", "idle-speed", "plug-gap-left"):
            found = group.get_command(context, reading)
            if found is not None:
                yield (*before, reading), found


def drawn(rng: random.Random, command: click.Command, files: list[Word]) -> list[Word]:
    """Return arguments and options for a command, most of them hostile."""
    words: list[Word] = []
    for one in command.params:
        many = rng.randint(1, 3) if one.nargs == -1 else one.nargs
        values = [_value(rng, one, files) for _ in range(many)]
        if isinstance(one, click.Argument):
            if one.required or rng.random() < 0.8:
                words += values
        elif rng.random() < 0.35 and "--help" not in one.opts:
            words += [one.opts[0], *([] if getattr(one, "is_flag", False) else values)]
    return words


def _value(rng: random.Random, one: click.Parameter, files: list[Word]) -> Word:
    if isinstance(one.type, click.Path):
        return rng.choice(files) if rng.random() < 0.9 else hostile.word(rng)
    if isinstance(one.type, click.Choice) and rng.random() < 0.8:
        return str(rng.choice(list(one.type.choices)))
    if isinstance(one.type, click.IntRange) and rng.random() < 0.5:
        return str(rng.randint(0, 3))
    return rng.choice(files) if rng.random() < 0.05 else hostile.word(rng)


@pytest.mark.parametrize("part", range(PARTS))
def test_every_command_takes_bad_input(part: int, tmp_path: Path, ended: Callable[[Tally], None]) -> None:
    rng = random.Random(f"bad input {part}")
    tally = Tally("bad input")
    (tmp_path / "files").mkdir()
    files = hostile.files(tmp_path / "files", rng)
    known = [one for one in commands(cli) if one[0] != ("serve",)]  # it waits to be ended where it can be begun
    for number in range(EACH):
        words, command = known[(part * EACH + number) % len(known)]
        rest = drawn(rng, command, files)
        if words == ("rules", "check") and "--rules" not in rest:
            rest += ["--rules", rng.choice(files)]  # the shipped pages alone are seconds of honest work
        call(
            tally,
            [
                *words,
                *SHORT.get(words[0], ()),
                *(one.replace("\0", "") if isinstance(one, str) else one for one in rest),
            ],
            hostile.lines(rng, USUAL),
            home=tmp_path,
        )
    ended(tally)
