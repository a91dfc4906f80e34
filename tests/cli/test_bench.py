"""Sessions in a real terminal: to a fix, undo, resume after a kill, wrong input, narrow, plain, and no terminal."""

import os
import re
import shlex
import shutil
import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pexpect
import pytest
from click.testing import CliRunner, Result

from advisor.case import Means
from advisor.cli import cli
from advisor.places import shipped
from advisor.session.events import AtHand, Began, Event, Skipped
from advisor.session.store import Store

ESCAPE = "\x1b["
BLIP = "Blip the throttle"


@pytest.fixture
def home(tmp_path: Path) -> dict[str, str]:
    """Return an environment with stores of its own."""
    return {**os.environ, "XDG_DATA_HOME": str(tmp_path / "data"), "TERM": "xterm", "COLUMNS": "80"}


def start(home: dict[str, str], *words: str, columns: int = 80) -> "pexpect.spawn[str]":
    child = pexpect.spawn(
        sys.executable,
        ["-m", "advisor", *words],
        env={**home, "COLUMNS": str(columns)},
        encoding="utf-8",
        timeout=40,
        dimensions=(40, columns),
    )
    child.delaybeforesend = 0
    return child


def begun(home: dict[str, str], *words: str, columns: int = 80) -> "pexpect.spawn[str]":
    """Return a session at its first question: the revs hang, a workshop with all tools."""
    child = start(home, "bench", "the revs hang after a blip", *words, columns=columns)
    child.expect("Who is at the bike")
    child.sendline("workshop")
    child.expect("I understood this")
    child.expect(r"Numbers\?")
    child.sendline("1")
    child.expect("can't")  # a narrow window may break the line before it
    return child


def _before(child: "pexpect.spawn[str]") -> str:
    """Return what stood on the screen before what was waited for."""
    return str(child.before or "")


def question(text: str) -> str:
    """Return the last question's title on a screen."""
    plain = re.sub(r"\x1b\[[0-9;]*m", "", text).replace("\r", "")
    return plain.strip().splitlines()[0]


def test_from_a_sentence_to_a_fix(home: dict[str, str]) -> None:
    child = begun(home)
    child.sendline("banana left")  # a mistake, said and nothing lost
    child.expect("is not an answer here")
    child.sendline("where")
    child.expect("LIKELY NOW")
    child.expect("SO FAR")
    child.sendline("also pops back through a carburettor")
    child.expect(r"Numbers\?")
    child.sendline("1")
    child.expect("not known, can't")
    for _ in range(40):
        child.sendline("1")
        ends = ["It is put right", "Does it hold", "This is as far", "Nothing here"]
        seen = child.expect(["not known, can't", *ends, "Enter goes on to them"])
        if seen == len(ends) + 1:  # the step was too long for one screen
            child.sendline("")
            seen = child.expect(["not known, can't", *ends])
        if seen == 1:
            child.sendline("1")
            _all_holds(child)
            child.sendline("undo")
            child.expect("Does it hold")
            _all_holds(child)
            child.sendline("")
            child.expect("Fixed")
            break
        assert seen == 0
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0


def _all_holds(child: "pexpect.spawn[str]") -> None:
    """Answer that a repair holds, going on to the answers if they have no room beside the question."""
    if child.expect(["It all holds now", "Enter: the answers"]) == 1:
        child.sendline("")
        child.expect("It all holds now")
    child.sendline("1")
    child.expect("put right and proven")


def test_a_number_is_no_answer_before_the_answers_are_on_the_screen(home: dict[str, str]) -> None:
    child = start(home, "bench", "it shakes at cruise")
    for line in ("workshop", "1", *("not known",) * 20):
        child.expect(r"\n\? $")
        if "Enter: " in _before(child):
            break
        child.sendline(line)
    child.sendline("1")
    child.expect("The answers are not on the screen yet: Enter goes on to them")
    child.expect(r"\n\? $")
    while "  1  " not in _before(child):
        child.sendline("")
        child.expect(r"\n\? $")
    child.sendline("1")
    child.expect(r"\n\? $")
    assert "not on the screen" not in _before(child)
    child.sendline("stop")
    child.expect(pexpect.EOF)


