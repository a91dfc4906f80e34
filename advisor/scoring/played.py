"""Whole sessions, played through a user's own door: a sentence, offers, questions, answers as the bike has them.

At the bench a session ends when a fault of the bike is to be put right and is proven; on the phone when the call has no
more to ask, or after as many questions as a rider bears. At the bench every tool is there, on the phone a tool roll.
"""

import math
from collections.abc import Sequence

import msgspec

from advisor.diagnose import Advisor
from advisor.plan.cost import RETEST, minutes
from advisor.scoring.account_game import walk
from advisor.scoring.game import play
from advisor.scoring.holder import Holder, by_the_pages, drawn, of_account
from advisor.scoring.policies import in_readiness_order
from advisor.scoring.resolved import Account
from advisor.scoring.rows import place_of
from advisor.scoring.score import Task, advisor_of, on_the_stand
from advisor.scoring.stand import Stand
from advisor.session.dialogue import Dialogue
from advisor.session.events import BENCH, PHONE, Event
from advisor.session.hearing import Hearing
from advisor.session.next_question import CHECK, REPAIR, Question
from advisor.session.place import ForAnswer, ForNumbers, ForPerson, ForTool, ForToolRoll
from advisor.session.store import Journal
from advisor.sides import Sided

MOST_CHECKS, MOST_QUESTIONS = 40, 12  # at the bench (judgement), and in a call
MOST_LINES = 200  # typed in one session: far more than any needs
MOST_MOVES = 400  # of the readiness order: more than there are causes
FIRST = 3  # places of a hand-over sheet that a workshop looks at
FOUND, LOST, OVER = "found", "lost", "no more questions"


class Played(msgspec.Struct, frozen=True, kw_only=True):
    """One session: how it ended, the checks that were asked in order, their minutes, and what was put right in vain.

    `proven` says whether what was put right last was proven before, `heard` is how many things the words gave that were
    so, `place` that of a true cause at the end, 1 for the first. `order` are the minutes of the readiness order.
    """

    kind: str
    name: str
    truth: tuple[Sided, ...]
    how: str
    checks: tuple[Sided, ...]
    minutes: float
    in_vain: tuple[Sided, ...]
    proven: bool
    heard: int
    place: int
    order: float


class _Play:
    """One session that is being played."""

    def __init__(
        self, advisor: Advisor, holder: Holder, kind: str, hearing: Hearing | None, before: Sequence[Event] = ()
    ) -> None:
        self.base, self.holder, self.kind = advisor.base, holder, kind
        self.before = before
        self.dialogue = Dialogue(advisor, Journal(None, events=list(before)), hearing=hearing)
        self.checks: list[Sided] = []
        self.in_vain: list[Sided] = []
        self.minutes = 0.0
        self.heard = 0
        self.how = ""
        self.proven = False
        self.read: set[Sided] = set()

    def play(self) -> None:
        """Play it to its end, from its beginning or from where it stands."""
        if self.before:
            self.dialogue.resume()
        else:
            self.dialogue.begin(self.kind, self.holder.words, bike=self.holder.bike)
        for _ in range(MOST_LINES):
            if self.how or self.dialogue.over:
                break
            line = self._line()
            if not self.how:
                self.dialogue.take(line)
        self.how = self.how or OVER

    def _line(self) -> str:
        match self.dialogue.place.asks:
            case ForPerson():
                return self.base.persons[1]
            case ForTool():
                return "yes"
            case ForToolRoll():
                return "all"
            case ForNumbers(signs=signs):
                so = [str(n) for n, one in enumerate(signs, start=1) if self.holder.agrees(one)]
                self.heard += len(so)
                return " ".join(so)
            case ForAnswer():
                return self._to(self.dialogue.session.question)
            case _:
                return ""

    def _to(self, question: Question) -> str:
        asked = question.name, question.side
        if question.kind == REPAIR:
            return self._repair(asked)
        if question.kind != CHECK:
            self.how = OVER
            return "stop"
        if asked not in self.read:
            if len(self.checks) >= (MOST_QUESTIONS if self.kind == PHONE else MOST_CHECKS):
                self.how = OVER if self.kind == PHONE else LOST
                return "stop"
            self.checks.append(asked)
            opened = self.dialogue.session.state.case.opened
            self.minutes += minutes(self.base.checks[question.name], question.side, opened, self.base)
            self.read.add(asked)
            if figures := self.holder.figures(question):
                return figures  # and the answer in words, if the question is still there
        return self.holder.answer(question)

    def _repair(self, cause: Sided) -> str:
        page = self.base.causes[cause[0]]
        if self.holder.cures(*cause):
            self.how, self.proven = FOUND, self.dialogue.session.report.advice.proven
            return "stop"
        self.in_vain.append(cause)
        self.minutes += page.minutes + RETEST
        return "2"

    def place(self) -> int:
        """Return the place of a true cause now; both sides of a cause are one place."""
        chances = {(one.id, one.side): one.probability for one in self.dialogue.session.report.causes}
        return min(place_of(chances, one) for one in self.holder.truth)


