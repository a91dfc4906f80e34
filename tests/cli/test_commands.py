"""The commands as a user meets them: what they print, where, and how they end."""

import json
import os
import re
import subprocess
import sys
from collections import Counter
from pathlib import Path

import click
import pexpect
import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.cli import COMMANDS, cli
from advisor.places import shipped
from advisor.rulebase import load
from tests.conftest import CaseFile

DEMO = sorted(shipped("cases_demo").glob("*.yaml"))
ESCAPE = "\x1b["


def run(*words: str) -> Result:
    """Run a command in this process."""
    return CliRunner().invoke(cli, [str(word) for word in words])


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help(name: str) -> None:
    result = run(name, "--help")
    assert result.exit_code == 0
    assert len(result.output.splitlines()) > 4


def test_help_lists_every_command() -> None:
    assert all(name in run("--help").output for name in COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_the_list_of_commands_says_what_each_says_of_itself(name: str) -> None:
    command = cli.get_command(click.Context(cli), name)
    assert command is not None
    assert command.help is not None
    assert " ".join(command.help.split("\n\n")[0].split()) == COMMANDS[name]


def test_the_list_of_commands_imports_none_of_them() -> None:
    code = "import sys; from advisor.cli import cli; cli(['--help'], standalone_mode=False); print(sorted(sys.modules))"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout
    assert "advisor.cli'" in loaded
    assert not any(name in loaded for name in ("advisor.cli.bench", "'numpy'", "'rapidfuzz'", "'rich'"))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_a_demo_case_fits_80_columns_and_leads_with_the_next_step(path: Path) -> None:
    result = run("diagnose", str(path))
    assert result.exit_code == 0, result.output
    lines = result.output.splitlines()
    assert all(len(line) <= 80 for line in lines)
    assert all(line == line.rstrip() for line in lines[3:])
    headings = [line for line in lines if re.fullmatch(r"[A-Z][A-Z ]+", line)]
    assert headings[0] in {"NEXT", "PUT RIGHT", "NONE OF THESE"}
    assert ("LIKELY" in headings[1:]) == (headings[0] != "NONE OF THESE")
    assert ESCAPE not in result.output


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_json_holds_all_that_is_promised(path: Path) -> None:
    found = json.loads(run("diagnose", str(path), "--format", "json").output)
    promised = {"causes", "next_checks", "signs", "set_aside", "cautions", "unexplained", "surprise"}
    assert promised <= set(found)
    for cause in found["causes"]:
        assert {"id", "side", "title", "probability", "remedy", "why"} <= set(cause)
        assert cause["side"] in {"left", "right", None}
        for why in cause["why"]:
            assert set(why) == {"sign", "side", "state", "title", "factor", "near", "rules", "from"}
    for check in found["next_checks"]:
        assert {"id", "side", "title", "minutes", "gain_bits", "outcomes"} <= set(check)
    chances = [cause["probability"] for cause in found["causes"]]
    assert chances == pytest.approx(sorted(chances, reverse=True), rel=1e-8)
    base = load([shipped("rules")])
    assert len(chances) == sum(2 if cause.sided else 1 for cause in base.causes.values())


# The headline troubles, and what the shipped cases must come to.
HEADLINES = {
    "mail-1-balance-wont-hold": ("put right", ("cable-end-sticking", "right")),
    "mail-2-idle-climbs-as-it-warms": ("put right", ("intake-joint-leak", "left")),
    "mail-3-uneven-drop": ("put right", ("idle-passage-blocked", "left")),
    "mail-4-shakes-at-cruise": ("put right", ("cable-slack-unequal", "left")),
    "mail-5-two-faults": ("put right", ("clearance-tight", "right")),
    "mail-6-nothing-fits": ("none fits", None),
    "mail-7-the-instrument": ("put right", ("gauge-at-fault", None)),
    "mail-8-recorded-idle": ("put right", ("intake-joint-leak", "right")),
}


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_the_demo_cases_come_to_what_they_are_for(path: Path) -> None:
    found = json.loads(run("diagnose", str(path), "--format", "json").output)
    kind, step_on = HEADLINES[path.stem]
    assert found["advice"]["kind"] == kind
    if step_on:
        step = found["next_checks"][0]["id"] if kind == "check" else found["advice"]["cause"]
        assert (step, found["advice"]["side"]) == step_on
    if path.stem == "mail-5-two-faults":
        assert found["order_of_work"] == [
            "A right valve clearance is tight",
            "Resistor plugs in resistor caps: too much resistance in series",
        ]


def test_explain_shows_facts_rules_signs_and_factors() -> None:
    said = run("explain", str(DEMO[3]), "cable-slack-unequal left").output
    assert "sign     More depression on the right at 2,500 rpm" in said
    assert "fact   column-off-idle right: 187 mmHg, left 148 mmHg; 39 mmHg against 10" in said
    assert "rule   more-depression-off-idle right: Off idle the cables set" in said
    assert "times likelier" in said


def test_explain_against_says_what_would_turn_it_round() -> None:
    words = ("explain", str(DEMO[3]), "cable-slack-unequal", "--against", "slide-sticking")
    assert "THE ORDER WOULD CHANGE IF" in run(*words).output
    found = json.loads(run(*words, "--format", "json").output)
    assert (found["first"], found["second"]) == ("cable-slack-unequal", "slide-sticking")
    assert found["turns"]
    for turn in found["turns"]:
        assert turn["second"] > turn["first"]


def test_a_turn_really_turns_it_round(case_file: CaseFile) -> None:
    """Tell the first sign that would do it, and the other cause is in front."""
    words = ("explain", str(DEMO[3]), "cable-slack-unequal left", "--against", "cable-fraying", "--format", "json")
    turn = next(one for one in json.loads(run(*words).output)["turns"] if not one["known"])
    state = "yes" if turn["state"] == "seen" else "no"
    line = (
        f"  {turn['sign']}: {{is: {state}, how: seen}}"
        if turn["side"] is None
        else f"  {turn['sign']}: {{{turn['side']}: {{is: {state}, how: seen}}}}"
    )
    text = DEMO[3].read_text(encoding="utf-8").replace("seen:\n", f"seen:\n{line}\n", 1)
    found = json.loads(run("diagnose", str(case_file(text)), "--format", "json").output)
    chances = {(cause["id"], cause["side"]): cause["probability"] for cause in found["causes"]}
    first = json.loads(run(*words).output)
    assert chances[first["second"], first["second_side"]] == pytest.approx(turn["second"])
    assert chances[first["first"], first["first_side"]] == pytest.approx(turn["first"])


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (["nothing"], "no cause is called 'nothing'"),
        (["plug-ded left"], "no cause is called 'plug-ded left' (did you mean 'plug-dead left'?)"),
        (["plug-dead left", "--against", "plug-dead left"], "are the same cause here"),
    ],
)
def test_explain_refuses(words: list[str], message: str) -> None:
    result = run("explain", str(DEMO[3]), *words)
    assert result.exit_code == 1
    assert message in result.output