def test_undo_and_wrong_input(home: dict[str, str]) -> None:
    child = begun(home)
    first = _before(child)
    child.sendline("undo 9")
    child.expect("answers to take back")
    child.sendline("not known")
    child.expect("not known, can't")
    assert question(_before(child).split("not known")[-1]) != question(first)
    child.sendline("99")
    child.expect("there is no answer 99")
    child.sendline("undo")
    child.expect("not known, can't")
    child.sendline("stop")
    child.expect("goes on from here")
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0


def test_what_contradicts_an_earlier_answer_is_said_at_once(home: dict[str, str]) -> None:
    said = piped(
        home,
        "workshop\n1\nalso it idles too slow\n1\nalso it idles too slow\n1\nwhere\nstop\n",
        "bench",
        "it idles too fast",
    )
    assert said.returncode == 0
    told = " ".join(said.stdout.split())
    mends = "Which is wrong? 'not 1' or 'not 2'."
    assert told.count(f"These cannot both be so: 1 Idle too fast; 2 Idle too slow. {mends}") == 1
    assert told.count("These two cannot both be so: Idle too fast; Idle too slow.") == 1  # in 'where'


def test_killed_and_resumed_it_asks_the_same(home: dict[str, str]) -> None:
    child = begun(home)
    child.sendline("not known")
    child.expect("not known, can't")
    child.sendline("not 1")
    child.expect("Now: not: Revs hang after a blip.")
    child.expect("can't")
    child.sendline("where")
    child.expect("SO FAR")
    likely = _before(child)
    child.kill(9)
    child.close()
    again = start(home, "bench", "--resume")
    again.expect("Session 1 goes on: the revs hang after a blip")
    again.expect("not known, can't")
    again.sendline("where")
    again.expect("SO FAR")
    assert _before(again).split("LIKELY NOW")[1].split() == likely.split("LIKELY NOW")[1].split()
    again.sendline("stop")
    again.expect(pexpect.EOF)


def test_tools_are_asked_once(home: dict[str, str]) -> None:
    child = begun(home)
    child.sendline("stop")
    child.expect(pexpect.EOF)
    child = start(home, "bench", "the revs hang after a blip")
    child.expect("I understood this")
    assert "Who is at the bike" not in _before(child)
    child.close(force=True)


@pytest.mark.parametrize("columns", [40, 60])
def test_a_narrow_window_is_kept_to(home: dict[str, str], columns: int) -> None:
    child = begun(home, columns=columns)
    plain = re.sub(r"\x1b\[[0-9;?]*[a-zA-Z]", "", _before(child))
    assert all(len(line.rstrip("\r")) <= columns for line in plain.split("\n"))
    child.close(force=True)


def test_no_colour_when_none_is_wanted(home: dict[str, str]) -> None:
    child = begun({**home, "NO_COLOR": "1"})
    assert ESCAPE + "1m" not in _before(child)
    child.close(force=True)


def piped(home: dict[str, str], text: str, *words: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "advisor", *words], input=text, capture_output=True, text=True, env=home, check=False
    )


def test_without_a_terminal_it_reads_lines_and_ends_with_them(home: dict[str, str]) -> None:
    done = piped(home, "workshop\n1\nnot known\nblah\n", "bench", "the revs hang after a blip")
    assert done.returncode == 0
    assert "is not an answer here" in done.stdout
    assert done.stdout.rstrip().endswith("goes on from here.")
    assert ESCAPE not in done.stdout
    assert all(len(line) <= 80 for line in done.stdout.splitlines())
    resumed = piped(home, "", "bench", "--resume")
    assert "Session 1 goes on" in resumed.stdout


