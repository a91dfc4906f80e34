"""Hostile words, bytes and files, and how plain text is damaged. All drawn from a seed."""

import os
import random
import socket
from collections.abc import Callable
from pathlib import Path

from advisor.places import shipped
from tests.attack.attack import Word

WORDS: tuple[Word, ...] = (
    *("", " ", "0", "-0", "-1", "1", "2", "3", "99", "9" * 5000, "-" + "9" * 400, "1e999", "-1e999", "1e-999", "nan"),
    *(
        "inf",
        "-inf",
        "0x10",
        "1_000",
        "1,5",
        "1.5.5",
        "½",
        "²",
        "٣",
        "\uff11\uff12",
        "1/0",
        "9**9**9",
        "--",
        "-x",
        "--help",
    ),
    *(
        "left",
        "right",
        "both",
        "neither",
        "left right",
        "yes",
        "no",
        "all",
        "stop",
        "undo",
        "undo 3",
        "undo " + "9" * 5000,
    ),
    *("240 mmHg", "left 240 mmHg right 205 mmHg", "100 km/h", "1e300 km/h", "0 mm", "-5 mm", "nan mm", "12 furlongs"),
    *(
        "rpm",
        "1500rpm",
        "1500 rpm rpm",
        "1300 rpm +- 20",
        "open",
        "∞ ohm",
        "2.5 Mohm",
        "120/90-18",
        "000/00-00",
        "0/0-0",
    ),
    *(
        "\x1b[2J\x1b]0;x\x07",
        "\u202eelif\u2066",
        "\u200b\u200d\ufeff",
        "👩\u200d🔧",
        "a\tb",
        "a\rb",
        "x" * 300,
        "x" * 20_000,
    ),
    *(
        "'",
        '"',
        "`",
        "$(id)",
        "; DROP TABLE session; --",
        "%s%n%x",
        "{side}",
        "{0.__class__}",
        "{{",
        "\\",
        "\\x00",
        "___",
    ),
    *(
        "- a: b",
        "a: b: c",
        "&a *a",
        "!!python/object/apply:os.system [id]",
        "? x",
        "[[[[",
        "}}}}",
        "#",
        "|",
        ">",
        "@",
        "~",
    ),
    *(
        "idle-hangs",
        "idle-hangs left",
        "intake-joint-leak left",
        "plug-dead:right",
        "column-idle",
        "drop-idle",
        "carburettor",
    ),
    *(
        "where",
        "why",
        "help",
        "again",
        "what if 2",
        "what if " + "9" * 30,
        "why not plug-dead",
        "why not \x1b[2J",
        "also x",
    ),
    *(
        "also the revs hang",
        "also " + "left right " * 2000,
        "hand over",
        "save",
        "tools",
        "not known",
        "can't",
        "already done",
    ),
    *(b"caf\xe9", b"\xff\xfe\xfd", b"\xed\xa0\x80", b"\xf0\x9f", b"\xc0\xaf", b"\x80\x9b2J"),
    *("the revs hang after a blip", "it dies at every red light", "smells of fuel", "won't start", "runs well"),
)
CASES = sorted(shipped("cases_demo").glob("*.yaml"))
LOGS = sorted((shipped("cases_demo") / "logs").glob("*.csv"))


def word(rng: random.Random) -> Word:
    """Return one hostile word, or noise."""
    return noise(rng, 60).replace(b"\0", b"") if rng.random() < 0.1 else rng.choice(WORDS)


def noise(rng: random.Random, longest: int) -> bytes:
    """Return random bytes."""
    return rng.randbytes(rng.randint(1, longest))


def lines(rng: random.Random, usual: tuple[str, ...]) -> bytes:
    """Return what is typed in a session: mostly what people type, and something hostile now and then."""
    found: list[bytes] = []
    for _ in range(rng.randint(0, 25)):
        one: Word = rng.choice(usual) if rng.random() < 0.6 else word(rng)
        found.append(one.encode(errors="surrogateescape") if isinstance(one, str) else one)
    if rng.random() < 0.1:
        found.append(rng.randbytes(rng.randint(0, 3000)))
    return b"\n".join(found)


# What one damage makes of a line: the lines instead of it.
Harm = Callable[[random.Random, str], list[str]]
HARM: tuple[Harm, ...] = (
    lambda _, __: [],
    lambda _, row: [row, row],
    lambda rng, row: [" " * rng.randint(0, 12) + row.lstrip()],
    lambda _, row: [row.replace("- ", "  ", 1)],
    lambda rng, row: [row, " " * rng.randint(0, 8) + rng.choice(("zzz: 1", "- zzz", "idle-hangs: yes", "x"))],
    lambda rng, row: [f"{row.partition(':')[0]}: {_text(word(rng))}"],
    lambda rng, row: [row.replace(rng.choice((*' :-,[]{}"',)), _text(word(rng)), 1)],
    lambda rng, row: [row[: rng.randint(0, len(row))]],
    lambda rng, row: [f"{row} {_text(word(rng))}"],
    lambda _, row: [row.replace("left", "right") if "left" in row else row.replace("yes", "no")],
    lambda _, row: [row.swapcase()],
)


