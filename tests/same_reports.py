"""Whether two versions give the same reports: a change of the house, of names or of pages' places must change none.

    python -m tests.same_reports keep FOLDER       in the version before: writes cases and their reports
    python -m tests.same_reports compare FOLDER    in the version after: reports on the same, and tells what differs

The cases are the demo, the resolved ones at each stage, and bikes drawn from the engine model, half of them as they
were brought and half after some of the planner's steps. Where a page stands (file and line) is not compared, nor a
field that is new. Figures are, to eight digits: the order in which a page lists its signs is the order of the sums.
"""

import json
import math
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from advisor.case import Case
from advisor.diagnose import MOST_CHECKS, Advisor
from advisor.intake.casefile import read_case
from advisor.intake.caseout import case_text
from advisor.places import shipped
from advisor.rulebase.load import load
from advisor.scoring.game import play
from advisor.scoring.resolved import read_accounts
from advisor.scoring.score import opened, tasks
from advisor.show.json import dump

DRAWN, SEED = 320, 77
FEW, SOME = 25.0, 60.0  # minutes of the planner's work on the bikes that it begins
ALIKE = 1e-8  # figures that differ by less than this share of them are the same
RESOLVED = Path(__file__).parent / "resolved"
PAGE = re.compile(r"\S*\.yaml(:\d+)?")


def cases(advisor: Advisor) -> Iterator[tuple[str, Case]]:
    """Yield every case with a name of its own, but for the demo, which each version has."""
    for task in tasks(DRAWN, SEED, [shipped("rules")], 0):
        for number, (stand, _) in enumerate(opened(task), task.start):
            if number % 2:
                play(stand, most_minutes=SOME if number % 4 == 1 else FEW)
            yield f"drawn-{number:03d}", stand.case
    for account in read_accounts(RESOLVED, advisor.base):
        for stage, case in account.stages.items():
            yield f"resolved-{account.name}-{stage.replace(', ', '-').replace(' ', '-')}", case


def keep(folder: Path, advisor: Advisor) -> None:
    """Write the cases and their reports into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, case in cases(advisor):
        (folder / f"{name}.yaml").write_text(case_text(case, advisor.base), encoding="utf-8")
    for name, report in reports(folder, advisor):
        (folder / f"{name}.json").write_text(json.dumps(report, indent=1), encoding="utf-8")


def reports(folder: Path, advisor: Advisor) -> Iterator[tuple[str, Any]]:
    """Yield the reports on the demo cases and on those that a folder holds, without where pages stand."""
    for path in [*sorted(shipped("cases_demo").glob("*.yaml")), *sorted(folder.glob("*.yaml"))]:
        found = advisor.diagnose(read_case(path, advisor.base), gone_into=MOST_CHECKS)
        yield path.stem, _placeless(json.loads(dump(found)))


def _placeless(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: _placeless(one) for name, one in value.items() if name not in {"file", "line"}}
    if isinstance(value, list):
        return [_placeless(one) for one in value]
    return PAGE.sub("a page", value) if isinstance(value, str) else value


def differences(was: Any, now: Any, where: str = "") -> Iterator[str]:
    """Yield what differs between two reports; a field that only the later one has does not."""
    if isinstance(was, dict) and isinstance(now, dict):
        for name, one in was.items():
            yield from differences(one, now.get(name, "gone"), f"{where}/{name}")
    elif isinstance(was, list) and isinstance(now, list) and len(was) == len(now):
        for number, (one, other) in enumerate(zip(was, now, strict=True)):
            yield from differences(one, other, f"{where}/{number}")
    elif not _same(was, now):
        yield f"{where}: {was!r} is now {now!r}"


def _same(was: Any, now: Any) -> bool:
    figures = isinstance(was, float) and isinstance(now, (int, float))
    return math.isclose(was, now, rel_tol=ALIKE) if figures else bool(was == now)


def compare(folder: Path, advisor: Advisor) -> int:
    """Print every difference from the reports kept in a folder; return how many reports differ."""
    count = differ = 0
    for name, report in reports(folder, advisor):
        kept = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
        found = list(differences(kept, report))
        count, differ = count + 1, differ + bool(found)
        for line in found:
            print(f"{name}{line}")  # noqa: T201 - a script
    print(f"{count} reports, {differ} differ")  # noqa: T201 - a script
    return differ


def main() -> int:
    """Keep the reports, or compare with those that were kept."""
    match sys.argv[1:]:
        case ["keep", folder]:
            keep(Path(folder), Advisor(load([shipped("rules")])))
            return 0
        case ["compare", folder]:
            return min(compare(Path(folder), Advisor(load([shipped("rules")]))), 1)
    print(__doc__)  # noqa: T201 - a script
    return 1


if __name__ == "__main__":
    sys.exit(main())