def test_a_call_ends_with_a_sheet(home: dict[str, str]) -> None:
    done = piped(home, "1\n1\n1\nstop\n", "phone", "the idle hangs")
    assert done.returncode == 0
    assert "SAY" in done.stdout
    assert "READ BACK" in done.stdout
    for part in ("FOR THE WORKSHOP", "FOUND", "LIKELY CAUSES", "NEXT CHECKS", "THE RIDER NOW"):
        assert part in done.stdout


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (["bench", "--resume"], "no bench session yet; begin one: advisor bench what is wrong"),
        (["phone", "--resume"], "no phone session yet; begin one: advisor phone what is wrong"),
        (["balance", "--resume"], "no balance session yet; begin one: advisor balance\n"),
        (["bench", "--session", "7"], "there is no session 7"),
        (["bench", "--resume", "--store", "/proc/nowhere/s.sqlite"], "nothing can be resumed"),
    ],
)
def test_a_mistake_is_one_message(home: dict[str, str], words: list[str], says: str) -> None:
    done = piped(home, "", *words)
    assert done.returncode == 1
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_a_store_that_cannot_be_written_goes_on_in_memory(home: dict[str, str], tmp_path: Path) -> None:
    out = tmp_path / "kept.yaml"
    text = f"workshop\n1\nnot known\nsave {out}\nstop\n"
    done = piped(home, text, "bench", "--store", "/proc/nowhere/s.sqlite", "the revs hang after a blip")
    assert done.returncode == 0
    assert "going on in memory" in done.stdout.split("Who is at the bike")[0]
    assert "idle-hangs" in out.read_text(encoding="utf-8")
    assert piped(home, "", "diagnose", str(out)).returncode == 0


