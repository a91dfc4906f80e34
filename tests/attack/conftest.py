"""The table of an attack run, put together from its parts, which run in several processes."""

from collections import defaultdict
from collections.abc import Callable

import pytest

from tests.attack.attack import COUNTS, MOST_MEMORY, Tally

MOST_SHOWN = 5


@pytest.fixture
def ended(record_property: Callable[[str, object], None]) -> Callable[[Tally], None]:
    """Return what ends a part: it hands in the counts and fails on any fault."""

    def end(tally: Tally) -> None:
        found = tally.record()
        record_property("attack", found)
        wrong = {name: tally.counts[name] for name in COUNTS if name != "tried" and tally.counts[name]}
        assert not wrong, f"{tally.what}: {wrong}\n" + "\n".join(tally.faults[:MOST_SHOWN])
        assert found["most MB"] < MOST_MEMORY  # type: ignore[operator]  # a figure

    return end


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Print the table."""
    rows: dict[str, dict[str, float]] = defaultdict(lambda: defaultdict(float))
    for status in ("passed", "failed"):
        for report in terminalreporter.getreports(status):
            for name, part in getattr(report, "user_properties", ()):
                if name == "attack" and report.when == "call":
                    row = rows[part["what"]]
                    for count in COUNTS:
                        row[count] += part[count]
                    for most in ("slowest", "most MB"):
                        row[most] = max(row[most], part[most])
    if not rows:
        return
    columns = (*COUNTS, "slowest", "most MB")
    terminalreporter.section("attacks")
    terminalreporter.write_line(f"{'':24}" + "".join(f"{name:>11}" for name in columns))
    for what, row in sorted(rows.items()):
        terminalreporter.write_line(f"{what:24}" + "".join(f"{row[name]:>11g}" for name in columns))
