"""A new page: its blanks are found, and once they are filled it passes the whole check."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from advisor.cli import cli
from advisor.rulebase import Rulebase

FILLED = {
    'title: "___ on the {side}"': 'title: "Loose idle jet on the {side}"',
    "met: ___": "met: seldom",
    "[___-sign-of-the-whole-bike]": "[off-idle-stumble]",
    "same side: [___]": "same side: [misfires-idle]",
    "settled by: ___": "settled by: try-the-idle-jet",
    "remedy: ___": "remedy: Tighten the jet, new washer, then mixture.",
    "minutes: ___": "minutes: 12",
    "# both sides at once: yes": "both sides at once: yes",
    "# also cures: [name-of-another-cause]": "also cures: [main-jet-loose]",
    "# new parts: yes": "new parts: yes",
    "cautions: ___": "cautions: [fuel-fire]",
    "then must hold: [___-sign-that-settles-it]": "then must hold: [idle-jet-loose]",
    "reason: ___": "reason: A loose jet lets fuel past its seat.",
    "name: ___": "name: a case",
    "___-sign-of-the-whole-bike: yes": "off-idle-stumble: yes",
    "___-sign-that-settles-it": "idle-jet-loose",
}
SIGN = {
    'title: "___ on the {side}"': 'title: "The {side} idle jet turns in its seat"',
    'plain: "___ on the {side}."': 'plain: "The {side} idle jet is not tight."',
    'question: "___ on the {side}?"': 'question: "Try the {side} idle jet with a screwdriver. Does it turn?"',
    "also: [___]": "also: [jet rattles about]",
    "seen by: ___": "seen by: mechanic",
    "healthy: ___": "healthy: never",
}
CHECK = {
    'title: "___ on the {side}"': 'title: "Try the {side} idle jet"',
    "do: [___]": 'do: ["Bowl off, try the {side} jet with a screwdriver."]',
    "who: ___": "who: mechanic",
    "how: ___": "how: seen",
    "tools: [___]": "tools: [screwdriver]",
    "minutes: ___": "minutes: 9",
    "cautions: [___]": "cautions: [fuel-fire]",
    'says: "___ is found."': 'says: "It turns."',
    'says: "___ is not found."': 'says: "It is tight."',
    "___-sign": "idle-jet-loose",
}


def _run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(cli, words)
    return result.exit_code, result.output


def _fill(path: Path, blanks: dict[str, str]) -> None:
    text = path.read_text(encoding="utf-8")
    for blank, filled in blanks.items():
        assert blank in text
        text = text.replace(blank, filled)
    assert "___" not in "".join(line for line in text.splitlines() if not line.lstrip().startswith("#"))
    path.write_text(text, encoding="utf-8")


@pytest.mark.slow
def test_new_pages_pass_once_filled(tmp_path: Path, base: Rulebase) -> None:
    shop = str(tmp_path)
    for kind, name in (("cause", "idle-jet-loose"), ("sign", "idle-jet-loose"), ("check", "try-the-idle-jet")):
        code, said = _run("rules", "new", kind, name, "--into", shop)
        assert code == 0, said
    code, said = _run("rules", "check", "--rules", shop)
    assert code == 1
    assert said.count("still to fill") > 8
    _fill(tmp_path / "carburettor/causes/idle-jet-loose.yaml", FILLED)
    _fill(tmp_path / "carburettor/signs/idle-jet-loose.yaml", SIGN)
    _fill(tmp_path / "carburettor/checks/try-the-idle-jet.yaml", CHECK)
    code, said = _run("rules", "check", "--rules", shop)
    assert (code, said.count(f"{len(base.causes) + 1} causes")) == (0, 1), said


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("cause", "Big Leak"), "cannot be a name; use small letters"),
        (("cause", "../leak"), "cannot be a name"),
        (("cause", "plug-dead"), "there is a cause called 'plug-dead' already"),
        (("cause", "new-one", "--place", "garden"), "'garden' is not a place; one of: valves"),
        (("cause", "new-one", "--place", "felt"), "'felt' is not a place; one of: valves"),
        (("check", "new-one", "--place", "garden"), "chassis, felt"),
    ],
)
def test_refuses(tmp_path: Path, words: tuple[str, ...], message: str) -> None:
    code, said = _run("rules", "new", *words, "--into", str(tmp_path))
    assert code == 1
    assert message in said
    assert not list(tmp_path.rglob("*.yaml"))


def test_writes_over_nothing(tmp_path: Path) -> None:
    assert _run("rules", "new", "cause", "new-one", "--into", str(tmp_path))[0] == 0
    code, said = _run("rules", "new", "cause", "new-one", "--into", str(tmp_path))
    assert code == 1
    assert "it was left as it is" in said
    blocked = tmp_path / "file"
    blocked.write_text("x", encoding="utf-8")
    code, said = _run("rules", "new", "cause", "new-one", "--into", str(blocked))
    assert code == 1
    assert "cannot be written" in said


def test_a_cause_has_one_page_in_one_place(tmp_path: Path) -> None:
    code, _ = _run("rules", "new", "cause", "my-fault", "--into", str(tmp_path))
    assert code == 0
    code, told = _run("rules", "new", "cause", "my-fault", "--place", "fuel", "--into", str(tmp_path))
    assert code == 1
    assert "one cause has one page" in told


@pytest.mark.parametrize(("place", "asked"), [("fuel", False), ("felt", True)])
def test_only_a_felt_check_asks_for_its_stage(tmp_path: Path, place: str, asked: bool) -> None:
    code, _ = _run("rules", "new", "check", "ask-me", "--place", place, "--into", str(tmp_path))
    assert code == 0
    page = (tmp_path / place / "checks/ask-me.yaml").read_text(encoding="utf-8")
    assert ("  place: ___\n" in page) == asked
