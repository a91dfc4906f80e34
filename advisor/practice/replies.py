"""What practice replies to a line: typed, self-contained records, which a terminal or a page draws.

All words come from the pages, sides filled in. Minutes are minutes, probabilities 0 to 1, readings in their own unit.
"""

import msgspec

from advisor.errors import with_typed
from advisor.practice.handbook import Asked
from advisor.practice.levels import BikeId
from advisor.sides import Side

INPUT_ENDED, LEFT, STOPPED = "input ended", "left", "stopped"  # how a round is left before it is over


class Reply(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """One reply. In JSON its `type` is the name of its class."""


class Care(msgspec.Struct, frozen=True, kw_only=True):
    """Cautions for a step: new ones in full, those shown before by name."""

    fresh: tuple[str, ...] = ()
    before: tuple[str, ...] = ()


class SideRead(msgspec.Struct, frozen=True, kw_only=True):
    """What was read on a side (None for the whole bike): the repeats, and how often the engine stalled instead."""

    side: Side
    values: tuple[float, ...] = ()
    stalls: int = 0


class ReadingTaken(msgspec.Struct, frozen=True, kw_only=True):
    """A reading as taken, each figure trusted within `trusted` (0 if not stated)."""

    name: str
    title: str
    unit: str
    sides: tuple[SideRead, ...]
    trusted: float = 0.0
    asked: Asked | None = None


class CheckDone(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A check that was done: the steps, the result and the readings."""

    title: str
    minutes: float
    says: str
    how: tuple[str, ...] = ()
    care: Care = Care()
    readings: tuple[ReadingTaken, ...] = ()


class RepairDone(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """A cause that was put right: how, and what the rider says after a run. `outcome` is as in `round.Step`."""

    title: str
    minutes: float
    outcome: str
    how: str = ""
    care: Care = Care()
    set_again: bool = False
    still: tuple[str, ...] = ()


class Opening(Reply, frozen=True, kw_only=True):
    """A bike as it comes in: what its rider says, and what a workshop found that no rider could notice."""

    bike: BikeId
    may_have_two: bool
    rider: tuple[str, ...]
    workshop: tuple[str, ...]


class LeftBefore(Reply, frozen=True, kw_only=True):
    """Somebody left this bike half-way before."""

    bike: BikeId


class StageListed(msgspec.Struct, frozen=True, kw_only=True):
    """A stage of the readiness order, and how many checks can be done in it."""

    number: int
    title: str
    checks: int


class Stages(Reply, frozen=True, kw_only=True):
    """The stages; a number opens one."""

    stages: tuple[StageListed, ...]


class OfferListed(msgspec.Struct, frozen=True, kw_only=True):
    """A line of a list: `minutes` are 0 if it costs none, `sided` says whether its side is still open.

    `line` is what means it whatever list is shown; a side that is still open goes behind it.
    """

    number: int
    title: str
    minutes: float
    sided: bool
    line: str = ""


class OfferList(Reply, frozen=True, kw_only=True):
    """A part of a list of checks or causes, with how many `more` it has; `stage` is 0 if they are from several.

    `verb` says what choosing one does: check, fix or name.
    """

    verb: str
    stage: int
    title: str
    offers: tuple[OfferListed, ...]
    more: int


class StepDone(Reply, frozen=True, kw_only=True):
    """A step, and the minutes on the clock after it."""

    step: CheckDone | RepairDone
    clock: float


class DoneBefore(Reply, frozen=True, kw_only=True):
    """A step that was already done; it is repeated, for its minutes, only on clear request, which is this `line`."""

    step: CheckDone | RepairDone
    line: str = ""


class Known(Reply, frozen=True, kw_only=True):
    """All that is known so far."""

    clock: float
    told: tuple[str, ...]
    steps: tuple[CheckDone | RepairDone, ...]


class Clock(Reply, frozen=True, kw_only=True):
    """The minutes so far, and the number of steps."""

    clock: float
    steps: int


class Handbook(Reply, frozen=True, kw_only=True):
    """The bike's own figures, each with its title."""

    figures: tuple[tuple[str, Asked], ...]


class Help(Reply, frozen=True, kw_only=True):
    """The user asked what may be typed."""


class AskSide(Reply, frozen=True, kw_only=True):
    """On which side? The next line may be just the side, or this `line` with the side behind it."""

    title: str
    line: str = ""


class AskSure(Reply, frozen=True, kw_only=True):
    """Are these causes meant? They were not called by their exact names, as `line` does, and naming them ends it."""

    titles: tuple[str, ...]
    line: str = ""


class Mistake(Reply, frozen=True, kw_only=True):
    """What is wrong with what was typed, and what to type instead, where lines are typed; nothing has changed."""

    text: str
    typed: str = ""

    @property
    def whole(self) -> str:
        """Both in one sentence."""
        return with_typed(self.text, self.typed)


class FileTrouble(Reply, frozen=True, kw_only=True):
    """A file of practice could not be written or read; practice goes on without."""

    text: str


class Left(Reply, frozen=True, kw_only=True):
    """The round was left before it was over: `how`, and whether its steps are `kept`, to go on another time."""

    how: str
    clock: float
    steps: int
    bike: BikeId
    kept: bool


class Over(Reply, frozen=True, kw_only=True):
    """The round is over; `outcome` is as in `round.Round.over`."""

    outcome: str


class ShownBefore(Reply, frozen=True, kw_only=True):
    """The answer of this bike was shown before, so it does not count again."""
