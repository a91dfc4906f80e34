"""The report on a terminal."""

import io

from msgspec.structs import replace
from rich.console import Console

from advisor.diagnose import Advisor
from advisor.show.terminal import report
from tests.cases import case
from tests.cases import report as seen


def test_three_remarks_are_borne_in_mind_and_no_more(advisor: Advisor) -> None:
    found = replace(advisor.diagnose(case(seen("idle-hangs"))), remarks=tuple(f"remark {n}" for n in range(1, 6)))
    screen = Console(width=80, file=io.StringIO())
    screen.print(report(found))
    assert isinstance(screen.file, io.StringIO)
    lines = screen.file.getvalue().split("BEAR IN MIND\n")[1].split("\n\n")[0].splitlines()
    assert lines == ["  - remark 1", "  - remark 2", "  - remark 3"]
