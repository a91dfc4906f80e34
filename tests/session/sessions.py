"""Sessions made in tests."""

from advisor.case import Case, Means, SignReport
from advisor.diagnose import Advisor
from advisor.report import Report
from advisor.session.events import Told
from advisor.session.next_question import CHECK, REPAIR
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.sides import Side

WORKSHOP = Means(person="workshop", tools=None, engine="")
RIDER = Means(person="rider", tools=frozenset(), engine="")


def told(*signs: str, side: Side = None, how: str = "told") -> Told:
    """Return the event that these signs were told."""
    return Told(tuple(SignReport(sign=one, side=side, seen=True, how=how) for one in signs))


def session(
    advisor: Advisor, *signs: str, kind: str = "bench", means: Means = WORKSHOP, journal: Journal | None = None
) -> Session:
    """Return a session in which these signs were told."""
    found = Session(advisor, journal or Journal(None))
    found.begin(kind, "it will not settle", means)
    found.journal.add(told(*signs))
    return Session(advisor, found.journal)


def repaired(advisor: Advisor) -> Session:
    """Return a session that asks for the repair of the left intake joint."""
    at = session(advisor, "idle-hangs")
    at.journal.add(told("joint-wetting-moves-idle", side="left", how="seen"))
    at.journal.add(told("idle-hangs", "spit-back", how="seen"))
    at = Session(advisor, at.journal)
    while at.question.kind == CHECK:
        at.answer("can't")
    assert at.question.kind == REPAIR
    return at


class Says(Advisor):
    """An advisor that says the same of every case, and keeps the cases."""

    def __init__(self, advisor: Advisor, report: Report) -> None:
        self.base = advisor.base
        self.report = report
        self.cases: list[Case] = []

    def diagnose(self, case: Case, **_: object) -> Report:
        """Return the one report."""
        self.cases.append(case)
        return self.report
