"""What is typed in a practice round, line by line."""

import re
from collections.abc import Callable, Sequence

from rich.console import Console

from advisor.errors import AdvisorError
from advisor.practice.levels import stage_like, stage_of
from advisor.practice.offers import NAME, Finder, Offer, causes_of, checks_of, on_side, said_side
from advisor.practice.round import DO, FIX, Round, Step
from advisor.show import practice as draw
from advisor.sides import Side, Sided, named

CHOICE = re.compile(r"^(\d+)\s*(l|r|left|right|both)?$")
LOOKS = ("look", "check", "do")
LISTS = ("list", "stages", "back")
ENDS = ("stop", "quit", "exit", "q")
AGAIN, YES = "again", ("yes", "y")
NOT_HERE = {
    "undo": "there is no undo here: minutes that are spent are spent, as at the bike. 'know' shows what they brought",
    "hint": "there is no hint here: 'list' goes through the stages in their order, 'know' shows what is known, "
    "'give up' ends with what it was",
}


def _nothing() -> None:
    """Keep nothing."""


class Talk:
    """The lines of one round. `take` returns False to leave it; it is over when `now.over` says so."""

    def __init__(self, now: Round, screen: Console, keep: Callable[[], None] = _nothing) -> None:
        """Begin with the stages as the list that numbers mean; `keep` is called after every step."""
        self.now, self.screen, self.base = now, screen, now.base
        self.finder, self.keep = Finder(now), keep
        self.title, self.shown, self.start = "", list[Offer](), 0
        self.pending: tuple[Offer, bool] | None = None  # what waits for its side, and whether it is done again
        self.asked: tuple[Sided, ...] = ()  # what is named once that is confirmed
        self.repeat: tuple[Offer, list[Side]] | None = None  # what was done before, and waits for a clear word

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
        text = " ".join(words)
        if text in ENDS:
            return False
        if titled := self.finder.titled(text):
            self._forget()
            self._act(*titled)
        elif self._plain(text):
            self.asked = ()
        elif not self._answered(words):
            self._forget()
            again = len(words) > 1 and words[-1] == AGAIN
            self._wish(words[:-1] if again else words, again)
        return True

    def _forget(self) -> None:
        """Let go of what was asked back, once something else is typed."""
        self.pending, self.asked, self.repeat = None, (), None

    def _answered(self, words: list[str]) -> bool:
        """Take the answer to what was asked back; return whether it was one."""
        plain, said = said_side([word for word in words if word != AGAIN])
        if self.pending and not said and (CHOICE.match(" ".join(plain)) or words in (["no"], ["n"])):
            msg = f"{self.pending[0].title}: on which side? Write left, right or both"
            raise AdvisorError(msg)
        if self.pending and said and not plain:
            offer, again = self.pending
            self._forget()
            self._act(offer, said, again=again or AGAIN in words)
        elif self.asked and words[0] in YES:
            self.now.name(self.asked)
        elif self.repeat and words == [AGAIN]:
            offer, sides = self.repeat
            self._forget()
            self._do(offer, sides, again=True)
        else:
            return False
        return True

    def _wish(self, words: list[str], again: bool) -> None:
        first, rest, text = words[0], words[1:], " ".join(words)
        if first in NOT_HERE:
            raise AdvisorError(NOT_HERE[first])
        if words == [AGAIN]:
            msg = "again: say what, like 'look plug left again'"
            raise AdvisorError(msg)
        if match := CHOICE.match(text):
            self._number(match, again)
        elif text == "give up":
            self.now.give_up()
        elif first in LISTS:
            self._list(" ".join(rest))
        else:
            self._words(first, rest, again)

    def _plain(self, text: str) -> bool:
        """Show what changes nothing; return whether that was asked."""
        now = self.now
        shows = {"know": draw.known, "clock": draw.clock, "handbook": draw.handbook}
        shown = (shows | dict.fromkeys(("help", "?"), draw.help_lines)).get(text)
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

    def _words(self, first: str, rest: list[str], again: bool) -> None:
        if first in {FIX, NAME}:
            self._cause(first, rest, again)
        elif first in {*LOOKS, "measure"} and (match := CHOICE.match(" ".join(rest))):
            if self.shown and self.shown[0].verb != DO:
                msg = f"the list shown last is of causes: '{match[0]}' alone takes its line, 'list' goes to the checks"
                raise AdvisorError(msg)
            self._number(match, again)
        elif first in {*LOOKS, "measure"}:
            if not rest:
                msg = f"{first}: say what, like '{first} {'slack' if first == 'measure' else 'plug left'}'; or 'list'"
                raise AdvisorError(msg)
            words, sides = said_side(rest)
            if first == "measure":
                self._found(self.finder.measured(words), sides, again)
            else:  # 'look' stands in the names of checks, the others do not
                self._found(self.finder.checks([first, *words] if first == "look" else words), sides, again)
        else:
            words, sides = said_side([first, *rest])
            if not sides and not any(letter.isalpha() for letter in " ".join(words)):
                msg = f"'{' '.join(words)}' is no number of the list and no words; 'help' shows what may be typed"
                raise AdvisorError(msg)
            if not words:
                msg = f"{first} of what? Say it with a number of the list, like '3 {first}', or with a check"
                raise AdvisorError(msg)
            self._found(self.finder.checks(words), sides, again)

    def _cause(self, verb: str, rest: list[str], again: bool) -> None:
        text = " ".join(rest)
        match = CHOICE.match(text)
        if match and self.shown and self.shown[0].verb == verb:
            self._number(match, again)
            return
        stage = stage_of(match[1] if match else text, self.base) if text else None
        if not text:
            all_of = f"'{verb} 1' to '{verb} {len(self.base.areas)}' list those of a stage"
            msg = f"{verb}: say a cause, like '{verb} plug loose left'; {all_of}"
            raise AdvisorError(msg)
        if stage is not None:
            self._new(f"{verb.upper()} WHICH? {self.base.areas[stage].title}", causes_of(stage, verb, self.now))
        elif verb == NAME and ";" in text:
            self._several([part.split() for part in text.split(";") if part.strip()])
        else:
            words, sides = said_side(rest)
            found = self.finder.causes(words, verb)
            if verb == NAME and len(found) == 1 and (sides or found[0].sides == (None,)):
                self._name(found[0], sides, sure=self.finder.called(words) is not None)
            else:
                self._found(found, sides, again)

    def _several(self, parts: list[list[str]]) -> None:
        """Name several causes at once."""
        if not parts:
            msg = "name: say a cause on either side of the ';', like 'name plug loose left; cable slack right'"
            raise AdvisorError(msg)
        keys = tuple(key for part in parts for key in self._exact(part))
        self._end(keys, sure=all(self.finder.called(said_side(part)[0]) for part in parts))

    def _name(self, offer: Offer, said: Sequence[Side], *, sure: bool) -> None:
        sides = said if offer.sides != (None,) else offer.sides
        self._end(tuple((offer.id, side) for side in sides), sure=sure)

    def _end(self, keys: tuple[Sided, ...], *, sure: bool) -> None:
        """Name these causes, which ends the round; ask back where they were not called by their own names."""
        if sure:
            self.now.name(keys)
        else:
            self.asked = keys
            self.screen.print(draw.sure(keys, self.base))

    def _exact(self, rest: list[str]) -> Sequence[Sided]:
        words, sides = said_side(rest)
        found = self.finder.causes(words, NAME)
        if len(found) > 1 or (len(found[0].sides) > 1 and not sides):
            names = ", ".join(
                named(one.id, side) for one in found for side in (sides if sides and one.sides[0] else one.sides)
            )
            msg = f"'{' '.join(rest)}' may be several; write one of: {names}"
            raise AdvisorError(msg)
        return [(found[0].id, side) for side in (sides or found[0].sides if len(found[0].sides) > 1 else (None,))]

    def _list(self, text: str) -> None:
        if not text:
            self.stages()
            return
        stage = stage_like(text, self.base)
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

    def _found(self, found: list[Offer], sides: Sequence[Side], again: bool) -> None:
        if len(found) == 1:
            self._act(found[0], sides, again=again)
        else:
            self._new("WHICH OF THESE?", [on_side(one, tuple(sides)) for one in found])

    def _number(self, match: re.Match[str], again: bool) -> None:
        number, sides = int(match[1]), said_side([match[2] or ""])[1]
        if not self.shown:
            self._list(str(number))
            return
        if not 1 <= number <= len(self.shown):
            msg = f"there is no {number} in the list; choose 1 to {len(self.shown)}, or 'list' for the stages"
            raise AdvisorError(msg)
        self._act(self.shown[number - 1], sides, again=again)

    def _act(self, offer: Offer, said: Sequence[Side], *, again: bool = False) -> None:
        sides = offer.sides
        if len(sides) > 1 or (said and sides[0] is not None):
            if not said:
                self.pending = offer, again
                self.screen.print(draw.which_side(offer))
                return
            sides = tuple(said)
        if offer.verb == NAME:
            self._name(offer, sides, sure=True)
        else:
            self._do(offer, sides, again=again)

    def _do(self, offer: Offer, sides: Sequence[Side], *, again: bool) -> None:
        """Do a check or a repair on these sides; what was done already is shown, and done only when said so again."""
        before = {side: None if again else self.now.earlier(offer.verb, offer.id, side) for side in sides}
        fresh = [side for side in sides if before[side] is None]
        if offer.verb == FIX and fresh:  # both sides are one job
            self._show(self.now.fix(offer.id, fresh[0], both=len(fresh) > 1))
        elif offer.verb == DO:
            for side in fresh:
                self._show(self.now.do(offer.id, side))
        for one in before.values():
            if one is not None:
                self.screen.print(draw.done_before(one, self.now))
        done = [side for side in sides if side not in fresh]
        self.repeat = (offer, done) if done and not self.now.over else None

    def _show(self, done: Step) -> None:
        self.screen.print(draw.step(done, self.now))
        self.keep()
