"""How the sides stand at one place (at idle or off idle), by one method, as it is read and turned."""

from collections.abc import Sequence

import msgspec

from advisor.balance.choice import Aim, best
from advisor.balance.course_steps import COLUMNS, DROPS, IDLE, OFF_IDLE, Method, Seen, Turned, TurnScrews, Where, Why
from advisor.balance.response import Stand, Usual, first, read, surprise, turned
from advisor.balance.turns import ADJUSTER, STOP, WHOLE, Screw, Turn
from advisor.sides import BOTH, Side

# What is common, before this bike has shown its own: how far behind the left side is (columns mmHg, drops rpm) and the
# revs (rpm), for one turn in of the left screw and of the right one. Judgement, wide.
USUAL: dict[tuple[Method, Where], Usual] = {
    (COLUMNS, IDLE): Usual(answers=((-45.0, 45.0), (220.0, 220.0)), sure=0.5, hand=1 / 16, moves=(0.7, 8.0)),
    (DROPS, IDLE): Usual(answers=((-300.0, 300.0), (220.0, 220.0)), sure=0.5, hand=1 / 16, moves=(6.0, 8.0)),
    (COLUMNS, OFF_IDLE): Usual(answers=((35.0, -35.0),), sure=0.5, hand=1 / 16, moves=(1.0,)),
    (DROPS, OFF_IDLE): Usual(answers=((200.0, -200.0),), sure=0.5, hand=1 / 16, moves=(10.0,)),
}
SCREWS: dict[Where, Screw] = {IDLE: STOP, OFF_IDLE: ADJUSTER}
FARTHEST: dict[Screw, float] = {STOP: 1.0, ADJUSTER: 2.5}  # turns from where it was found: more makes up for something
TRIED, DEAD = 0.25, 0.4  # after so many turns, an answer that is surely below this share of the usual one is none
SURPRISES = 4.0  # standard deviations: a reading so far off what was expected tells of something else
LOOSER = 2.0  # times: how much less well a stand is known after something else was done


class Standing(msgspec.Struct, kw_only=True):
    """What is known of one place; it changes as steps come in.

    `gone`: turns (in above 0) of the left and the right screw from where they were found; `tried`: the same, both ways
    counted; `since`: readings since the last turn.
    """

    where: Where
    by: Method
    stand: Stand | None = None
    last: Seen | None = None
    since: int = 0
    gone: list[float] = msgspec.field(default_factory=lambda: [0.0, 0.0])
    tried: list[float] = msgspec.field(default_factory=lambda: [0.0, 0.0])

    @property
    def screw(self) -> Screw:
        """The screw that is turned here."""
        return SCREWS[self.where]

    @property
    def usual(self) -> Usual:
        """What is common here."""
        return USUAL[self.by, self.where]

    @property
    def behind(self) -> Side:
        """The side that opened less at the last reading."""
        if self.last is None or not self.last.behind:
            return None
        return "left" if self.last.behind > 0 else "right"

    @property
    def expected(self) -> tuple[tuple[float, float], ...] | None:
        """What a reading should show, each with two standard deviations."""
        return expected(self.stand) if self.stand is not None else None

    def loosen(self, by: float = LOOSER) -> None:
        """Know how things stand less well, but the answers as before: something else was done meanwhile."""
        if self.stand is not None:
            size = self.stand.read
            cover = tuple(
                tuple(one * (by**2 if at == other < size else 1.0) for other, one in enumerate(row))
                for at, row in enumerate(self.stand.cover)
            )
            self.stand = msgspec.structs.replace(self.stand, cover=cover)
        self.since = 0

    def see(self, step: Seen) -> float:
        """Take in a reading; return how many standard deviations it is off what was expected.

        A first reading without a figure for each thing is left out.
        """
        values, spreads = _figures(step)
        self.since += 1
        self.last = step
        if self.stand is None:
            if None not in values:
                self.stand = first([one for one in values if one is not None], spreads, self.usual)
            return 0.0
        off = surprise(self.stand, values, spreads)
        if off > SURPRISES and self.since > 1:  # nothing was turned: it has moved by itself
            since = self.since
            self.loosen(off)
            self.since = since
        self.stand = read(self.stand, values, spreads)
        return off

    def turn(self, step: Turned) -> None:
        """Take in what was turned."""
        turns = [sum(one.turns for one in step.turns if (one.side, one.screw) == (side, self.screw)) for side in BOTH]
        for at, one in enumerate(turns):
            self.gone[at] += one
            self.tried[at] += abs(one)
        if self.stand is not None:
            self.stand = turned(self.stand, turns, self.usual)
        self.since = 0

    def next_turn(self, aim: Aim, stage: str) -> TurnScrews | None:
        """Return what to turn next; None if no turn is worth it."""
        if self.stand is None:
            return None
        found = best(self.stand, aim, self.usual)
        if not any(found):
            return None
        made = tuple(Turn(side, self.screw, one) for side, one in zip(BOTH, found, strict=True) if one)
        then = turned(self.stand, [one / WHOLE for one in found], self.usual)
        return TurnScrews(where=self.where, turns=made, stage=stage, expected=expected(then))

    def amiss(self) -> tuple[Why, Side] | None:
        """Return what is wrong with how a screw answers, and on which side; None if nothing is so far."""
        if self.stand is None:
            return None
        usual = self.usual.answers[0]
        if sum(self.tried) >= TRIED and _most(*self.stand.between(0), usual[0] - usual[1]) < 0:
            return "wrong way", None
        for at, side in enumerate(BOTH):
            most = _most(*self.stand.answer(0, at), usual[at])
            if self.tried[at] >= TRIED and most < DEAD:
                return ("wrong way", None) if most < 0 else ("no answer", side)
        return None

    @property
    def far(self) -> Side:
        """The side whose screw was turned far from where it was found: it makes up for something."""
        return next((side for at, side in enumerate(BOTH) if abs(self.gone[at]) > FARTHEST[self.screw]), None)


def _most(answer: float, spread: float, usual: float) -> float:
    """Return the most that an answer may be, as a share of the usual one."""
    return answer / usual + 2 * spread / abs(usual)


def level(stand: Stand, aim: Aim, *, guarded: bool = True) -> bool:
    """Whether all is where it should be; `guarded`: so surely that two standard deviations are kept off the limits."""
    rows = zip(stand.value, stand.spread, aim.at, aim.within, strict=True)
    return all(abs(value - at) + 2 * spread * guarded <= within for value, spread, at, within in rows)


def expected(stand: Stand) -> tuple[tuple[float, float], ...]:
    """Return what a reading should show, each with two standard deviations."""
    return tuple((value, 2 * spread) for value, spread in zip(stand.value, stand.spread, strict=True))


def _figures(step: Seen) -> tuple[Sequence[float | None], list[float]]:
    """Return what is read here, and one standard deviation of each."""
    if step.where == OFF_IDLE:
        return [step.behind], [step.behind_half / 2]
    return [step.behind, step.revs], [step.behind_half / 2, step.revs_half / 2]
