"""The lesson of the readiness order as a dialogue: a line in, typed records out. Prints nothing."""

import threading
from collections.abc import Sequence

from advisor.errors import AdvisorError
from advisor.practice.describe import care, reading
from advisor.practice.dialogue import ENDS
from advisor.practice.lesson import Example, LookedAt, Stage, stage
from advisor.practice.replies import Care, Mistake, ReadingTaken, Reply
from advisor.practice.stages import stage_meant
from advisor.rulebase.model import Rulebase

FIRST_CHECK, NEXT_STAGE = "first check", "next stage"  # what an empty line goes on with


class LessonOpening(Reply, frozen=True, kw_only=True):
    """The lesson begins, with its number of stages."""

    stages: int


class StageTaught(Reply, frozen=True, kw_only=True):
    """A stage: why it has this place and comes before the next, what to look at, and the cautions."""

    number: int
    title: str
    reason: str
    before: str
    looked_at: tuple[LookedAt, ...]
    care: Care


class ExampleShown(Reply, frozen=True, kw_only=True):
    """The stage's first check on a bike that fails it: the steps, the result and readings, the planted fault."""

    title: str
    minutes: float
    care: Care
    how: tuple[str, ...]
    says: str
    readings: tuple[ReadingTaken, ...]
    fault: str
    reason: str


class NoExample(Reply, frozen=True, kw_only=True):
    """The virtual bike has no fault that shows in this stage."""


class AskNext(Reply, frozen=True, kw_only=True):
    """What next? An empty line goes on with this; a stage's number or name goes there; 'q' ends it."""

    next: str


class LessonStopped(Reply, frozen=True, kw_only=True):
    """The lesson was stopped at this stage."""

    number: int
    stages: int
    title: str


class LessonOver(Reply, frozen=True, kw_only=True):
    """All stages were gone through."""


class Lesson:
    """The stages, one after another or as requested. A caution is shown in full once, then by name.

    `over` is true once it has ended. Threads may share a lesson: one line at a time is taken.
    """

    def __init__(self, base: Rulebase, begin: str = "") -> None:
        """Begin at this stage ('' for the first). Raises AdvisorError when none has this name."""
        self.base, self.over = base, False
        self._at = self._meant(begin) if begin else 0
        self._stage: Stage | None = None  # whose example has not been shown yet
        self._cautioned: set[str] = set()
        self._lock = threading.Lock()

    def opening(self) -> list[Reply]:
        """Return the lesson's opening, and its first stage."""
        with self._lock:
            return [LessonOpening(stages=len(self.base.areas)), *self._teach(self._at)]

    def take(self, line: str) -> list[Reply]:
        """Take one line: an empty one goes on, a stage's number or name goes there, 'q' stops."""
        words = line.strip().lower()
        with self._lock:
            if self.over:
                return []
            if words in ENDS:
                return self._stop()
            if not words:
                return self._go_on()
            try:
                return self._teach(self._meant(words))
            except AdvisorError as error:
                return [Mistake(text=str(error)), self._ask()]

    def stop(self) -> list[Reply]:
        """Stop at the stage that was shown last."""
        with self._lock:
            return [] if self.over else self._stop()

    def _meant(self, words: str) -> int:
        place = stage_meant(words, self.base)
        if place is None:
            titles = "; ".join(f"{number} {area.title}" for number, area in enumerate(self.base.areas, start=1))
            msg = f"no stage is called '{words}'; there are: {titles}"
            raise AdvisorError(msg)
        return place

    def _ask(self) -> AskNext:
        return AskNext(next=FIRST_CHECK if self._stage else NEXT_STAGE)

    def _teach(self, place: int) -> list[Reply]:
        self._at, self._stage = place, stage(place, self.base)
        taught = self._stage
        shown = StageTaught(
            number=place + 1,
            title=taught.title,
            reason=taught.reason,
            before=taught.before,
            looked_at=taught.looked_at,
            care=self._care(taught.cautions),
        )
        self._cautioned |= set(taught.cautions)
        return [shown, self._ask()]

    def _go_on(self) -> list[Reply]:
        if not self._stage:
            return self._teach(self._at + 1)
        shown = self._example(self._stage.example)
        self._stage = None
        if self._at + 1 < len(self.base.areas):
            return [shown, self._ask()]
        self.over = True
        return [shown, LessonOver()]

    def _example(self, one: Example | None) -> Reply:
        if one is None:
            return NoExample()
        return ExampleShown(
            title=one.title,
            minutes=one.minutes,
            care=self._care(one.cautions),
            how=one.steps,
            says=one.answer.says,
            readings=tuple(reading(name, taken, self.base) for name, taken in one.answer.readings.items()),
            fault=one.fault,
            reason=one.reason,
        )

    def _care(self, names: Sequence[str]) -> Care:
        fresh = [one for one in names if one not in self._cautioned]
        return care(fresh, [one for one in names if one in self._cautioned], self.base)

    def _stop(self) -> list[Reply]:
        self.over = True
        title = self.base.areas[self._at].title
        return [LessonStopped(number=self._at + 1, stages=len(self.base.areas), title=title)]
