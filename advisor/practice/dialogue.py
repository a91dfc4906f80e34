"""A practice round as a dialogue: a line in, typed records out. Prints nothing, and needs no terminal."""

import re
import threading
from collections.abc import Iterator, Sequence
from pathlib import Path

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.practice import describe
from advisor.practice.handbook import figures
from advisor.practice.keeper import Keeper, brought_back
from advisor.practice.levels import BikeId
from advisor.practice.offers import NAME, Finder, Offer, causes_of, checks_of, on_side, said_side
from advisor.practice.replies import (
    LEFT,
    AskSide,
    AskSure,
    Clock,
    DoneBefore,
    Handbook,
    Help,
    Left,
    Mistake,
    OfferList,
    Over,
    Reply,
    StepDone,
)
from advisor.practice.review import review
from advisor.practice.round import CHECK, FIX, Round, Step
from advisor.practice.shown_list import AGAIN, ShownList, line_of
from advisor.practice.stages import stage_called, stage_meant
from advisor.practice.verdict import verdict
from advisor.sides import Side, Sided, fill, named

CHOICE = re.compile(r"^(\d{1,9})\s*(l|r|left|right|both)?$")
MEASURE = "measure"
LOOKS = ("look", "check", "do", MEASURE)
LISTS = ("list", "stages", "back")
ENDS = ("stop", "quit", "exit", "q")
YES, NO = ("yes", "y"), (["no"], ["n"])
NOT_HERE = {
    "undo": (
        "there is no undo here: minutes that are spent are spent, as at the bike",
        "'know' shows what they brought",
    ),
    "hint": (
        "there is no hint here",
        "'list' goes through the stages in their order, 'know' shows what is known, 'give up' ends with what it was",
    ),
}
Replies = Iterator[Reply]