def test_a_session_goes_on_in_memory_where_its_store_can_only_be_read(home: dict[str, str], tmp_path: Path) -> None:
    store = tmp_path / "a shop" / "s.sqlite"
    piped(home, "workshop\n1\nnot known\nstop\n", "bench", "--store", str(store), "the revs hang after a blip")
    kept = {one.name: one.read_bytes() for one in store.parent.iterdir()}
    away = tmp_path / "not there.yaml"
    shut = f'mount --bind -o ro "{store.parent}" "{store.parent}" && exec "$@"'
    aside = [shutil.which("unshare") or "none", "-m", "bash", "-c", shut, "-"]  # root writes where he may not, else
    if aside[0] == "none" or subprocess.run([*aside, "true"], capture_output=True, check=False).returncode:
        pytest.skip("a folder cannot be made read-only here")
    done = subprocess.run(
        [*aside, sys.executable, "-m", "advisor", "bench", "--resume", "--store", str(store)],
        input=f"where\nsave {away}\nstop\n",
        capture_output=True,
        text=True,
        env=home,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert "goes on: the revs hang after a blip" in done.stdout
    assert "going on in memory" in done.stdout
    assert "not known" in done.stdout
    assert "idle-hangs" in away.read_text(encoding="utf-8")
    assert kept == {one.name: one.read_bytes() for one in store.parent.iterdir()}


def test_what_is_no_store_cannot_be_resumed(home: dict[str, str], tmp_path: Path) -> None:
    other = tmp_path / "notes.sqlite"
    other.write_text("not a store", encoding="utf-8")
    done = piped(home, "", "bench", "--resume", "--store", str(other))
    assert (done.returncode, done.stderr.count("\n")) == (1, 1)
    assert "is not a session store" in done.stderr


def test_more_words_and_a_sheet_are_taken_as_a_session_goes_on(home: dict[str, str]) -> None:
    piped(home, "workshop\n1\nstop\n", "bench", "the revs hang after a blip")
    sheet = str(next(iter(sorted((shipped("cases_demo") / "bikes").glob("*.yaml")))))
    done = piped(home, "1\nwhere\nstop\n", "bench", "--resume", "--bike", sheet, "pops back through a carburettor")
    assert done.returncode == 0, done.stderr
    assert "Pops back through a carburettor" in done.stdout.split("SO FAR")[1]


@pytest.mark.parametrize("undo", ["undo", "back", "undo all"])
def test_undo_of_what_was_understood_offers_it_again_the_dangerous_first(home: dict[str, str], undo: str) -> None:
    said = piped(home, f"1\n{undo}\n\nstop\n", "phone", "idles badly and petrol drips from the left carb").stdout
    assert said.count("I understood this") == 2
    assert said.split("I understood this")[1].splitlines()[1].strip() == "1  Fuel drips from the left carburettor"
    nothing = piped(home, "stop\n", "phone", "xyzzy").stdout
    assert "nothing is known by these words" in nothing


def test_a_question_mark_helps_and_takes_no_answer(home: dict[str, str]) -> None:
    said = piped(home, "1\n?\nwhere\nstop\n", "phone", "the revs hang after a blip").stdout
    assert "YOU MAY TYPE" in said
    assert "not known:" not in said


def test_a_sheet_asked_for_is_not_shown_again_at_the_end(home: dict[str, str]) -> None:
    once = piped(home, "1\nhand over\nstop\n", "phone", "the revs hang after a blip").stdout
    again = piped(home, "1\nhand over\nnot known\nstop\n", "phone", "the revs hang after a blip").stdout
    assert (once.count("FOR THE WORKSHOP"), again.count("FOR THE WORKSHOP")) == (1, 2)


def test_what_is_not_understood_is_asked_again_and_nobody_there_is_not_remembered(home: dict[str, str]) -> None:
    again = subprocess.run(
        [sys.executable, "-m", "advisor", "bench", "the revs hang after a blip"],
        input="banana\nmech\n1\ntools\nbananas\n1-9\nstop\n",
        capture_output=True,
        text=True,
        check=True,
        env=home,
    ).stdout
    assert again.count("Who is at the bike") == 2
    assert "'bananas' is not a tool of the list" in again
    assert "mechanic, 9 of the tools known to be there" in again


def test_what_is_dangerous_is_warned_of_before_anything_is_chosen(home: dict[str, str]) -> None:
    said = piped(home, "\nstop\n", "phone", "the throttle is stuck wide open").stdout
    assert "TAKE CARE, if it is so" in said.split("Numbers?")[0]
    assert "stop switch" in said.split("Numbers?")[0]


def test_in_place_of_numbers_other_words_or_stop_are_taken(home: dict[str, str]) -> None:
    said = piped(home, "the revs hang after a blip\n2\nwhere\nstop\n", "phone", "it idles badly").stdout
    assert "1 Revs hang after a blip" in " ".join(said.split("SO FAR")[1].split())
    stopped = piped(home, "stop\n", "phone", "it idles badly")
    assert (stopped.returncode, stopped.stdout.strip().splitlines()[-1][:5]) == (0, "Kept ")
    assert "I understood this" in piped(home, "", "phone", "--resume").stdout


def test_who_is_not_understood_may_choose_a_trouble(home: dict[str, str]) -> None:
    said = piped(home, "1\nwhere\nstop\n", "phone", "xyzzy").stdout
    assert "What is it most like?" in said
    assert "1 Bad idle" in " ".join(said.split("SO FAR")[1].split())


def test_an_undo_says_what_it_took_back_and_a_caution_is_long_once(home: dict[str, str]) -> None:
    said = piped(home, "1\n1\nundo\nstop\n", "phone", "smells of fuel").stdout
    assert said.count("READ BACK") == 1
    assert "Taken back: " in said
    words = " ".join(said.split())
    calls = said.split("FOR THE WORKSHOP")[0].count("Keep flames away"), words.count("smell of fuel may be a leak")
    assert calls == (3, 3)  # in full beside what was understood, with the first question, and on the sheet


def test_why_says_first_why_this_is_asked(home: dict[str, str]) -> None:
    said = piped(home, "1\nwhy\nstop\n", "phone", "the revs hang after a blip").stdout
    assert "WHY THIS IS NEXT" in said
    assert "→" in said.split("WHY THIS IS NEXT")[1].split("SPEAKS FOR IT")[0]


def test_stopped_before_the_first_question_it_goes_on_from_there(home: dict[str, str]) -> None:
    child = start(home, "bench", "the revs hang after a blip")
    child.expect("Who is at the bike")
    child.sendcontrol("c")
    child.expect("goes on from here")
    child.expect(pexpect.EOF)
    again = start(home, "bench", "--resume")
    again.expect("goes on: the revs hang after a blip")
    again.expect("Who is at the bike")
    again.sendcontrol("c")
    again.expect(pexpect.EOF)


def test_a_byte_that_is_no_utf_8_is_kept_as_a_mark(home: dict[str, str]) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "advisor", "phone", b"caf\xe9 dies at idle"],
        input=b"1\nnot \xff known\nstop\n",
        capture_output=True,
        env=home,
        check=False,
    )
    said = done.stdout.decode()
    assert done.returncode == 0, done.stderr
    assert "- Dies at idle" in said
    assert "is not an answer here" in said


