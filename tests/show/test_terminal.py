"""The report on a terminal."""

import io
from typing import Any

import pytest
from msgspec.structs import replace
from rich.console import Console

from advisor.diagnose import Advisor
from advisor.report import Advice, CautionShown, Line, NextCheck, RankedCause, ReadyItem, Report, Unexplained, Why
from advisor.show.terminal import reminder, report
from advisor.show.words import ago
from tests.cases import case
from tests.cases import report as seen
from tests.small import blank

CHECK = blank(Advice, kind="check", says="Wet the joint")
NEXT = tuple(blank(NextCheck, id=f"k{n}", title=f"Look {n}", engine="any", minutes=float(n)) for n in range(6))


def test_three_remarks_are_borne_in_mind_and_no_more(advisor: Advisor) -> None:
    found = replace(advisor.diagnose(case(seen("idle-hangs"))), remarks=tuple(f"remark {n}" for n in range(1, 6)))
    screen = Console(width=80, file=io.StringIO())
    screen.print(report(found))
    assert isinstance(screen.file, io.StringIO)
    lines = screen.file.getvalue().split("BEAR IN MIND\n")[1].split("\n\n")[0].splitlines()
    assert lines == ["  - remark 1", "  - remark 2", "  - remark 3"]


def drawn(**more: Any) -> str:
    screen = Console(width=80, file=io.StringIO())
    screen.print(report(blank(Report, **{"advice": CHECK, "next_checks": NEXT} | more)))
    assert isinstance(screen.file, io.StringIO)
    return screen.file.getvalue()


def under(text: str, heading: str) -> list[str]:
    """Return the lines below a heading, up to the next empty one."""
    lines = [line.rstrip() for line in text.splitlines()]
    start = lines.index(heading) + 1
    return lines[start : lines.index("", start)]


def test_three_remarks_are_read_and_no_more() -> None:
    """Three: judgement, written here once more."""
    text = drawn(remarks=tuple(f"Remark {n}." for n in range(5)))
    assert under(text, "BEAR IN MIND") == ["  - Remark 0.", "  - Remark 1.", "  - Remark 2."]
    assert "BEAR IN MIND" not in drawn()


def _causes(count: int, **more: Any) -> dict[str, Any]:
    causes = tuple(blank(RankedCause, id=f"c{n}", side=None, **more) for n in range(count))
    lines = tuple(
        blank(Line, causes=((f"c{n}", None),), titles=(f"Cause {n}",), probability=0.5 - n / 20) for n in range(count)
    )
    return {"causes": causes, "likely": lines}


def test_three_causes_are_gone_into_and_four_more_are_named() -> None:
    text = drawn(**_causes(9))
    for number in range(7):
        assert f"Cause {number}" in text
    assert "Cause 7" not in text
    assert "[c2]" in text
    assert "[c3]" not in text
    assert "also" not in drawn(**_causes(3))


def _why(name: str, factor: float) -> Why:
    return blank(Why, sign=name, title=name, state="seen", factor=factor)


def test_an_age_is_said_in_its_largest_unit() -> None:
    said = {0.0: "just now", 59.9: "just now", 60.0: "1 minute ago", 7500.0: "2 hours ago", 86_400.0: "1 day ago"}
    said |= {864_000.0: "1 week ago", 6e6: "2 months ago", 1e9: "31 years ago"}
    assert {seconds: ago(seconds) for seconds in said} == said


def test_what_hardly_speaks_for_a_cause_or_against_it_is_not_said() -> None:
    """Three reasons for and two against, each by one part in twenty at least: judgement, written here once more."""
    why = (*(_why(f"for-{n}", 9.0) for n in range(4)), *(_why(f"against-{n}", 0.1) for n in range(3)))
    text = drawn(**_causes(1, why=why))
    assert [name for name in ("for-0", "for-1", "for-2", "for-3") if name in text] == ["for-0", "for-1", "for-2"]
    assert [name for name in ("against-0", "against-1", "against-2") if name in text] == ["against-0", "against-1"]
    faint = drawn(**_causes(1, why=(_why("faint", 1.04), _why("weak", 1.05), _why("less", 1 / 1.05))))
    assert "faint" not in faint
    assert "weak" in faint
    assert "less" in faint


@pytest.mark.parametrize(("bits", "odd"), [(2.0, True), (1.9, False)])
def test_a_picture_that_does_not_fit_together_is_doubted(bits: float, odd: bool) -> None:
    """Two bits: judgement, written here once more."""
    assert ("The picture does not fit together" in drawn(surprise=bits)) is odd
    nothing = blank(Advice, kind="none fits", says="Nothing explains it.")
    assert "The picture does not fit together" not in drawn(surprise=9.0, advice=nothing)


def test_the_next_step_comes_first_then_its_dangers_then_doubts_and_causes() -> None:
    text = drawn(
        cautions=(blank(CautionShown, says="Gas burns."),),
        unexplained=(Unexplained(sign="s", side=None, title="It whistles", probability=0.9),),
        remarks=("Often mistaken.",),
        readiness=(blank(ReadyItem, stage="valves", title="clearances", state="not checked", check_title="Feel"),),
        **_causes(2),
    )
    headings = ["NEXT", "TAKE CARE", "IN DOUBT", "LIKELY", "AFTER THAT", "BEAR IN MIND", "BEFORE BALANCING"]
    lines = [line.rstrip() for line in text.splitlines()]
    assert [line for line in lines if line in headings] == headings


def test_what_could_be_done_after_that_leaves_out_the_step_itself() -> None:
    assert [line.split()[-1] for line in under(drawn(), "AFTER THAT")] == ["1", "2", "3"]
    handed = blank(Advice, kind="hand over", says="No check tells.")
    assert [line.split()[-1] for line in under(drawn(advice=handed), "COULD STILL BE CHECKED")] == ["0", "1", "2"]


def test_the_reminder_is_the_next_step_in_one_line() -> None:
    assert reminder(blank(Report, advice=CHECK)).plain == "NEXT: Wet the joint"
    right = blank(Advice, kind="put right", says="A leak", proof=None)
    assert reminder(blank(Report, advice=right)).plain == "NEXT: put right: A leak"
