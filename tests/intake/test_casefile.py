"""The case file: what it takes, and one clear message for each mistake."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.errors import CaseError, Problem
from advisor.intake.casefile import parse_case, read_case
from advisor.rulebase import Rulebase
from advisor.yaml_nodes import read_text
from tests.conftest import CaseFile


def test_reads_a_case(case_file: CaseFile, base: Rulebase) -> None:
    path = case_file("""
case: mail bike 9
told by: told
bike: {name: nine, parts: {plugs: resistor}}
complaint: it will not settle
seen:
  idle-hangs: yes
  plug-black: left
  plug-wet: {left: no, right: {is: yes, how: measured}}
  misfires-idle: neither
  fuel-smell: {is: no, how: assumed}
not seen: [idle-hunts, fuel-drips: left]
measured:
  idle-speed: 1010 rpm
  column-idle: {left: 200 mmHg, right: 30 +/- 1 kPa}
at hand: {person: rider, tools: [meter], engine: cold}
""")
    case = read_case(path, base)
    told = {(one.sign, one.side): (one.seen, one.how) for one in case.seen}
    assert told == {
        ("idle-hangs", None): (True, "told"),
        ("plug-black", "left"): (True, "told"),
        ("plug-wet", "left"): (False, "told"),
        ("plug-wet", "right"): (True, "measured"),
        ("misfires-idle", "left"): (False, "told"),
        ("misfires-idle", "right"): (False, "told"),
        ("fuel-smell", None): (False, "assumed"),
        ("idle-hunts", None): (False, "told"),
        ("fuel-drips", "left"): (False, "told"),
    }
    figures = {(one.reading, one.side): (one.values[0], one.give, one.unit) for one in case.measured}
    value, give, unit = figures["column-idle", "left"]
    assert (round(value, 6), give, unit) == (26.664477, 0.4, "mmHg")
    assert figures["column-idle", "right"] == (30.0, 1.0, "kPa")
    assert case.bike.parts == {"plugs": "resistor"}
    assert case.means.person == "rider"
    assert case.means.tools == frozenset({"meter"})
    assert case.means.engine == "cold"


# (the file, what the message must hold: the line, what is wrong, what would be right)
MISTAKES = {
    "unknown sign": ("seen:\n  idle-hang: yes\n", ":2: no sign is called 'idle-hang' (did you mean 'idle-hangs'?)"),
    "unknown reading": (
        "measured:\n  colum-idle: {left: 1 kPa}\n",
        ":2: no reading is called 'colum-idle' (did you mean 'column-idle'?)",
    ),
    "unknown field": ("sen:\n  idle-hangs: yes\n", ":1: a case has no 'sen' (did you mean 'seen'?)"),
    "no unit": ("measured:\n  idle-speed: 1000\n", ":2: '1000' has no unit; write it like '12 rpm'"),
    "wrong unit": ("measured:\n  idle-speed: 1000 mm\n", ":2: 'mm' is the wrong kind of unit; one of: rpm"),
    "unknown unit": ("measured:\n  idle-speed: 1000 rpn\n", ":2: 'rpn' is not a unit known here (did you mean 'rpm'?)"),
    "impossible length": (
        "measured:\n  cable-slack: {left: -5 mm}\n",
        ":2: '-5 mm' cannot be right for 'cable-slack'; it lies between 0 mm and 25 mm",
    ),
    "impossible speed": (
        "measured:\n  idle-speed: 90000 rpm\n",
        ":2: '90000 rpm' cannot be right for 'idle-speed'; it lies between 200 rpm and 6000 rpm",
    ),
    "comma": ("measured:\n  idle-speed: 90,000 rpm\n", ":2: '90,000 rpm' has a comma"),
    "both ways": (
        "seen:\n  idle-hangs: yes\nnot seen:\n  - idle-hangs\n",
        ":4: 'idle-hangs' is both seen and not seen (lines 2 and 4); keep the one that holds",
    ),
    "both ways on a side": (
        "seen:\n  plug-black: {is: both, left: no}\n",
        ":2: 'plug-black left' is both seen and not seen",
    ),
    "twice": ("seen:\n  idle-hangs: yes\n  idle-hangs: no\n", ":3: 'idle-hangs' is given twice; first in line 2"),
    "side missing": (
        "seen:\n  plug-black: yes\n",
        ":2: 'plug-black' is told for a side; write left, right, both, neither",
    ),
    "side where there is none": ("seen:\n  idle-hangs: left\n", ":2: 'idle-hangs' has no sides; write yes or no"),
    "sides where there are none": ("seen:\n  idle-hangs: {left: yes}\n", ":2: 'idle-hangs' has no 'left'"),
    "reading without its side": (
        "measured:\n  column-idle: 20 kPa\n",
        ":2: 'column-idle' is measured on a side; write 'column-idle: {left: 12 kPa, right: 12 kPa}'",
    ),
    "reading with a side": (
        "measured:\n  idle-speed: {left: 1000 rpm}\n",
        ":2: 'idle-speed' has no sides; write 'idle-speed: 12 rpm'",
    ),
    "more on both sides": (
        "seen:\n  column-higher-idle: both\n",
        ":2: 'column-higher-idle' can be on one side only; it compares the two",
    ),
    "true": ("seen:\n  idle-hangs: true\n", ":2: 'true' is not a valid answer; one of: yes, no"),
    "unknown part": ("bike: {parts: {plug: resistor}}\n", ":1: no part is called 'plug' (did you mean 'plugs'?)"),
    "unknown kind": (
        "bike: {parts: {plugs: shiny}}\n",
        ":1: 'shiny' is not a valid kind of plugs; one of: plain, resistor",
    ),
    "unknown person": (
        "at hand: {person: wizard}\n",
        ":1: 'wizard' is not a valid person; one of: rider, mechanic, workshop",
    ),
    "unknown tool": ("at hand: {tools: [hamer]}\n", ":1: no tool is called 'hamer'"),
    "unknown way of knowing": (
        "told by: rumour\n",
        ":1: 'rumour' is not a valid word for how it is known; one of: measured, seen, glanced, complained, ",
    ),
    "a list": ("- idle-hangs\n", ":1: 'name: value' lines are needed here"),
    "a word": ("idle hangs\n", ":1: 'name: value' lines are needed here"),
    "not YAML": ("seen: {idle-hangs: yes\n", "is not YAML"),
    "empty": ("", "is empty; 'name: value' lines are needed"),
    "no end": ("case: " + "long " * 5_000, ":1: this is 24,999 characters long; write 20,000 at most"),
    "tab": ("seen:\n\tidle-hangs: yes\n", "begins with a tab; indent with spaces"),
}


@pytest.mark.parametrize("name", MISTAKES)
def test_one_clear_message(name: str, case_file: CaseFile, base: Rulebase) -> None:
    text, message = MISTAKES[name]
    path = case_file(text)
    with pytest.raises(CaseError) as caught:
        read_case(path, base)
    assert len(caught.value.problems) == 1
    assert str(caught.value).startswith(str(path))
    assert message in str(caught.value)


def test_all_mistakes_at_once(case_file: CaseFile, base: Rulebase) -> None:
    path = case_file("seen:\n  idle-hang: yes\n  plug-black: yes\nmeasured:\n  idle-speed: 5\nat hand: {person: cat}\n")
    with pytest.raises(CaseError) as caught:
        read_case(path, base)
    assert [problem.line for problem in caught.value.problems] == [2, 3, 5, 6]


PIECES = "seen measured idle-hangs plug-black column-idle left right yes no is how told 12 mm 20 kPa { } [ ] : - ,"
WORDS = st.sampled_from([*PIECES.split(), "# a", "& *", "!", "é", "'", '"', "\t", " ", "\n", "\n  ", "\n    ", ": "])


@settings(max_examples=400)
@given(st.one_of(st.text(max_size=120), st.lists(WORDS, max_size=40).map("".join)))
def test_any_text_gives_a_case_or_a_reason(base: Rulebase, text: str) -> None:
    problems: list[Problem] = []
    root = read_text(text, "case.yaml", problems)
    case = parse_case(root, base) if root is not None else None
    assert case is not None or problems