def test_demo_shows_all_cases_in_turn() -> None:
    said = run("demo").output
    assert [said.index(path.name) for path in DEMO] == sorted(said.index(path.name) for path in DEMO)
    assert len(DEMO) >= 6


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda folder: folder / "none.yaml", "none.yaml: cannot be read: no such file or directory"),
        (lambda folder: folder, "this is a folder; a YAML file is needed"),
        (lambda folder: _write(folder, b""), "is empty; 'name: value' lines are needed"),
        (lambda folder: _write(folder, b"\x00\x01" * 5_000_000), "is over 1 MB"),
        (
            lambda folder: _write(folder, "seen: {é: yes}".encode("latin-1")),
            "is not UTF-8 text; save the file as UTF-8",
        ),
        (
            lambda folder: _write(folder, b"seen: {idle-hang: yes}"),
            "case.yaml:1: no sign is called 'idle-hang' (did you mean 'idle-hangs'?)",
        ),
    ],
)
def test_bad_input_is_one_message_and_exit_1(tmp_path: Path, make: object, message: str) -> None:
    result = run("diagnose", str(make(tmp_path)))  # type: ignore[operator]  # a function
    assert result.exit_code == 1
    assert message in result.output
    assert len(result.output.splitlines()) == 1
    assert "Traceback" not in result.output


def _write(folder: Path, data: bytes) -> Path:
    path = folder / "case.yaml"
    path.write_bytes(data)
    return path


def test_many_mistakes_are_cut_short(case_file: CaseFile) -> None:
    path = case_file("seen:\n" + "".join(f"  nonsense-{n}: yes\n" for n in range(40)))
    said = run("diagnose", str(path)).output.splitlines()
    assert len(said) == 21
    assert said[-1] == "... and 20 more"


def test_everything_seen_at_once_is_ranked_or_refused_clearly(case_file: CaseFile, base: object) -> None:
    signs = getattr(base, "signs").values()  # noqa: B009 - the fixture's type is the rule base's own
    text = "seen:\n" + "".join(
        f"  {sign.id}: {'left' if sign.exclusive else 'both' if sign.sided else 'yes'}\n" for sign in signs
    )
    result = run("diagnose", str(case_file(text)))
    assert result.exit_code == 0 or "hang together" in result.output
    assert "Traceback" not in result.output


