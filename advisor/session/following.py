"""Readings that come by themselves while they are asked for: which stretch answers the question, and as what.

A settled stretch becomes the line that somebody would have typed, so all that follows is as if it were. After a turn it
is taken once somebody says that the screws are turned, or once the readings have clearly moved and stand still again.
A check of the search may ask for more to be done first, so there it waits for word that it is ready.
"""

from collections.abc import Iterator, Sequence

import msgspec

from advisor.balance.course_steps import COLUMNS, IDLE, OFF_IDLE
from advisor.errors import with_typed
from advisor.intake.incoming import Begins, News
from advisor.intake.live_table import Row
from advisor.quantities import widen
from advisor.readings.settling import SETTLED_S, Settled, Settling
from advisor.readings.uncertainty import half_width
from advisor.readings.watched import HOOKED, Watch
from advisor.rulebase.model import Rulebase
from advisor.session.balance_so_far import READINGS, REVS
from advisor.session.next_question import CHECK, LED, Question

AT_IDLE, OFF = READINGS[COLUMNS, IDLE], READINGS[COLUMNS, OFF_IDLE]
IDLES = (0.0, 1_800.0)  # rpm: an idle that is far too high is still one
HOLDS = (2_000.0, 3_200.0)  # rpm: about 2,500, as a hand holds it
CLEAR = 4.0  # half-widths: what moves by more was moved
LEAST_MOVED = (6.0, 6.0, 40.0)  # mmHg, mmHg, rpm: judgement
MOST_REPEATS = 5  # of revs on one line
ALONE_S = 5.0  # s longer than otherwise, before a movement is taken for the turn: a hand may still be at the screw
SWINGS_S = 20.0  # s of swinging, after which it is said
TURNED = ("turned", "done", "it is turned", "ok")
MOVING, SETTLING, STANDS, NOTHING = "moving", "settling", "engine stopped", ""
WAITS, HELD, READY = "waits for the turn", "look at the hoses", "waits until it is ready"  # until somebody says so


class Says(msgspec.Struct, frozen=True):
    """Something to say, in a sentence; `typed` is what to type then, where lines are typed."""

    says: str
    typed: str = ""

    @property
    def whole(self) -> str:
        """Both."""
        return with_typed(self.says, self.typed)


IS_READY = Says("It is taken once it has settled.")
IS_TURNED = Says("Turned. It is taken once it has settled.")
SEEN_TO_MOVE = Says("It has moved and settled: taken as turned.", "'undo' if it was not.")
CAME_BACK = Says("It stands as it stood before the turn.", "Press Enter if the screw is turned all the same.")
SWINGS = Says("It swings too far to settle: damp the hoses, or type what you read.")
ON_AGAIN = Says("It goes on from here.")


class Taken(msgspec.Struct, frozen=True):
    """A settled stretch taken as a reading: the line that it is typed as."""

    line: str


def serves(question: Question) -> bool:
    """Whether a table of columns and revs gives what a question asks for: of the balance, or of a check."""
    found = _asked_for(question)
    if question.kind == LED:  # its revs stand beside its sides, and say nothing without them
        return bool(question.takes) and question.takes[0] in found
    return question.kind == CHECK and bool(found)


def _asked_for(question: Question) -> list[str]:
    """Return what such a table gives of the readings that a question takes."""
    return [one for one in question.takes if one in {AT_IDLE, OFF, REVS}]


def waits(question: Question) -> bool:
    """Whether somebody says first that something is done."""
    return bool(question.turns) or (question.kind == CHECK and serves(question))