def damaged(rng: random.Random, text: str) -> str:
    """Return a page or case with one to three lines of it damaged, or moved elsewhere."""
    rows = text.split("\n")
    for _ in range(rng.randint(1, 3)):
        at = rng.randrange(len(rows))
        if rng.random() < 0.1:
            rows.insert(rng.randrange(len(rows)), rows.pop(at))
        else:
            rows[at : at + 1] = rng.choice(HARM)(rng, rows[at])
        rows = rows or ["x"]
    return "\n".join(rows)


def _text(one: Word) -> str:
    text = one.decode("latin-1") if isinstance(one, bytes) else one
    return text.replace("\n", " ")[:400]


def files(folder: Path, rng: random.Random) -> list[Word]:
    """Return the names of files that are not what is expected, made in this folder, and of some that are."""
    made: list[Word] = []

    def keep(name: str, data: bytes) -> None:
        (folder / name).write_bytes(data)
        made.append(str(folder / name))

    keep("case.yaml", CASES[0].read_bytes())
    keep("log.csv", LOGS[0].read_bytes())
    keep("empty", b"")
    keep("zeros.csv", bytes(5000))
    keep("noise.csv", rng.randbytes(5000))
    keep("noise.yaml", rng.randbytes(5000))
    keep("wide.csv", b"time s,revs rpm" + b",x" * 200_000 + b"\n1,2\n")
    keep("header.csv", b"time s,revs rpm," + b"x" * 300_000 + b"\n1,2,3\n")
    keep("epoch.csv", LOGS[0].read_bytes() + b"1700000000,1100,90\n")
    keep("slow.csv", b"time s,revs rpm\n" + b"".join(b"%d,1000\n" % (120 * row) for row in range(300)))
    keep("back.csv", b"time s,revs rpm\n" + b"".join(b"%d,1000\n" % (300 - row) for row in range(300)))
    keep("nan.csv", b"time s,revs rpm\n" + b"nan,inf\n" * 300)
    keep("quote.csv", b'time s,revs rpm\n"1,2\n' + b"3,4\n" * 3000)
    keep("utf16.yaml", "case: x\n".encode("utf-16"))
    keep("deep.yaml", b"a:\n" + b"".join(b" " * row + b"- \n" for row in range(400)) + b"[" * 20_000)
    keep("bomb.yaml", b"a: &a [x, x]\nb: &b [*a, *a]\nc: [*b, *b]\n")
    keep("names.yaml", b"seen:\n" + b"".join(b"  unknown-sign-%d: yes\n" % row for row in range(30_000)))
    keep("shakes.yaml", b"shakes:\n" + b"- {revs: 3500 rpm}\n" * 30_000)
    keep("line.yaml", b"complaint: " + b"x" * 900_000)
    keep("big.yaml", b"# x\n" * 500_000)
    keep("sheet-is-pipe.yaml", b"bike: {sheet: pipe}\ncomplaint: x\n")
    keep("sheet-outside.yaml", b"bike: {sheet: /etc/passwd}\ncomplaint: x\n")
    keep("log-outside.yaml", b"logs: {idle: {file: ../../../../dev/zero}}\n")
    keep("store.sqlite", b"SQLite format 3\0" + rng.randbytes(3000))
    os.mkfifo(folder / "pipe")
    with (folder / "huge").open("wb") as huge:
        huge.truncate(3_000_000_000)
    (folder / "loop").symlink_to("loop")
    (folder / "outside.yaml").symlink_to("/etc/passwd")
    with socket.socket(socket.AF_UNIX) as one:
        one.bind(str(folder / "socket"))
    odd = os.fsencode(folder) + b"/odd\xff\x1b[2J.yaml"
    with open(odd, "wb") as stream:  # noqa: PTH123 - a Path cannot have this name
        stream.write(b"case: x\n")
    made += [
        odd,
        *(str(folder / one) for one in ("pipe", "huge", "loop", "outside.yaml", "socket", "none", "none/none")),
    ]
    return [
        *made,
        str(folder),
        "/dev/zero",
        "/dev/null",
        "/dev/full",
        "/proc/self/mem",
        "/proc/kmsg",
        str(shipped("rules")),
    ]