class Talk:
    """One round, line by line; it begins with the stages as the list that numbers mean.

    `ended` is true once no more lines are taken: the round is over, so that `review` says how it went, or was left.
    Threads may share a talk: one line at a time is taken.
    """

    def __init__(self, round_: Round, keeper: Keeper | None = None) -> None:
        """Take a round. With a keeper its steps and its end are kept on disk."""
        self.round, self.base, self.keeper = round_, round_.base, keeper
        self.left = False
        self._lock = threading.RLock()
        self._finder = Finder(round_)
        self._list = ShownList()
        self._pending: tuple[Offer, bool] | None = None  # an offer that waits for its side, and whether to repeat it
        self._unsure: tuple[Sided, ...] = ()  # causes to name once confirmed
        self._repeat: tuple[Offer, list[Side]] | None = None  # an offer done before, waiting for a clear request
        self._reviewed: list[Reply] | None = None

    @property
    def ended(self) -> bool:
        """Whether no more lines are taken."""
        return self.left or bool(self.round.over)

    def opening(self) -> list[Reply]:
        """Return what is shown first: the bike as it came in, and what is already known if it was resumed."""
        with self._lock:
            first: list[Reply] = [describe.opening(self.round)]
            if self.round.steps:
                return [*first, describe.known(self.round)]
            return first + (self.keeper.left_before() if self.keeper else [])

    def stages(self) -> list[Reply]:
        """Return the stages, which numbers mean from then on."""
        with self._lock:
            return list(self._stages())

    def take(self, line: str) -> list[Reply]:
        """Take one line. A mistake is reported, and changes nothing; earlier steps in the same line are kept.

        The last reply is Over when the round has ended, and Left when it was left.
        """
        with self._lock:
            words = line.lower().split()
            if self.ended or not words:
                return []
            if " ".join(words) in ENDS:
                return self.leave(LEFT)
            replies: list[Reply] = []
            try:
                replies.extend(self._take(words))  # keeps what came before an error
            except AdvisorError as error:
                replies += [Mistake(text=problem.text, typed=problem.typed) for problem in error.problems]
            return [*replies, Over(outcome=self.round.over)] if self.round.over else replies

    def offered(self, verb: str, stage: int) -> OfferList:
        """Return all that can be done in a stage (0 first), or its causes to fix or name; nothing changes by that."""
        with self._lock:
            found = checks_of(stage, self.round) if verb == CHECK else causes_of(stage, verb, self.round)
            title = self.base.areas[stage].title
            return ShownList(stage=stage + 1, title=title, offers=tuple(found)).page(len(found))

    def leave(self, how: str) -> list[Reply]:
        """Leave the round before it is over, by LEFT, INPUT_ENDED or STOPPED."""
        with self._lock:
            self.left = True
            return [
                Left(
                    how=how,
                    clock=self.round.minutes,
                    steps=len(self.round.steps),
                    bike=self.round.bike,
                    kept=bool(self.keeper and self.keeper.kept),
                )
            ]

    def review(self) -> list[Reply]:
        """Return how a finished round went; the planner tries the same bike, which takes some seconds.

        It is kept once, however often this is called. Raises ValueError if the round is not over.
        """
        with self._lock:
            if not self.round.over:
                msg = "a round that is not over cannot be judged"
                raise ValueError(msg)
            if self._reviewed is None:
                found = verdict(self.round)
                self._reviewed = [review(found, self.round), *(self.keeper.end(found) if self.keeper else [])]
            return self._reviewed

    def _take(self, words: list[str]) -> Replies:
        text = " ".join(words)
        if titled := self._finder.titled(text):
            self._forget()
            yield from self._act(*titled)
        elif shows := self._looked_up(text):
            self._unsure = ()
            yield from shows
        elif (answer := self._answered(words)) is not None:
            yield from answer
        else:
            self._forget()
            again = len(words) > 1 and words[-1] == AGAIN
            yield from self._wish(words[:-1] if again else words, again=again)

    def _forget(self) -> None:
        """Drop a pending query once something else is typed."""
        self._pending, self._unsure, self._repeat = None, (), None

    def _looked_up(self, text: str) -> list[Reply]:
        """Return what the line asks to show, which changes nothing; [] if it asks for nothing."""
        match text:
            case "know":
                return [describe.known(self.round)]
            case "clock":
                return [Clock(clock=self.round.minutes, steps=len(self.round.steps))]
            case "handbook":
                return [Handbook(figures=tuple(figures(self.base)))]
            case "help" | "?":
                return [Help()]
            case "more":
                self._list = self._list.further()
                return [self._list.page()]
        return []

    def _answered(self, words: list[str]) -> Replies | None:
        """Return the result of answering a pending query; None if the line is not an answer."""
        plain, sides = said_side([word for word in words if word != AGAIN])
        if self._pending:
            offer, again = self._pending
            if not sides and (CHOICE.match(" ".join(plain)) or words in NO):
                msg = f"{offer.title}: on which side?"
                raise AdvisorError(msg, "write left, right or both")
            if sides and not plain:
                self._forget()
                return self._act(offer, sides, again=again or AGAIN in words)
        if self._unsure and words[0] in YES:
            self.round.name(self._unsure)
            return iter(())
        if self._repeat and words == [AGAIN]:
            offer, done = self._repeat
            self._forget()
            return self._do(offer, done, again=True)
        return None

    def _wish(self, words: list[str], *, again: bool) -> Replies:
        first, rest, text = words[0], words[1:], " ".join(words)
        if first in NOT_HERE:
            raise AdvisorError(*NOT_HERE[first])
        if words == [AGAIN]:
            msg = "again: say what"
            raise AdvisorError(msg, "like 'look rocker cover left again'")
        if match := CHOICE.match(text):
            yield from self._number(match, again=again)
        elif text == "give up":
            self.round.give_up()
        elif first in LISTS:
            yield from self._checks_listed(" ".join(rest))
        elif first in {FIX, NAME}:
            yield from self._cause(first, rest, again=again)
        elif first in LOOKS:
            yield from self._look(first, rest, again=again)
        else:
            yield from self._words(words, again=again)

    def _look(self, verb: str, rest: list[str], *, again: bool) -> Replies:
        """Do the check that is meant by a number or words behind look, check, do or measure."""
        if match := CHOICE.match(" ".join(rest)):
            if self._list.verb not in {"", CHECK}:
                msg = "the list shown last is of causes"
                raise AdvisorError(msg, f"'{match[0]}' alone takes its line, 'list' goes to the checks")
            yield from self._number(match, again=again)
            return
        if not rest:
            msg = f"{verb}: say what, like '{verb} {'slack' if verb == MEASURE else 'rocker cover left'}'"
            raise AdvisorError(msg, "or 'list'")
        words, sides = said_side(rest)
        if verb == MEASURE:
            found = self._finder.measured(words)
        else:  # 'look' occurs in the names of checks, the others do not
            found = self._finder.checks([verb, *words] if verb == "look" else words)
        yield from self._found(found, sides, again=again)

    def _words(self, said: list[str], *, again: bool) -> Replies:
        """Do the check that is meant by words without a verb."""
        words, sides = said_side(said)
        if not sides and not any(letter.isalpha() for letter in " ".join(words)):
            msg = f"'{' '.join(words)}' is neither a number of the list nor words"
            raise AdvisorError(msg, "'help' shows what may be typed")
        if not words:
            msg = f"{said[0]} of what? Say it with a check"
            raise AdvisorError(msg, f"or with a number of the list, like '3 {said[0]}'")
        yield from self._found(self._finder.checks(words), sides, again=again)

    def _cause(self, verb: str, rest: list[str], *, again: bool) -> Replies:
        """Fix or name the cause that is meant, or list those of a stage."""
        text = " ".join(rest)
        if not text:
            msg = f"{verb}: say a cause, like '{verb} plug loose left'"
            raise AdvisorError(msg, f"'{verb} 1' to '{verb} {len(self.base.areas)}' list those of a stage")
        match = CHOICE.match(text)
        if match and self._list.verb == verb:
            yield from self._number(match, again=again)
            return
        stage = stage_called(match[1] if match else text, self.base)
        if stage is not None:
            yield self._listed(causes_of(stage, verb, self.round), stage)
        elif verb == NAME and ";" in text:
            yield from self._name_several([part.split() for part in text.split(";") if part.strip()])
        else:
            yield from self._cause_in_words(verb, rest, again=again)

    def _cause_in_words(self, verb: str, rest: list[str], *, again: bool) -> Replies:
        words, sides = said_side(rest)
        found = self._finder.causes(words, verb)
        if verb == NAME and len(found) == 1 and (sides or found[0].sides == (None,)):
            yield from self._name(_on_sides(found[0], sides), sure=self._finder.called(words) is not None)
        else:
            yield from self._found(found, sides, again=again)

    def _name_several(self, parts: list[list[str]]) -> Replies:
        """Name several causes at once."""
        if not parts:
            msg = "name: say a cause on either side of the ';', like 'name plug loose left; cable slack right'"
            raise AdvisorError(msg)
        causes = tuple(key for part in parts for key in self._exact(part))
        yield from self._name(causes, sure=all(self._finder.called(said_side(part)[0]) for part in parts))

    def _exact(self, rest: list[str]) -> Sequence[Sided]:
        """Return the one cause that is meant, on its sides. Raises AdvisorError when that is not clear."""
        words, sides = said_side(rest)
        found = self._finder.causes(words, NAME)
        if len(found) > 1 or (len(found[0].sides) > 1 and not sides):
            names = ", ".join(named(*key) for one in found for key in _on_sides(one, sides or one.sides))
            msg = f"'{' '.join(rest)}' may be several; write one of: {names}"
            raise AdvisorError(msg)
        return _on_sides(found[0], sides)

    def _name(self, causes: tuple[Sided, ...], *, sure: bool) -> Replies:
        """Name these causes, which ends the round; ask first if they were not called by their exact names."""
        if sure:
            self.round.name(causes)
        else:
            self._unsure = causes
            titles = tuple(fill(self.base.causes[cause].title, side) for cause, side in causes)
            yield AskSure(titles=titles, line=line_of(causes, NAME))

    def _stages(self) -> Replies:
        self._list = ShownList()
        yield describe.stages(self.round)

    def _checks_listed(self, text: str) -> Replies:
        """List the checks of a stage, or the stages."""
        if not text:
            yield from self._stages()
            return
        stage = stage_meant(text, self.base)
        if stage is None:
            msg = f"list {text}: no such stage"
            raise AdvisorError(msg, f"'list 1' to 'list {len(self.base.areas)}', or a word of its name")
        yield self._listed(checks_of(stage, self.round), stage)

    def _listed(self, found: Sequence[Offer], stage: int | None = None) -> OfferList:
        """Make this the list that numbers mean; of a stage, or of several. Raises AdvisorError when it is empty."""
        if not found:
            msg = "nothing is left to be done there"
            raise AdvisorError(msg, "'list' goes back to the stages")
        title = "" if stage is None else self.base.areas[stage].title
        self._list = ShownList(stage=0 if stage is None else stage + 1, title=title, offers=tuple(found))
        return self._list.page()

    def _found(self, found: list[Offer], sides: Sequence[Side], *, again: bool) -> Replies:
        if len(found) == 1:
            yield from self._act(found[0], sides, again=again)
        else:
            yield self._listed([on_side(one, tuple(sides)) for one in found])

    def _number(self, match: re.Match[str], *, again: bool) -> Replies:
        """Act on a line of the list, or open a stage."""
        number, sides = int(match[1]), said_side([match[2] or ""])[1]
        if self._list.offers:
            yield from self._act(self._list.line(number), sides, again=again)
        else:
            yield from self._checks_listed(str(number))

    def _act(self, offer: Offer, said: Sequence[Side], *, again: bool = False) -> Replies:
        """Do, fix or name something on the sides said; ask for them if they are open."""
        if len(offer.sides) > 1 and not said:
            self._pending = offer, again
            yield AskSide(title=offer.title, line=line_of([(offer.id, None)], offer.verb, again=again))
        elif offer.verb == NAME:
            yield from self._name(_on_sides(offer, said), sure=True)
        else:
            yield from self._do(offer, [side for _, side in _on_sides(offer, said)], again=again)

    def _do(self, offer: Offer, sides: Sequence[Side], *, again: bool) -> Replies:
        """Do a check or a repair on these sides; what was already done is shown, and repeated only on request."""
        before = {side: None if again else self.round.earlier(offer.verb, offer.id, side) for side in sides}
        fresh = [side for side in sides if before[side] is None]
        if offer.verb == FIX and fresh:  # both sides are one job
            yield from self._kept(self.round.fix(offer.id, fresh[0], both=len(fresh) > 1))
        elif offer.verb == CHECK:
            for side in fresh:
                yield from self._kept(self.round.do(offer.id, side))
        for side, one in before.items():
            if one is not None:
                line = line_of([(offer.id, side)], offer.verb, again=True)
                yield DoneBefore(step=describe.done(one, self.base), line=line)
        done = [side for side in sides if side not in fresh]
        self._repeat = (offer, done) if done else None

    def _kept(self, step: Step) -> Replies:
        yield StepDone(step=describe.done(step, self.base), clock=self.round.minutes)
        yield from self.keeper.keep_steps() if self.keeper else ()


def _on_sides(offer: Offer, said: Sequence[Side]) -> tuple[Sided, ...]:
    """Return the offer on the sides named, if it has sides, else as it is."""
    sides = said if said and offer.sides != (None,) else offer.sides
    return tuple((offer.id, side) for side in sides)


def begin(advisor: Advisor, seed: int, level: str, area: str = "", where: Path | None = None) -> Talk:
    """Return the talk of a new round that is kept on disk: in this folder, or beside the sessions.

    Raises AdvisorError for an area without a fault to plant.
    """
    round_ = Round.drawn(advisor, seed, level, area)
    return Talk(round_, Keeper(round_, where))


def resume(advisor: Advisor, bike: BikeId | None = None, where: Path | None = None) -> Talk:
    """Return the talk of a bike left half-way (None: the last one). Raises AdvisorError when it cannot be resumed."""
    round_ = brought_back(advisor, bike, where)
    return Talk(round_, Keeper(round_, where))
