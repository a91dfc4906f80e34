"""The lesson of the readiness order, line by line."""

from rich.console import Console

from advisor.cli.common import typed_line
from advisor.cli.practice_talk import ENDS
from advisor.errors import AdvisorError
from advisor.practice.lesson import Stage, stage
from advisor.practice.levels import stage_like
from advisor.rulebase.model import Rulebase
from advisor.show import practice
from advisor.show import verdict as draw

SHOW = "Enter: its first check on a bike that fails it. 3 or fuel: that stage. q: stop."
NEXT = "Enter: next stage. 3 or fuel: that stage. q: stop."
LEFT = -1


class Lesson:
    """The stages, one after the other or as they are asked for. A caution is shown in full once, then by its name."""

    def __init__(self, base: Rulebase, screen: Console) -> None:
        """Begin with no caution shown."""
        self.base, self.screen = base, screen
        self.seen: set[str] = set()

    def run(self, begin: str) -> None:
        """Go through the stages from this one on ('' for the first). Raises AdvisorError for none that is called so."""
        place = self._called(begin) if begin else 0
        self.screen.print(draw.lesson_opening(self.base))
        while place < len(self.base.areas):
            after = self._stage(place)
            if after == LEFT:
                title = self.base.areas[place].title
                self.screen.print(f"Stopped at stage {place + 1} of {len(self.base.areas)}: {title}.")
                return
            place = after
        self.screen.print("\nThat is the whole order. Now try it: advisor practice --level easy")

    def _called(self, words: str) -> int:
        place = stage_like(words, self.base)
        if place is None:
            titles = "; ".join(f"{number} {area.title}" for number, area in enumerate(self.base.areas, start=1))
            msg = f"no stage is called '{words}'; there are: {titles}"
            raise AdvisorError(msg)
        return place

    def _stage(self, place: int) -> int:
        """Teach one stage; return which comes after it, LEFT for none."""
        taught = stage(place, self.base)
        self.screen.print(draw.stage(place + 1, taught, self.seen, self.base))
        self.seen |= set(taught.cautions)
        wish = self._wish(SHOW)
        return self._shown(place, taught) if wish is None else wish

    def _shown(self, place: int, taught: Stage) -> int:
        self.screen.print(draw.shown(taught, self.seen, self.base))
        if place + 1 == len(self.base.areas):
            return place + 1
        wish = self._wish(NEXT)
        return place + 1 if wish is None else wish

    def _wish(self, ask: str) -> int | None:
        """Return the stage that is asked for, LEFT to stop, None to go on."""
        while True:
            self.screen.print(ask, style="dim")
            line = typed_line()
            words = "" if line is None else line.strip().lower()
            if line is None or words in ENDS:
                return LEFT
            if not words:
                return None
            try:
                return self._called(words)
            except AdvisorError as error:
                self.screen.print(practice.mistake(str(error)))