def played(  # noqa: PLR0913 - a session has as many sides as that
    advisor: Advisor,
    holder: Holder,
    kind: str,
    name: str,
    order: float,
    hearing: Hearing | None = None,
    *,
    before: Sequence[Event] = (),
) -> Played:
    """Return a session of a kind as it was played with this holder; `order` as in `Played`, `before` what led to it."""
    game = _Play(advisor, holder, kind, hearing, before)
    game.play()
    return Played(
        kind=kind,
        name=name,
        truth=holder.truth,
        how=game.how,
        checks=tuple(game.checks),
        minutes=game.minutes,
        in_vain=tuple(game.in_vain),
        proven=game.proven,
        heard=game.heard,
        place=game.place(),
        order=order,
    )


def play_account(account: Account, advisor: Advisor, seed: int = 1) -> list[Played]:
    """Return an account's session at the bench and its call. Raises AdvisorError if it has no first words."""
    hearing = Hearing(advisor.base)
    order = walk(account, advisor, planner_plays=False).minutes
    return [
        played(advisor, of_account(account, advisor, seed), kind, account.name, order, hearing)
        for kind in (BENCH, PHONE)
    ]


def batch(task: Task) -> list[Played]:
    """Return the sessions at the bench and the calls of one batch of drawn bikes."""
    advisor = advisor_of(task.folders)
    hearing, found = Hearing(advisor.base), list[Played]()
    for number, stand in enumerate(on_the_stand(task), task.start):
        told = stand.complain()
        holders = [(kind, drawn(stand, told, _seed(task, number))) for kind in (BENCH, PHONE)]
        order = _in_order(stand)
        found += [played(advisor, holder, kind, str(number), order, hearing) for kind, holder in holders]
    return found


def batch_by_the_pages(task: Task) -> list[Played]:
    """Return the sessions and calls of one batch of bikes drawn from the pages' own numbers: the most to be had."""
    advisor = advisor_of(task.folders)
    hearing, found = Hearing(advisor.base), list[Played]()
    for number in range(task.start, task.start + task.count):
        holders = [(kind, by_the_pages(advisor, _seed(task, number))) for kind in (BENCH, PHONE)]
        found += [played(advisor, holder, kind, str(number), 0.0, hearing) for kind, holder in holders]
    return found


def _seed(task: Task, number: int) -> int:
    return task.seed * 1_000_003 + number


def _in_order(stand: Stand) -> float:
    """Return the minutes that the readiness order takes to the first look that finds a fault of the bike."""
    moves = play(stand, in_readiness_order(stand), most_minutes=math.inf, most_moves=MOST_MOVES)
    spent = 0.0
    for move in moves:
        spent += move.minutes
        if move.kind == "settle" and move.right and (move.name, move.side) in stand.hidden.causes:
            break
    return spent