@pytest.mark.slow
@pytest.mark.parametrize("nothing", ["none", "Nothing", "no", "dunno", ""])
def test_none_of_the_numbers_can_be_said_in_words(home: dict[str, str], nothing: str) -> None:
    said = piped(home, f"{nothing}\n1\nstop\n", "phone", "it idles badly").stdout
    assert said.count("Numbers?") == 2  # what was understood, then the main troubles
    assert "- Bad idle" in said


def test_a_file_that_cannot_be_written_is_one_message(home: dict[str, str], tmp_path: Path) -> None:
    text = f"1\nsave ~nobody at all/x.yaml\nsave {tmp_path}\nsave {tmp_path / 'kept.yaml'}\nstop\n"
    done = piped(home, text, "phone", "the revs hang after a blip")
    assert (done.returncode, done.stderr) == (0, "")
    assert "there is no such home folder" in done.stdout
    assert "this is a folder" in " ".join(done.stdout.split())
    assert done.stdout.count("\nwritten: ") == 1
    assert (tmp_path / "kept.yaml").is_file()


def test_a_file_that_is_there_is_replaced_only_when_asked(home: dict[str, str], tmp_path: Path) -> None:
    out, store = tmp_path / "a.yaml", tmp_path / "s.sqlite"
    out.write_text("old", encoding="utf-8")
    text = f"1\nsave {out}\n2\nsave {store}\nwhere\nsave {out}"
    done = piped(home, text, "phone", "--store", str(store), "the revs hang after a blip")
    assert (done.returncode, done.stderr) == (0, "")
    said = " ".join(done.stdout.split())
    assert said.count("is there already: 1 replaces it, 2 leaves it as it is.") == 2
    assert said.count("left as it is:") == 2  # the input ended before the second answer
    assert said.count("this is a store of sessions") == 1
    assert out.read_text(encoding="utf-8") == "old"
    piped(home, f"save {out}\n1\n", "phone", "--store", str(store), "--resume")
    assert "idle-hangs" in out.read_text(encoding="utf-8")
    assert "goes on" in piped(home, "", "phone", "--store", str(store), "--resume").stdout


# Which session goes on


def run(home: Path, text: str, *words: str) -> Result:
    """Run a command in this process, with a store of its own."""
    return CliRunner(env={"XDG_DATA_HOME": str(home)}).invoke(cli, list(words), input=text)


def store_of(home: Path) -> Path:
    return home / "tuneup-advisor" / "sessions.sqlite"


def sessions(home: Path, *told: tuple[str, str, int]) -> None:
    """Keep sessions: (kind, words, how many answers)."""
    store = Store(store_of(home))
    for kind, words, many in told:
        number = store.begin()
        means = AtHand(Means(person="rider", tools=frozenset(), engine=""))
        events: list[Event] = [Began(kind, words, ()), means]
        events += [Skipped("watch-the-idle", None, "can't")] * many
        for seq, event in enumerate(events):
            store.append(number, seq, event)
    store.close()


