"""A case written out reads back as the same case and to the same report."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Bike, Case, Means, Measured
from advisor.diagnose import Advisor
from advisor.errors import Problem
from advisor.intake.casefile import parse_case, read_case
from advisor.intake.caseout import case_text
from advisor.intake.spoken import spoken
from advisor.places import shipped
from advisor.rulebase import Rulebase
from advisor.session.events import Began, OfBike
from advisor.session.state import fold
from advisor.sides import Sided
from advisor.visible import as_said
from advisor.yaml_nodes import read_text
from tests.cases import random_cases


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_a_case_written_out_reads_back_to_the_same_report(advisor: Advisor, data: st.DataObject) -> None:
    told: Case = data.draw(random_cases(advisor.base))
    told = replace(told, title="written", complaint="it will not settle", not_again=(("seal-the-joint", "left"),))
    problems: list[object] = []
    root = read_text(case_text(told, advisor.base), "case.yaml", problems)  # type: ignore[arg-type]
    again = parse_case(root, advisor.base) if root else None
    assert not problems
    assert again is not None
    assert advisor.diagnose(again) == advisor.diagnose(told)


# What may be typed, or come from a page: control and direction characters, joiners, line ends of all kinds, what YAML
# itself uses, a blank to fill, halves of characters.
PIECES = (
    *("- ", ": ", "#", "___", "---", "...", "{", "}", "[", "]", "&", "*", "!", "|", ">", "?", "%", "@", "'", '"', "\\"),
    *("\t", "\n", "\r", "\0", "\x1b", "\x7f", "\x85", "\xa0", "\u200b", "\u200d", "\u202e", "\u2028", "\ufeff"),
    *("\U0001f468\u200d\U0001f527", "\ud83d", "\udc80", "a", " "),
)
ANYTHING = st.one_of(
    st.text(st.characters(exclude_categories=())),
    st.lists(st.sampled_from(PIECES), max_size=60).map("".join),
    st.text(st.characters(exclude_categories=()), min_size=1, max_size=9).map(lambda few: (few * 10_000)[:10_000]),
)


@settings(max_examples=100, deadline=None)
@given(words=ANYTHING, name=ANYTHING)
def test_whatever_is_said_reads_back_as_the_same_case(base: Rulebase, words: str, name: str) -> None:
    told = fold([Began("bench", words), OfBike(Bike(name=as_said(name)))], base).case
    problems: list[Problem] = []
    root = read_text(case_text(told, base), "case.yaml", problems)
    again = parse_case(root, base) if root else None
    assert problems == []
    assert again == told


def test_what_a_session_came_to_twice_is_written_once(base: Rulebase) -> None:
    twice: tuple[Sided, ...] = (("seal-the-joint", "left"), ("ask-about-smoke", None), ("seal-the-joint", "left"))
    told = replace(fold([Began("bench", "")], base).case, not_again=twice)
    problems: list[Problem] = []
    root = read_text(case_text(told, base), "case.yaml", problems)
    assert root is not None
    assert parse_case(root, base).not_again == twice[:2]
    assert problems == []


@pytest.mark.parametrize("path", sorted(shipped("cases_demo").glob("*.yaml")), ids=lambda path: path.stem)
def test_the_demo_cases_written_out_read_back(advisor: Advisor, path: Path, tmp_path: Path) -> None:
    case = read_case(path, advisor.base)
    out = tmp_path / "out.yaml"
    out.write_text(case_text(case, advisor.base), encoding="utf-8")
    assert advisor.diagnose(read_case(out, advisor.base, [path.parent])) == advisor.diagnose(case)


def _back(measured: list[Measured], base: Rulebase) -> tuple[str, list[Measured]]:
    """Return the case file of these readings, and what is read back from it."""
    means = Means(person=base.persons[0], tools=None, engine="")
    told = Case(title="x", bike=Bike(), complaint="", seen=(), measured=tuple(measured), means=means)
    problems: list[Problem] = []
    text = case_text(told, base)
    root = read_text(text, "case.yaml", problems)
    assert root is not None
    case = parse_case(root, base)
    assert problems == []
    assert case is not None
    return text, list(case.measured)


@pytest.mark.parametrize(
    ("reading", "words", "line"),
    [
        ("idle-speed", "1,050 rpm", "idle-speed: 1050 rpm"),
        ("drop-idle", "left 200 rpm, stalls, 215 +/- 5 rpm right 280 rpm", "- 215 +/- 5 rpm"),
        ("column-idle", "left more by 35 mmHg", "left more by: 35 mmHg"),
        ("clearance-inlet", "left goes 0.006 in stops 0.007 in right 6 thou", "does not go: 0.007 in"),
    ],
)
def test_readings_are_written_as_they_were(base: Rulebase, reading: str, words: str, line: str) -> None:
    measured = spoken(reading, words, base)
    text, back = _back(measured, base)
    assert line in text
    assert [replace(one, line=0) for one in back] == [replace(one, line=0) for one in measured]


@pytest.mark.parametrize(
    ("reading", "words"),
    [
        ("drop-idle", "left 200 rpm, stalls right 280 +/- 10 rpm"),
        ("column-idle", "right more by 35 mmHg"),
        ("clearance-exhaust", "left goes 0.006 in stops 0.007 in right 8 thou"),
    ],
)
def test_what_nobody_wrote_is_written_in_its_own_unit(base: Rulebase, reading: str, words: str) -> None:
    """A session of an older version, or a program, has figures only."""
    measured = [replace(one, written=(), given="") for one in spoken(reading, words, base)]
    _, back = _back(measured, base)
    for one, again in zip(measured, back, strict=True):
        assert (again.side, again.values, again.bounds, again.stalls) == (one.side, one.values, one.bounds, one.stalls)
        assert again.give == pytest.approx(one.give)
        assert again.unit == base.readings[reading].unit
