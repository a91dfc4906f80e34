"""Sessions made in tests."""

from advisor.case import Case, Means, SignReport
from advisor.diagnose import Advisor
from advisor.intake.spoken import spoken
from advisor.report import Report, SignState
from advisor.rulebase import Rulebase
from advisor.session.events import Answered, AtHand, Began, Event, PutRight, Read, Skipped, Told
from advisor.session.next_question import CHECK, REPAIR, Question, options
from advisor.session.session import Session
from advisor.session.store import Journal
from advisor.sides import Side, fill

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


CABLE, PROOF = "cable-end-sticking", "unhook-and-snap"
PROVED = "It creeps with the cable on, and snaps shut without it."


def complained(base: Rulebase, sentence: str, *signs: str) -> list[Event]:
    """Return the beginning of a session at the bike with these complaints."""
    told = tuple(SignReport(sign=one, side=None, seen=True, how=base.words.opening) for one in signs)
    return [Began("bench", sentence), AtHand(WORKSHOP), Told(told)]


def cable_put_right(base: Rulebase) -> list[Event]:
    """Return a session in which a sticking cable was found behind uneven columns, and put right."""
    sticks = tuple(
        SignReport(sign=one, side="right", seen=True, how="seen")
        for one in ("throttle-lever-sticks", "snaps-once-unhooked")
    )
    return [
        *complained(base, "balance won't hold", "balance-wont-hold"),
        Read(tuple(spoken("column-idle", "left 240 mmHg right 205 mmHg", base))),
        Answered(PROOF, "right", PROVED, sticks),
        Skipped("blip-and-let-go", None, "can't"),
        PutRight(CABLE, "right"),
    ]


def question_of(check: str, base: Rulebase, side: Side = None) -> Question:
    """Return the question that a check is, without what its answers lead to."""
    page = base.checks[check]
    return Question(
        kind=CHECK,
        name=check,
        side=side,
        title=fill(page.title, side),
        because="",
        minutes=page.minutes,
        engine=page.engine,
        steps=(),
        tools=(),
        cautions=(),
        options=tuple(options(page, side, None, base)),
        takes=page.takes,
    )


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

    def signs(self, case: Case) -> tuple[SignState, ...]:
        """Return the signs of the one report."""
        self.cases.append(case)
        return self.report.signs
