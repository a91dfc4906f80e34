"""Damaged, foreign and odd session stores: the damage costs one session at most, and what is foreign is not touched."""

import random
import shutil
import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.attack.attack import Tally, call

pytestmark = pytest.mark.slow
PARTS, EACH = 6, 52
BEGUN = ("the revs hang after a blip", "it dies at every red light", "smells of fuel")
GARBAGE = (
    b"",
    b"{}",
    b"null",
    b"[1]",
    b"\xff\xfe",
    b"\0",
    b'{"type":"told"}',
    b'{"type":"later","x":1}',
    b"9" * 5000,
    b'{"type":"began","kind":7,"sentence":[]}',
    b'{"type":"undone","count":99999999999999999999999}',
    b'{"type":"answered","check":"gone","side":"left","says":"\\u001b[2J\\u202e","reports":[]}',
    b'{"type":"told","reports":[{"sign":"gone","side":"left","seen":true,"how":"hearsay"}]}',
    b'{"type":"put right","cause":"gone","side":"right"}',
    b'{"type":"skipped","check":"gone","side":null,"why":"x"}',
)


@pytest.fixture(scope="module")
def healthy(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a store with three sessions."""
    home = tmp_path_factory.mktemp("healthy")
    tally = Tally("healthy")
    for kind, sentence in zip(("bench", "phone", "bench"), BEGUN, strict=True):
        typed = b"workshop\n" if (kind, sentence) == ("bench", BEGUN[0]) else b""
        found = call(tally, [kind, sentence, "--store", "store"], typed + b"1\nnot known\n1\nstop\n", home=home)
        assert found.code == 0
    assert not tally.faults
    return home / "store"


def damage(rng: random.Random, store: Path) -> set[int]:
    """Damage a store and return the sessions that it may cost: all of them where the file itself is damaged."""
    if rng.random() < 0.4:
        store.write_bytes(rng.choice((_flipped, _cut, _overwritten, _replaced))(rng, store.read_bytes()))
        return {1, 2, 3}
    hit, place = rng.randint(1, 3), rng.randint(0, 3)
    habit = rng.choice((b"\xff", b"{}", b'{"person":"nobody","tools":["gone"],"engine":"x"}', 7))
    change, values, costs = rng.choice(
        (
            ("UPDATE entry SET event = ? WHERE session = ?", (rng.choice(GARBAGE), hit), {hit}),
            ("UPDATE entry SET event = ? WHERE session = ? AND seq = ?", (rng.choice(GARBAGE), hit, place), {hit}),
            ("DELETE FROM entry WHERE session = ? AND seq = ?", (hit, place), {hit}),
            ("UPDATE entry SET event = ? WHERE session = ?", (rng.choice((7, 2.5, "text", "{")), hit), {hit}),
            ("UPDATE habit SET value = ?", (habit,), set()),
            (
                "INSERT INTO entry (session, seq, event) VALUES (?, ?, ?)",
                (hit, rng.choice((-5, 90, 2**62)), b"x"),
                {hit},
            ),
        )
    )
    with sqlite3.connect(store) as database:
        database.execute(change, values)
    database.close()
    return costs


def _flipped(rng: random.Random, data: bytes) -> bytes:
    found = bytearray(data)
    for _ in range(rng.randint(1, 200)):
        found[rng.randrange(len(found))] = rng.randrange(256)
    return bytes(found)


def _cut(rng: random.Random, data: bytes) -> bytes:
    return data[: rng.randrange(len(data))]


def _overwritten(rng: random.Random, data: bytes) -> bytes:
    start = rng.randrange(len(data))
    return data[:start] + rng.randbytes(500) + data[start + 500 :]


def _replaced(rng: random.Random, _: bytes) -> bytes:
    return rng.randbytes(rng.randint(0, 5000))


@pytest.mark.parametrize("part", range(PARTS))
def test_a_damaged_store_costs_one_session_at_most(
    part: int, tmp_path: Path, healthy: Path, ended: Callable[[Tally], None]
) -> None:
    rng = random.Random(f"stores {part}")
    tally = Tally("damaged stores")
    for number in range(EACH):
        home = tmp_path / str(number)
        home.mkdir()
        shutil.copyfile(healthy, home / "store")
        costs = damage(rng, home / "store")
        kind = rng.choice(("bench", "phone"))
        how = rng.choice((["--resume"], ["--session", "1"], ["--session", "3"], ["the idle hunts"], []))
        typed = rng.choice((b"1\n1\nwhere\nwhy\nundo\nstop\n", b"2\nstop\n", b"workshop\n1\nnot known\nwhere\nstop\n"))
        before = tally.counts["tried"]
        call(tally, [kind, *how, "--store", "store"], typed, home=home)
        for session in {1, 2, 3} - costs:
            of = "phone" if session == 2 else "bench"
            found = call(tally, [of, "--session", str(session), "--store", "store"], b"where\nstop\n", home=home)
            if BEGUN[session - 1].encode() not in b" ".join(found.out.split()):
                tally.fault("lost", (part, number, session, costs), found)
        tally.counts["tried"] = before + 1
    ended(tally)


def _foreign(path: Path, rng: random.Random) -> None:
    with sqlite3.connect(path) as database:
        database.execute(
            rng.choice(("CREATE TABLE session (user TEXT)", "CREATE TABLE entry (a, b)", "CREATE TABLE x (y)"))
        )
        database.execute(f"PRAGMA application_id = {rng.choice((0, 7, 0x0F055112))}")
        database.execute(f"PRAGMA user_version = {rng.choice((0, 1, 99))}")
    database.close()


@pytest.mark.parametrize("number", range(12))
def test_what_is_foreign_is_not_touched(number: int, tmp_path: Path, ended: Callable[[Tally], None]) -> None:
    rng = random.Random(f"foreign {number}")
    tally = Tally("foreign stores")
    path = tmp_path / "store"
    if number % 3 == 2:
        path.write_text("case: my only copy\n" * rng.randint(1, 1000))
    else:
        _foreign(path, rng)
    before = path.read_bytes()
    for words in (["bench", "the revs hang"], ["bench", "--resume"], ["phone", "--session", "1"]):
        call(tally, [*words, "--store", "store"], b"workshop\n1\n1\nstop\n", home=tmp_path)
        if path.read_bytes() != before or {one.name for one in tmp_path.glob("store*")} != {"store"}:
            tally.fault("touched", words)
    ended(tally)