class Follower:
    """Watches rows as they come, for one session after another question."""

    def __init__(self, base: Rulebase) -> None:
        self.base = base
        self.watch, self.settling = Watch(), Settling()
        self.last: Row | None = None
        self.state = NOTHING
        self._asked: Question | None = None
        self._before: tuple[float, float, float] | None = None  # as it stood before the turn that is asked for
        self._ask()

    def _ask(self) -> None:
        """Begin with a question: what came before it does not answer it."""
        self.settling.clear()
        self._turned = self._held = self._stirred = False
        self._since: float | None = None  # when it had settled
        self._swinging: float | None = None
        self._said: set[Says] = set()

    @property
    def held(self) -> bool:
        """Whether nothing is taken before somebody says that he has looked at what is amiss."""
        return self._held

    def begins_again(self) -> None:
        """Take what comes for another recording."""
        self.watch = Watch()
        self.settling.clear()

    def typed(self, line: str, question: Question) -> Says | None:
        """Return what to say of a line that is meant for this, and not for the question."""
        enter = not line.strip()
        if enter and self._held:
            self._held = False
            self.settling.clear()
            return ON_AGAIN
        if waits(question) and (enter or line.strip().lower().rstrip(".!") in TURNED):
            self._meet(question)
            self._turned = True
            self.settling.clear()
            return IS_TURNED if question.turns else IS_READY
        return None

    def came(self, one: Row | News | Begins, question: Question | None) -> Iterator[Says | Taken]:
        """Take in what came of the table while this is asked (None: something else than a question is)."""
        match one:
            case Begins():
                self.begins_again()
            case News():
                yield Says(one.says, one.typed)
            case Row() if question is None:
                self.last = one
            case Row():
                yield from self.take(one, question)

    def take(self, row: Row, question: Question) -> Iterator[Says | Taken]:
        """Take in a row while this is asked; yield what to say, and the reading once there is one."""
        self._meet(question)
        self.last = row
        amiss = self.watch.take(row)
        if amiss is not None:
            self._held = self._held or amiss.holds
            self._stirred = True
            self.settling.clear()
            self._since = None
            yield Says(amiss.says, amiss.typed)
        if self.watch.stopped or self.watch.frozen or self._held:
            self.state = HELD if self._held else STANDS if self.watch.stopped else MOVING
            return
        if self.settling.take(row):
            yield from self._judged(row.time, question)

    def _meet(self, question: Question) -> None:
        if self._asked is None or question != self._asked:
            self._asked = question
            self._ask()

    def _judged(self, time: float, question: Question) -> Iterator[Says | Taken]:
        found = self.settling.found
        if found is None:
            self._stirred = self._stirred or self._since is not None
            self.state, self._since = MOVING if self.settling.so_far >= SETTLED_S else SETTLING, None
            yield from self._swings(time)
            return
        self._swinging = None
        self._since = time if self._since is None else self._since
        self.state = NOTHING
        if not serves(question):
            return
        if (why_not := _why_not(found, question)) is not None:
            yield from self._once(Says(why_not))
        elif question.kind == CHECK and not self._turned:
            self.state = READY
        elif question.turns and not self._turned:
            self.state = WAITS
            if self._before is None or time - self._since < ALONE_S:
                return
            if self._moved(found, question):
                yield SEEN_TO_MOVE
                yield self._taken(found, question)
            elif self._stirred:
                yield from self._once(CAME_BACK)
        else:
            yield self._taken(found, question)

    def _swings(self, time: float) -> Iterator[Says]:
        if not self.settling.swings:
            self._swinging = None
            return
        self._swinging = time if self._swinging is None else self._swinging
        if time - self._swinging >= SWINGS_S:
            yield from self._once(SWINGS)

    def _once(self, one: Says) -> Iterator[Says]:
        if one.says and one not in self._said:
            self._said.add(one)
            yield one

    def _moved(self, found: Settled, question: Question) -> bool:
        """Whether it stands clearly otherwise than before the turn."""
        name = AT_IDLE if OFF not in question.takes else OFF
        gives = (self._give(name, found.left), self._give(name, found.right), self._give(REVS, found.revs))
        pairs = zip(found.means, self._before or found.means, gives, LEAST_MOVED, strict=True)
        return any(abs(now - before) > max(CLEAR * give, least) for now, before, give, least in pairs)

    def _taken(self, found: Settled, question: Question) -> Taken:
        self._before = found.means
        left, right, revs = found.means
        name = question.takes[0]
        if question.kind == CHECK:
            return Taken(", ".join(self._named(one, found) for one in _asked_for(question)))
        if name == REVS:
            return Taken(f"{', '.join(f'{one:.0f}' for one in found.revs[-MOST_REPEATS:])} rpm")
        speed = f"{revs:.0f} +/- {max(self._give(REVS, found.revs), 1):.0f}"
        sides = f"{left:.1f} +/- {self._give(name, found.left):.1f} {right:.1f} +/- {self._give(name, found.right):.1f}"
        return Taken(f"{sides} mmHg {speed}" if REVS in question.takes else f"{sides} mmHg")

    def _named(self, name: str, found: Settled) -> str:
        """Return a reading of a check with its name, as the search is told it."""
        if name == REVS:
            return f"{name} {', '.join(f'{one:.0f}' for one in found.revs[-MOST_REPEATS:])} rpm"
        sides = zip(("left", "right"), (found.left, found.right), found.means, strict=False)
        said = (f"{side} {mean:.1f} +/- {self._give(name, values):.1f} mmHg" for side, values, mean in sides)
        return f"{name} {' '.join(said)}"

    def _give(self, name: str, values: Sequence[float]) -> float:
        """Return the half-width that the mean of repeats is trusted within, in mmHg or rpm."""
        page = self.base.readings[name]
        unit = "rpm" if name == REVS else "mmHg"
        give, instrument = (widen(one, page.unit, unit, self.base.units) for one in (page.give, page.instrument))
        return half_width(values, give, instrument)


def _why_not(found: Settled, question: Question) -> str | None:
    """Return why a settled stretch does not answer the question, '' for no need to say; None if it does."""
    left, right, revs = found.means
    name, hooked = (_asked_for(question) or question.takes)[0], max(left, right) > HOOKED
    if name not in {AT_IDLE, OFF, REVS}:
        return ""
    low, high = HOLDS if name == OFF else IDLES
    if not low <= revs <= high:
        wanted = "hold about 2,500 rpm" if name == OFF else "let it idle"
        return f"It runs too {'slowly' if revs < low else 'fast'}: {wanted}."
    if question.kind == CHECK and name == REVS:
        return None
    if question.unhooked:
        return "The columns still draw: take the hoses off and cap both ports." if hooked else None
    return None if hooked else "Hardly any depression on either side: are both hoses on, and their taps open?"