CALLS = (("phone", "it dies at lights", 2), ("phone", "the left side is dead", 1), ("bench", "the revs hang", 3))


def test_sessions_are_listed_with_all_that_they_are_chosen_by(tmp_path: Path) -> None:
    sessions(tmp_path, *CALLS)
    listed = run(tmp_path, "", "phone", "--list")
    assert listed.exit_code == 0
    assert listed.output.splitlines() == [
        "CALLS",
        "  2  open, just now, 1 answer: the left side is dead",
        "  1  open, just now, 2 answers: it dies at lights",
        "'advisor phone --session NUMBER' goes on; '--sheet NUMBER' prints the sheet.",
    ]
    assert run(tmp_path, "", "phone", "--list", "Left", "dead").output.splitlines()[1:-1] == [
        "  2  open, just now, 1 answer: the left side is dead"
    ]
    assert "  3  open, just now, 3 answers: the revs hang\n" in run(tmp_path, "", "bench", "--list").output
    nothing = run(tmp_path, "", "phone", "--list", "xyzzy")
    assert (nothing.exit_code, nothing.output.count("\n")) == (1, 1)
    assert run(tmp_path, "", "phone", "--list", "--resume").exit_code == 1


def test_a_long_list_shows_the_newest_and_counts_the_rest(tmp_path: Path) -> None:
    sessions(tmp_path, *[("bench", "the revs hang " * 30, 0)] * 25)
    lines = run(tmp_path, "", "bench", "--list").output.splitlines()
    assert "  and 5 older: 'advisor bench --list WORDS' shows those with these words" in lines
    assert all(len(line) <= 80 for line in lines)


def test_a_list_makes_no_store(tmp_path: Path) -> None:
    for words in (["--list"], ["--resume"], ["--session", "1"]):
        assert run(tmp_path, "", "bench", *words).exit_code == 1
    assert not store_of(tmp_path).exists()


def test_the_last_session_at_the_bike_goes_on_and_others_are_counted(tmp_path: Path) -> None:
    sessions(tmp_path, ("bench", "the revs hang", 1), ("bench", "it dies", 1), CALLS[0])
    said = run(tmp_path, "", "bench", "--resume").output
    assert said.startswith(
        "Session 2 goes on: it dies (just now)\n1 other is open: 'advisor bench --list' shows them.\n"
    )
    assert said.endswith("Kept as session 2. 'advisor bench --session 2' goes on from here.\n")
    assert run(tmp_path, "", "bench", "--session", "1").output.startswith(
        "Session 1 goes on: the revs hang (just now)\n\n"
    )


def test_an_interrupted_call_never_opens_another_riders(tmp_path: Path) -> None:
    sessions(tmp_path, CALLS[0])
    assert "Call 1 goes on" in run(tmp_path, "stop\n", "phone", "--resume").output  # the only one that is open
    sessions(tmp_path, CALLS[1], CALLS[0], CALLS[2])
    assert "  1  sheet written, just now, 2 answers: it dies at lights" in run(tmp_path, "", "phone", "--list").output
    asked = run(tmp_path, "7\n2\n", "phone", "--resume").output
    assert asked.startswith("Which of these calls?\n  3  open, just now")
    assert "  1  " not in asked.split("Number?")[0]
    assert "! '7' is not a number of this list; write one, or nothing to leave it" in asked
    assert "Call 2 goes on: the left side is dead (just now)\n1 other is open" in asked
    left = run(tmp_path, "\n", "phone", "--resume")  # that call has its sheet by now, but was the last
    assert left.output.startswith("Which of these calls?\n  2  sheet written")
    assert left.exit_code == 1
    assert left.output.endswith("no session was opened; 'advisor phone --session NUMBER' opens one of them\n")


