"""Whatever is typed, no line ends a session or holds it up, and the store has all of it."""

import random
import time
from pathlib import Path

import pytest

from advisor.diagnose import Advisor
from advisor.rulebase import Rulebase
from advisor.session.dialogue import Dialogue
from advisor.session.events import Began
from advisor.session.hearing import Hearing
from advisor.session.shown import AskWords, Mistake
from advisor.session.store import Journal, Store, begun
from advisor.session.typed_line import LONGEST

SLOWEST = 2.0  # s of work for one line
BITS = (
    *(
        "\0",
        "\x1b[2J",
        "\ud800",
        "\udc80\ud83d",
        "\u202e",
        "\u200b",
        "\ufeff",
        "\n",
        "\r",
        "\t",
        "\u2028",
        "\U0001f600",
    ),
    *(
        "\N{SUPERSCRIPT TWO}",
        "\N{ARABIC-INDIC DIGIT THREE}",
        "\N{VULGAR FRACTION ONE HALF}",
        "\N{INFINITY}",
        "nan",
        "inf",
    ),
    *(
        "1",
        "0",
        "9" * 50,
        "9" * 4999,
        "1e999",
        "-",
        "--",
        "/",
        "9/0",
        ",",
        ".",
        "..",
        ":",
        ";",
        "'",
        '"',
        "\\",
        "`",
        "~",
    ),
    *(
        "{side}",
        "{",
        "}",
        "%s",
        "$(x)",
        "[bold]",
        "[/]",
        "#",
        "&",
        "*",
        "?",
        "!",
        "(",
        ")",
        "|",
        "<",
        ">",
        "\N{PLUS-MINUS SIGN}",
    ),
    *(
        "left",
        "right",
        "l",
        "r",
        "more by",
        "rpm",
        "mm",
        "kg",
        "300 rpm",
        "0.1 mm",
        "240 mmHg",
        "goes",
        "stops",
        "stalls",
    ),
)
COMMANDS = (
    *("1", "2", "3", "1 2", "1-3", "1-999", "0", "99", "not known", "can't", "undo", "undo 2", "undo all", "undo 0"),
    *(
        "where",
        "why",
        "help",
        "tools",
        "workshop",
        "rider",
        "all",
        "none",
        "hand over",
        "save x.yaml",
        "save /",
        "save ~a",
    ),
    *(
        "why not plug dead",
        "what if 1",
        "what if",
        "also it idles too slow",
        "it idles badly",
        "yes",
        "already done: 1",
    ),
    *(f"undo {'9' * 4000}", "9" * 4999, f"what if {'9' * 4990}", f"1 {'9' * 4990}", "what if 99999999999999999999"),
    *("left 1 " * 700, "1 " * 2499, "1" * 400 + " rpm", "why not " + "a " * 2400, "also " + "left side " * 480),
    *("save " + "x" * 4900, "x" * (LONGEST + 1), "also " + "word " * 100_000),
)
BEGINNINGS = ("", "the revs hang after a blip", "it idles badly", "xyzzy", "\ud800\0", "word " * 100_000)


def line(draw: random.Random, base: Rulebase) -> str:
    bits = "".join(draw.choice(["", " "]) + draw.choice(BITS) for _ in range(draw.randrange(1, 7)))
    match draw.randrange(8):
        case 0 | 1 | 2:
            return draw.choice(COMMANDS)
        case 3:
            return bits
        case 4:
            return draw.choice(["also", "why not", "what if", "save", "undo", "already done:"]) + bits
        case 5 | 6:
            return f"{draw.choice([*base.readings])} {draw.choice(['', 'left', 'right', 'left more by'])} {bits}"
    return "1"


def play(advisor: Advisor, hearing: Hearing, path: Path, seed: int, lines: int) -> None:
    draw = random.Random(seed)
    store = Store(path)
    at = Dialogue(advisor, begun(store), hearing=hearing)
    kind, through = draw.choice(["bench", "phone"]), seed % 3 > 0  # one in three goes no further than the opening
    at.begin(kind, BEGINNINGS[1] if through else draw.choice(BEGINNINGS))
    for said in (["workshop"] if kind == "bench" else []) + ["1"] if through else []:
        at.take(said)
    for _ in range(lines):
        said, before = line(draw, advisor.base), list(at.session.journal.events)
        begins = time.process_time()
        at.take(said)
        assert time.process_time() - begins < SLOWEST, (seed, said[:80])
        events = at.session.journal.events
        assert events[: len(before)] == before
        assert not at.over
    assert (at.session.journal.trouble, store.events(1) if events else []) == ("", events)
    again = Dialogue(advisor, Journal(store, 1, list(events)), at.place, hearing)
    assert again.session.state == at.session.state
    assert again.asked() == at.asked()
    store.close()


@pytest.fixture(scope="module")
def hearing(base: Rulebase) -> Hearing:
    """Return what all dialogues here hear with: its index is made once."""
    return Hearing(base)


@pytest.mark.wide
@pytest.mark.parametrize("seed", range(6))
def test_no_line_ends_a_session(advisor: Advisor, hearing: Hearing, tmp_path: Path, seed: int) -> None:
    play(advisor, hearing, tmp_path / "s.sqlite", seed, 12)


@pytest.mark.slow
def test_no_line_ends_a_session_in_many(advisor: Advisor, hearing: Hearing, tmp_path: Path) -> None:
    for seed in range(100, 500):
        play(advisor, hearing, tmp_path / f"{seed}.sqlite", seed, 14)


def test_a_beginning_that_is_too_long_is_said_and_asked_again(advisor: Advisor, hearing: Hearing) -> None:
    at = Dialogue(advisor, Journal(None), hearing=hearing)
    said, asks = at.begin("phone", "word " * 100_000)
    assert said == Mistake(
        says="this is 500,000 characters long, and 5,000 are taken; say it shorter, or in several lines"
    )
    assert asks == AskWords()
    assert at.session.journal.events == []
    at.take("it \ud83d\ude00 idles badly \ud800")  # two halves are one character; half a one is a mark
    (began,) = (one for one in at.session.journal.events if isinstance(one, Began))
    assert began.sentence == "it \U0001f600 idles badly \N{REPLACEMENT CHARACTER}"
