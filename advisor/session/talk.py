"""Where a dialogue stands, and how it goes on: through what is still to do, up to the next thing that it asks."""

from collections.abc import Iterator, Sequence

import msgspec

from advisor.session import place, shown, who_is_there
from advisor.session.events import Answered, PutRight, Read, RuledOut
from advisor.session.hearing import MayMean
from advisor.session.next_question import CHECK, REPAIR
from advisor.session.prompts import asked, at_once, prompt, question_shown
from advisor.session.session import Session
from advisor.session.shown import Shown
from advisor.sides import fill

KEEP_IT = "'save FILE' keeps it elsewhere"
NOT_UNDERSTOOD = "nothing is known by these words; try others for what is seen or heard"


class Talk:
    """A session and the place where its dialogue stands, which any line may change."""

    def __init__(self, session: Session, where: place.Place) -> None:
        """Stand where `where` says."""
        self.session = session
        self.place = where

    def now(self, **changes: object) -> None:
        """Stand elsewhere."""
        self.place = msgspec.structs.replace(self.place, **changes)

    def asked(self) -> Iterator[Shown]:
        """Yield what is asked now, in full."""
        yield from asked(self.place.asks, self.session)

    def prompt(self) -> Iterator[Shown]:
        """Yield what is asked now, without what stands above it."""
        yield from prompt(self.place.asks, self.session)

    def trouble(self) -> Iterator[Shown]:
        """Yield, once, that the session cannot be kept."""
        trouble = self.session.journal.trouble
        if trouble and trouble != self.place.trouble:
            self.now(trouble=trouble)
            yield shown.Trouble(says=trouble, typed=KEEP_IT)

    def go_on(self, *steps: place.Step) -> Iterator[Shown]:
        """Take these steps and any still to do, up to the first that asks something; else show the question."""
        self.now(asks=place.ForAnswer(), to_do=(*steps, *self.place.to_do))
        yield from self.trouble()
        while self.place.to_do:
            step, *rest = self.place.to_do
            self.now(to_do=tuple(rest))
            yield from self._step(step)
            yield from self.trouble()
            if not isinstance(self.place.asks, place.ForAnswer):
                return
        if who_is_there.lacks_the_tool_roll(self.session.state, self.session.question):
            self.now(asks=place.ForToolRoll(tools=self.session.base.tool_roll))
            yield from self.asked()
        elif tool := self.session.tool_to_ask_for():
            self.now(asks=place.ForTool(tool=tool))
            yield from self.prompt()
        else:
            yield from self._changed()
            yield self.question()

    def _step(self, step: place.Step) -> Iterator[Shown]:
        match step:
            case place.WhoIsThere():
                yield from self._who_is_there()
            case place.Understand():
                yield from self.offer(step.words, step.told)
            case place.OfferMore():
                yield from self._offered(step.signs, step.told, step.instead)
            case place.OfferTroubles():
                if not self.session.state.undoable:
                    troubles = self.session.hearing.troubles(self.session.state.case.means.person)
                    self.now(asks=place.ForNumbers(signs=tuple(troubles), told=place.CHOSEN))
                    yield from self.asked()

    def _who_is_there(self) -> Iterator[Shown]:
        means = who_is_there.known(self.session.state.kind, self.session.journal, self.session.base)
        if means is not None:
            self.session.at_hand(means.means, means.sure)
        else:
            self.now(asks=place.ForPerson())
            yield from self.prompt()

    def offer(self, words: str, told: str, before: Sequence[MayMean] = (), instead: int = 0) -> Iterator[Shown]:
        """Offer what words may mean, after what was understood before; `instead` of what that number says, if any.

        If they mean nothing, say so, unless the words are offered again; what is told besides is kept as it is.
        """
        found = self.session.hearing.understood(words) if words else []
        if found:
            found = list(({one.about: one for one in before} | {one.about: one for one in found}).values())
            found.sort(key=lambda one: not one.warns)
            yield from self._offered(found, told, instead, words)
        elif words and told == place.ALSO and not instead:
            yield from self.keep(words, offered=False)
        elif words and told != place.AGAIN:
            yield shown.Mistake(says=NOT_UNDERSTOOD)

    def keep(self, words: str, *, offered: bool) -> Iterator[Shown]:
        """Keep words of which nothing is known here, or of which nothing that was `offered` is so; say so."""
        yield shown.KeptInWords(number=self.session.told_words(words), offered=offered)
        yield from self.trouble()

    def _offered(self, found: Sequence[MayMean], told: str, instead: int, words: str = "") -> Iterator[Shown]:
        """Offer as much as fits on a screen, and the rest afterwards."""
        many = at_once(found, self.session.hearing)
        rest = (place.OfferMore(signs=tuple(found[many:]), told=told, instead=instead),) if found[many:] else ()
        asks = place.ForNumbers(signs=tuple(found[:many]), told=told, instead=instead, words="" if rest else words)
        self.now(asks=asks, to_do=(*rest, *self.place.to_do))
        yield from self.asked()

    def question(self, part: int = 0) -> Shown:
        """Return the question, or a part of it; its cautions in full count as heard from now on."""
        found = question_shown(self.session, self.place.heard, part)
        told = [one.says for one in (*found.cautions, *found.dangers) if found.cares and not one.again]
        heard = tuple(dict.fromkeys([*self.place.heard, *told]))
        asks = found.question
        self.now(
            heard=heard,
            part=part % len(found.parts),
            answers=found.answers,
            covered=False,
            open=(asks.name, asks.side) if asks.kind in {CHECK, REPAIR} else None,
        )
        return found

    def _changed(self) -> Iterator[Shown]:
        """Yield that another question stands in the place of one that was asked and got no answer."""
        open_, asks, last = self.place.open, self.session.question, self.session.journal.events[-1]
        if open_ is None or open_ == (asks.name, asks.side) or asks.kind not in {CHECK, REPAIR}:
            return
        state, base = self.session.state, self.session.base
        check, cause = base.checks.get(open_[0]), base.causes.get(open_[0])
        page = check or cause
        if page is None or open_ in state.case.not_again or _answers(last, open_[0]):
            return
        forbidden = check is not None and bool({*check.involves} & {*self.session.report.forbidden})
        yield shown.Changed(before=fill(page.title, open_[1]), forbidden=forbidden)

    def cautions(self) -> Shown:
        """Return all cautions of the question in full; they count as heard from now on."""
        found = question_shown(self.session)
        says = tuple(one.says for one in (*found.dangers, *found.cautions))
        self.now(heard=tuple(dict.fromkeys([*self.place.heard, *says])))
        return shown.Cautions(says=says)


def _answers(event: object, name: str) -> bool:
    """Whether an event says something of this check or repair, on whichever side."""
    match event:
        case Answered(check=asked) | Read(check=asked) | PutRight(cause=asked) | RuledOut(cause=asked):
            return asked == name
    return False