def test_a_session_is_chosen_by_words_of_its_complaint(tmp_path: Path) -> None:
    sessions(tmp_path, *CALLS, ("phone", "the left side spits", 0))
    assert "Call 1 goes on" in run(tmp_path, "", "phone", "--session", "dies LIGHTS").output
    assert "These have the words. Which?" in run(tmp_path, "4\n", "phone", "--session", "left side").output


@pytest.mark.parametrize("number", ["0", "-3", "9" * 18, "9" * 5000, " ", "xyzzy"])
def test_a_session_that_is_not_there_is_one_line(tmp_path: Path, number: str) -> None:
    sessions(tmp_path, *CALLS)
    said = run(tmp_path, "1\n", "bench", "--session", number)
    assert (said.exit_code, said.output.count("\n")) == (1, 1), said.output
    assert len(said.output) < 300


def test_what_comes_before_a_damaged_event_is_gone_on_with(tmp_path: Path) -> None:
    sessions(tmp_path, ("phone", "it dies", 3), ("phone", "the revs hang", 2))
    with closing(sqlite3.connect(store_of(tmp_path), isolation_level=None)) as database:
        database.execute("UPDATE entry SET event = '{' WHERE session = 1 AND seq = 4")
    assert "  1  damaged, just now, 2 answers before that: it dies" in run(tmp_path, "", "phone", "--list").output
    for leaves in ("2\n", "", "\n", "what\n"):
        said = run(tmp_path, leaves, "phone", "--session", "1")
        assert said.exit_code == 1
        assert "event 5 is damaged or missing; the 4 before it can be read" in " ".join(said.output.split())
        assert (
            "  1  go on with the 2 answers before it, in a new session\n  2  leave it as it is\nNumber?\n"
            in said.output
        )
        assert said.output.endswith("session 1 was left as it is; 'advisor phone --list' shows the others\n")
    goes_on = run(tmp_path, "1\nwhere\nstop\n", "phone", "--session", "1").output
    assert "Call 3 goes on: it dies\n" in goes_on
    assert goes_on.split("SO FAR")[1].split("FOR THE WORKSHOP")[0].count("can't: ") == 2
    assert "Kept as call 3." in goes_on
    assert "Call 2 goes on" in run(tmp_path, "stop\n", "phone", "--session", "2").output
    with closing(sqlite3.connect(store_of(tmp_path))) as database:
        assert database.execute("SELECT count(*) FROM entry WHERE session = 1").fetchone() == (5,)


def test_a_session_begun_with_a_shops_rules_goes_on_without_them(tmp_path: Path) -> None:
    shop = tmp_path / "shop rules"
    (shop / "felt" / "signs").mkdir(parents=True)
    sign = "title: Sings a tune\n  plain: It sings.\n  question: Does it sing?\n  also: [sings a tune]"
    page = f"sings-a-tune:\n  {sign}\n  sides: none\n  seen by: rider\n  healthy: never\n"
    (shop / "felt" / "signs" / "shop.yaml").write_text(page, encoding="utf-8")
    check = "title: Listen\n  do: [Listen.]\n  sides: once\n  who: rider\n  how: told\n  minutes: 1\n  place: method"
    sings, not_so = (
        '{says: "It sings.", shows: {sings-a-tune: yes}}',
        '{says: "It is silent.", shows: {sings-a-tune: no}}',
    )
    page = f"listen-to-it:\n  {check}\n  outcomes:\n    - {sings}\n    - {not_so}\n"
    (shop / "felt" / "checks.yaml").write_text(page, encoding="utf-8")
    rule = "when:\n    - {sign: sings-a-tune}\n  remarks: Let it sing.\n  reason: It sings.\n  source: from memory"
    seen, unseen = "{name: a, seen: {sings-a-tune: yes}, fires: yes}", "{name: b, seen: {sings-a-tune: no}, quiet: yes}"
    page = f"let-it-sing:\n  {rule}\n  examples:\n    - {seen}\n    - {unseen}\n"
    (shop / "felt" / "patterns.yaml").write_text(page, encoding="utf-8")
    begins = run(tmp_path, "1\n", "phone", "it sings a tune", "--rules", str(shop))
    assert "1  Sings a tune" in begins.output
    without = run(tmp_path, "where\nstop\n", "phone", "--resume")
    assert without.exit_code == 0
    said = " ".join(without.output.split())
    command = f"advisor phone --session 1 --rules '{shop}'"
    assert said.count("This session was begun with other rules") == 1
    assert f"({shop}). Not known here, but kept: the sign 'sings-a-tune'. '{command}' goes on with those." in said
    assert said.count("sings-a-tune (not known here)") == 2  # where it stands, and on the sheet
    again = run(tmp_path, "where\nstop\n", *shlex.split(command)[1:])
    assert "other rules" not in again.output
    assert "Sings a tune" in again.output.split("SO FAR")[1]


