"""The one game of the laboratory: a policy says what to do next, something answers, and the minutes are counted.

What answers is a bike of the engine model (`stand`), a resolved case (`account_game`) or a bike drawn from the rule
base's own network (`network_game`). They differ in who answers and how surely, in what a look in vain does, and in when
the game is over. The loop, the minutes and the moves are the same for all three, and here.
"""

from abc import ABC, abstractmethod
from collections.abc import Callable, Collection
from functools import partial
from typing import ClassVar

import msgspec

from advisor.case import Case
from advisor.diagnose import Advisor
from advisor.plan.candidates import Scene, scene
from advisor.plan.choose import plan
from advisor.plan.cost import RETEST, Opened, minutes
from advisor.plan.heat import cools, waits
from advisor.rank.joint import Joint
from advisor.rank.ranking import Ranking
from advisor.rulebase.model import Rulebase
from advisor.session.events import Event
from advisor.session.state import fold
from advisor.sides import Side, Sided

MOST_MINUTES, MOST_MOVES = 480.0, 120  # after a working day, or this many moves, the policy has lost: judgement


class Move(msgspec.Struct, frozen=True):
    """One move of a game, with the minutes that it took.

    `kind` is `check` (a plain check), `settle` (a suspect's deciding check) or `fix` (a repair). `name` is the check,
    or else the cause. `right` says whether a suspect was confirmed, or whether a repair cured a fault; it is False for
    a plain check.
    """

    kind: str
    name: str
    side: Side
    right: bool
    minutes: float


class Choice(msgspec.Struct, frozen=True):
    """What a policy wants to do next: go for a cause, or else do a check.

    To go for a cause is to do its deciding check; if that has already spoken for it (`proven`), it is to be put right.
    """

    goes_for: Sided | None = None
    proven: bool = False
    check: Sided | None = None


class Answers(ABC):
    """What answers in a game, what is known of it so far, and the `minutes` spent on it.

    `one_look` says whether one look is enough: a suspect is then put right as soon as its deciding check speaks for it.
    Otherwise it takes a second choice of the policy, which then calls the cause proven.
    """

    one_look: ClassVar[bool] = False

    def __init__(self, base: Rulebase) -> None:
        """Begin with nothing spent."""
        self.base = base
        self.minutes = 0.0

    @property
    @abstractmethod
    def over(self) -> bool:
        """Whether there is nothing left to look for."""

    @property
    @abstractmethod
    def opened(self) -> Opened:
        """The covers that stand open."""

    @property
    def cools(self) -> float | None:
        """The minutes until the engine is cold, None if that is not known."""
        return None

    @abstractmethod
    def known(self) -> tuple[Ranking, Scene]:
        """Return the ranking on all that is known, and what decides which checks can be done."""

    @abstractmethod
    def done_with(self) -> Collection[Sided]:
        """Return the causes that need no further look."""

    @abstractmethod
    def do(self, check: str, side: Side) -> object:
        """Do a check: its answer is known from then on, and its minutes are spent."""

    @abstractmethod
    def settle(self, cause: str, side: Side, *, seen: bool = False) -> bool:
        """Look whether this cause is there, and say so; `seen`: a check has already spoken for it."""

    @abstractmethod
    def repair(self, cause: str, side: Side) -> bool:
        """Put a cause right and run the bike again; return whether that cured a fault."""

    def price(self, cause: str, side: Side) -> float:
        """Return the minutes that a cause's deciding check takes now."""
        return self._price(self.base.causes[cause].settled_by, side)

    def _price(self, check: str, side: Side) -> float:
        """Return the minutes of a check and of its wait for the engine, less those for the covers that stand open."""
        page = self.base.checks[check]
        return minutes(page, side, self.opened, self.base) + waits(page, self.cools)

    def _spend_on_repair(self, cause: str) -> None:
        """Spend the minutes of a repair and of the trial run after it."""
        self.minutes += self.base.causes[cause].minutes + RETEST


class WithCase(Answers):
    """Answers that are kept as the events of a session: they make a case, which the advisor ranks like any other."""

    def __init__(self, advisor: Advisor, events: Collection[Event] = (), begun: Case | None = None) -> None:
        """Begin with these events, or with a case already told (`begun`)."""
        super().__init__(advisor.base)
        self.advisor, self.events, self.begun = advisor, list(events), begun

    @property
    def case(self) -> Case:
        """All that is known so far, as a case."""
        return fold(self.events, self.base, self.begun).case

    @property
    def opened(self) -> Opened:
        """The covers that stand open."""
        return self.case.opened

    @property
    def cools(self) -> float | None:
        """The minutes until the engine is cold, None if that is not known."""
        return cools(self.case)

    def known(self) -> tuple[Ranking, Scene]:
        """Return the ranking on the case as it is, and what decides which checks can be done."""
        case = self.case
        chained, ranking = self.advisor.rank(case)
        return ranking, scene(self.base, case, chained.signs, chained.forbidden)


Policy = Callable[[Answers], Choice | None]  # None: it gives up


def planner(answers: Answers) -> Choice | None:
    """Choose what the advisor's planner would do next."""
    ranking, here = answers.known()
    found = plan(answers.base, Joint(ranking), here)
    if found.goes_for:
        return Choice(goes_for=found.goes_for, proven=found.proven)
    if not found.checks:
        return None
    first = found.checks[0].candidate
    return Choice(check=(first.check.id, first.side))


def play(
    answers: Answers,
    policy: Policy = planner,
    *,
    most_minutes: float = MOST_MINUTES,
    most_moves: float = MOST_MOVES,
) -> tuple[Move, ...]:
    """Play until the game is over, the policy gives up, or the minutes or moves run out; return the moves.

    The last move is always finished, so the minutes may end a little above `most_minutes`.
    """
    moves: list[Move] = []

    def note(kind: str, what: Sided, act: Callable[..., object]) -> bool:
        before = answers.minutes
        right = act(*what) is True
        moves.append(Move(kind, *what, right, answers.minutes - before))
        return right

    while not answers.over and len(moves) < most_moves and answers.minutes < most_minutes:
        choice = policy(answers)
        if choice is None:
            break
        if choice.goes_for:
            found = note("settle", choice.goes_for, partial(answers.settle, seen=choice.proven))
            if found and (choice.proven or answers.one_look):
                note("fix", choice.goes_for, answers.repair)
        elif choice.check:
            note("check", choice.check, answers.do)
    return tuple(moves)
