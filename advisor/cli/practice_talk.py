"""What is typed in a practice round, line by line."""

import re
from collections.abc import Sequence

from rich.console import Console

from advisor.errors import AdvisorError
from advisor.show import practice as draw
from advisor.sides import Side, named
from advisor.trial.practice import DO, FIX, Key, Round
from advisor.trial.wanted import NAME, Finder, Offer, causes_of, checks_of, on_side, said_side, stage_of

CHOICE = re.compile(r"^(\d+)\s*(l|r|left|right|both)?$")
LOOKS = ("look", "check", "do")
LISTS = ("list", "stages", "back")
ENDS = ("stop", "quit", "exit", "q")


class Talk:
    """The lines of one round. `take` returns False to leave it; it is over when `now.over` says so."""

    def __init__(self, now: Round, screen: Console) -> None:
        """Begin with the stages as the list that numbers mean."""
        self.now, self.screen, self.base = now, screen, now.base
        self.finder = Finder(now)
        self.title, self.shown, self.start = "", list[Offer](), 0
        self.pending: Offer | None = None

    def take(self, line: str) -> bool:
        """Take one line. A mistake is said, and changes nothing."""
        words = line.lower().split()
        try:
            return self._take(words) if words else True
        except AdvisorError as error:
            for problem in error.problems:
                self.screen.print(draw.mistake(problem.text))
        return True

    def _take(self, words: list[str]) -> bool:
        first, rest = words[0], words[1:]
        text = " ".join(words)
        pending, self.pending = self.pending, None
        if titled := self.finder.titled(text):
            self._act(*titled)
        elif pending and (said := said_side(words))[1] and not said[0]:
            self._act(pending, said_side(words)[1])
        elif text in ENDS:
            return False
        elif match := CHOICE.match(text):
            self._number(int(match[1]), said_side([match[2] or ""])[1])
        elif text == "give up":
            self.now.give_up()
        elif first in LISTS:
            self._list(" ".join(rest))
        elif not self._plain(text):
            self._words(first, rest)
        return True

    def _plain(self, text: str) -> bool:
        """Show what changes nothing; return whether that was asked."""
        now = self.now
        shown = {"know": draw.known, "clock": draw.clock, "help": draw.help_lines}.get(text)
        if shown:
            self.screen.print(shown(now))
        elif text == "more":
            if self.start + draw.PAGE >= len(self.shown):
                msg = "there is no more of this list; 'list' goes back to the stages"
                raise AdvisorError(msg)
            self._page(self.start + draw.PAGE)
        else:
            return False
        return True

    def _words(self, first: str, rest: list[str]) -> None:
        if first in {FIX, NAME}:
            self._cause(first, rest)
        elif first in {*LOOKS, "measure"}:
            if not rest:
                msg = f"{first}: say what, like '{first} {'slack' if first == 'measure' else 'plug left'}'; or 'list'"
                raise AdvisorError(msg)
            words, sides = said_side(rest)
            if first == "measure":
                self._found(self.finder.measured(words), sides)
            else:  # 'look' stands in the names of checks, the others do not
                self._found(self.finder.checks([first, *words] if first == "look" else words), sides)
        else:
            words, sides = said_side([first, *rest])
            if not sides and not any(letter.isalpha() for letter in " ".join(words)):
                msg = f"'{' '.join(words)}' is no number of the list and no words; 'help' shows what may be typed"
                raise AdvisorError(msg)
            if not words:
                msg = f"{first} of what? Say it with a number of the list, like '3 {first}', or with a check"
                raise AdvisorError(msg)
            self._found(self.finder.checks(words), sides)

    def _cause(self, verb: str, rest: list[str]) -> None:
        text = " ".join(rest)
        stage = stage_of(text, self.base) if text else None
        if not text:
            all_of = f"'{verb} 1' to '{verb} {len(self.base.areas)}' list those of a stage"
            msg = f"{verb}: say a cause, like '{verb} plug loose left'; {all_of}"
            raise AdvisorError(msg)
        if stage is not None:
            self._new(f"{verb.upper()} WHICH? {self.base.areas[stage].title}", causes_of(stage, verb, self.now))
        elif verb == NAME and ";" in text:
            parts = [part.split() for part in text.split(";") if part.strip()]
            if not parts:
                msg = "name: say a cause on either side of the ';', like 'name plug loose left; cable slack right'"
                raise AdvisorError(msg)
            self.now.name([key for part in parts for key in self._exact(part)])
        else:
            words, sides = said_side(rest)
            self._found(self.finder.causes(words, verb), sides)

    def _exact(self, rest: list[str]) -> Sequence[Key]:
        words, sides = said_side(rest)
        found = self.finder.causes(words, NAME)
        if len(found) > 1 or (len(found[0].sides) > 1 and not sides):
            names = ", ".join(named(one.id, "left" if len(one.sides) > 1 else None) for one in found)
            msg = f"'{' '.join(rest)}' may be several; write one of: {names}"
            raise AdvisorError(msg)
        return [(found[0].id, side) for side in (sides or found[0].sides if len(found[0].sides) > 1 else (None,))]

    def _list(self, text: str) -> None:
        if not text:
            self.stages()
            return
        stage = stage_of(text, self.base)
        if stage is None:
            msg = f"list {text}: no such stage; 'list 1' to 'list {len(self.base.areas)}', or a word of its name"
            raise AdvisorError(msg)
        self._new(f"STAGE {stage + 1}: {self.base.areas[stage].title}", checks_of(stage, self.now))

    def stages(self) -> None:
        """Show the stages; numbers mean them from then on."""
        self.shown, self.title = [], ""
        counts = [len(checks_of(stage, self.now)) for stage in range(len(self.base.areas))]
        self.screen.print(draw.stages(counts, self.base))

    def _new(self, title: str, found: list[Offer]) -> None:
        if not found:
            msg = "nothing is left to be done there; 'list' goes back to the stages"
            raise AdvisorError(msg)
        self.title, self.shown = title, found
        self._page(0)

    def _page(self, start: int) -> None:
        self.start = start
        self.screen.print(draw.offers(self.title, self.shown, start))

    def _found(self, found: list[Offer], sides: Sequence[Side]) -> None:
        if len(found) == 1:
            self._act(found[0], sides)
        else:
            self._new("WHICH OF THESE?", [on_side(one, tuple(sides)) for one in found])

    def _number(self, number: int, sides: Sequence[Side]) -> None:
        if not self.shown:
            self._list(str(number))
            return
        if not 1 <= number <= len(self.shown):
            msg = f"there is no {number} in the list; choose 1 to {len(self.shown)}, or 'list' for the stages"
            raise AdvisorError(msg)
        self._act(self.shown[number - 1], sides)

    def _act(self, offer: Offer, said: Sequence[Side]) -> None:
        sides = offer.sides
        if len(sides) > 1 or (said and sides[0] is not None):
            if not said:
                self.pending = offer
                self.screen.print(draw.which_side(offer))
                return
            sides = tuple(said)
        if offer.verb == NAME:
            self.now.name([(offer.id, side) for side in sides])
            return
        for side in sides:
            if not self.now.over:
                done = (self.now.do if offer.verb == DO else self.now.fix)(offer.id, side)
                self.screen.print(draw.step(done, self.now))