@settings(max_examples=60, deadline=None)
@given(st.binary(max_size=300))
def test_no_file_whatever_gives_a_traceback(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    result = run("diagnose", str(_write(tmp_path_factory.mktemp("any"), data)))
    assert result.exit_code in {0, 1}
    assert result.exception is None or isinstance(result.exception, SystemExit)


def test_rules_folder_that_is_none() -> None:
    result = run("diagnose", str(DEMO[0]), "--rules", "/nowhere")
    assert result.exit_code == 1
    assert "this is not a folder" in result.output


def test_rules_show_knows_every_kind() -> None:
    for name in (
        "intake-joint-leak",
        "idle-hangs",
        "wet-the-joint",
        "weaker-at-idle",
        "drop-idle",
        "drop-apart",
        "slack-most",
        "half-order",
        "rear-wheel",
        "plugs",
        "jar",
        "hot-parts",
        "resistors-in-series",
        "instrument-at-fault",
        "u-tube-connected",
    ):
        result = run("rules", "show", name)
        assert result.exit_code == 0
        assert all(len(line) <= 80 for line in result.output.splitlines() if ".yaml:" not in line)


def test_rules_draw_writes_a_picture_once(tmp_path: Path) -> None:
    file = tmp_path / "joint.svg"
    for code, says in ((0, "is written"), (1, "is there already; it was left as it is")):
        result = run("rules", "draw", "intake-joint", str(file))
        assert (result.exit_code, says in result.output) == (code, True)
        assert "<svg" in file.read_text(encoding="utf-8")
    result = run("rules", "draw", "intake-jiont", str(tmp_path / "other.svg"))
    assert result.exit_code == 1
    assert "did you mean 'intake-joint'?" in result.output
    assert not (tmp_path / "other.svg").exists()


def test_rules_show_of_a_check_names_its_drawing() -> None:
    assert "drawing           intake-joint: An intake joint" in run("rules", "show", "wet-the-joint").output
    assert "advisor rules draw intake-joint FILE.svg" in run("rules", "show", "intake-joint").output


def test_usage_errors_end_with_2() -> None:
    assert run("diagnose").exit_code == 2
    assert run("diagnose", "x.yaml", "--format", "xml").exit_code == 2
    assert run("nonsense").exit_code == 2


def _process(*words: str, **environment: str) -> str:
    env = {**os.environ, **environment}
    done = subprocess.run(
        [sys.executable, "-m", "advisor", *words], capture_output=True, text=True, check=True, env=env
    )
    return done.stdout


def test_a_pipe_and_no_color_get_no_escape_codes() -> None:
    assert ESCAPE not in _process("diagnose", str(DEMO[0]))
    coloured = _on_terminal({})
    assert ESCAPE in coloured
    plain = _on_terminal({"NO_COLOR": "1"})
    assert ESCAPE not in plain
    assert "NEXT" in plain


def _on_terminal(extra: dict[str, str], columns: int = 80) -> str:
    env = {**os.environ, "TERM": "xterm-256color", **extra}
    env.pop("COLUMNS", None)
    child = pexpect.spawn(
        sys.executable,
        ["-m", "advisor", "diagnose", str(DEMO[0])],
        env=env,
        dimensions=(50, columns),
        encoding="utf-8",
    )
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    return str(child.before)


def test_a_narrow_terminal_is_filled_and_not_overrun() -> None:
    lines = _on_terminal({"NO_COLOR": "1"}, columns=50).splitlines()
    assert max(len(line) for line in lines) <= 50


def test_the_interactive_demo_waits_for_a_key_and_can_be_stopped() -> None:
    env = {**os.environ, "TERM": "dumb", "NO_COLOR": "1"}
    child = pexpect.spawn(sys.executable, ["-m", "advisor", "demo"], env=env, dimensions=(50, 80), encoding="utf-8")
    child.expect("Any key for the next case")
    child.send(" ")
    child.expect("2 of 8")
    child.expect("Any key for the next case")
    child.sendintr()
    child.expect(pexpect.EOF)
    child.close()
    assert child.exitstatus == 0
    assert "Traceback" not in str(child.before)


def test_diagnose_imports_nothing_heavy() -> None:
    code = (
        "import sys; from advisor.cli import cli; "
        f"cli(['diagnose', {str(DEMO[0])!r}], standalone_mode=False); "
        "sys.exit(str(sorted({'numpy', 'scipy', 'pandas', 'matplotlib', 'pint', 'rapidfuzz'} & set(sys.modules))))"
    )
    run("diagnose", str(DEMO[0]))  # fills the cache
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert done.stderr.strip() == "[]"


def test_explain_says_what_it_set_aside_and_what_is_not_exact(tmp_path: Path) -> None:
    """Thirty signs that hang together: fewer are weighed, some only nearly: both are said."""
    base = load([shipped("rules")])
    shown = Counter(link.sign for cause in base.causes.values() for link in cause.links)
    most = [name for name, _ in shown.most_common() if not base.signs[name].exclusive][:30]
    lines = [f"  {name}: {'left' if base.signs[name].sided else 'yes'}" for name in most]
    path = tmp_path / "case.yaml"
    path.write_text("\n".join(["seen:", *lines, ""]), encoding="utf-8")
    words = ("explain", str(path), "plug-fouled left", "--against", "plug-dead left")
    said = run(*words).output
    assert "(about): so many seen signs hang together" in said
    assert "SET ASIDE" in said
    assert all(len(line) <= 80 for line in said.splitlines())
    found = json.loads(run(*words, "--format", "json").output)
    assert any(one["near"] for one in (*found["weighed"], *found["turns"]))
    assert {one["what"] for one in found["set_aside"]} < set(most)
    alone = json.loads(run(*words[:3], "--format", "json").output)
    assert alone["set_aside"] == found["set_aside"]