@pytest.mark.parametrize("words", [["--list"], ["--resume"], ["it dies"]])
@pytest.mark.parametrize("what", ["foreign", "newer", "damaged", "cut off", "folder", "pipe"])
def test_a_store_that_is_none_is_one_line_and_is_not_touched(tmp_path: Path, what: str, words: list[str]) -> None:
    sessions(tmp_path, *CALLS)
    path = store_of(tmp_path)
    if what in {"folder", "pipe"}:
        path.unlink()
        os.mkfifo(path) if what == "pipe" else path.mkdir()
    elif what in {"foreign", "newer"}:
        with closing(sqlite3.connect(path, isolation_level=None)) as database:
            database.execute(f"PRAGMA {'application_id' if what == 'foreign' else 'user_version'} = 77")
    else:
        data = path.read_bytes()
        path.write_bytes(data[:30] + bytes(4000) if what == "damaged" else data[:5000])
    kept = {one.name: one.read_bytes() if one.is_file() else b"" for one in path.parent.iterdir()}
    said = run(tmp_path, "stop\n", "phone", *words)
    assert "Traceback" not in said.output
    if words == ["it dies"]:
        assert said.exit_code == 0
        assert "going on in memory" in " ".join(said.output.split())
        assert "Not kept" in said.output
    else:
        assert (said.exit_code, said.output.count("\n")) == (1, 1), said.output
    assert kept == {one.name: one.read_bytes() if one.is_file() else b"" for one in path.parent.iterdir()}


def test_the_sheet_of_a_call_goes_to_the_screen_and_to_a_file_that_is_not_replaced_unasked(tmp_path: Path) -> None:
    out, other = tmp_path / "sheet.txt", tmp_path / "other.txt"
    out.write_text("mine", encoding="utf-8")
    typed = f"name: Ada Moss\n1\nsheet {out}\n2\nsheet {other}\nstop\n"
    said = run(tmp_path, typed, "phone", "the revs hang after a blip").output
    assert "noted: name: Ada Moss" in said
    assert f"left as it is: {out}".replace(" ", "") in "".join(said.split())
    assert out.read_text(encoding="utf-8") == "mine"
    page = other.read_text(encoding="utf-8")
    assert "rider     Ada Moss" in page
    assert "THE RIDER NOW" in page
    assert max(map(len, page.splitlines())) <= 80
    assert (
        "  1  sheet written, just now, 1 answer: Ada Moss: the revs hang" in run(tmp_path, "", "phone", "--list").output
    )
    for which in ("1", "ada"):
        assert "rider     Ada Moss" in run(tmp_path, "", "phone", "--sheet", which).output
    again = run(tmp_path, "maybe\n1\n", "phone", "--sheet", "1", "--into", str(out))
    assert again.exit_code == 0
    assert "! 'maybe' is not understood" in again.output
    assert "rider     Ada Moss" in out.read_text(encoding="utf-8")
    for wrong in (("--into", "x"), ("--sheet", "9"), ("--sheet", "1", "--resume"), ("--sheet", "nobody")):
        assert run(tmp_path, "", "phone", *wrong).exit_code == 1
