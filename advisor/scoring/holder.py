"""Who holds the bike in a played session: he tells what is wrong, and answers each question as that bike would.

What was told of the bike comes first, then what the engine model shows with its faults planted, then the pages' own
strengths, drawn once for the whole session. Nothing is answered 'no' because nobody knows it.
"""

import random
from collections.abc import Collection, Mapping

import numpy as np

from advisor.case import Bike
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.observer.beginnings import history
from advisor.observer.bike_view import View, view
from advisor.observer.complaint import FEWEST, MOST
from advisor.observer.readings_taken import FIGURES, take
from advisor.observer.senses import SENSES, sense
from advisor.plan.candidates import scene
from advisor.rank.network import build
from advisor.rulebase.model import Rulebase
from advisor.scoring.as_built import as_built
from advisor.scoring.hidden_bikes import planted
from advisor.scoring.network_bikes import draw, with_faults
from advisor.scoring.repairs import cured
from advisor.scoring.resolved import Account
from advisor.scoring.screws import Screws, turn
from advisor.scoring.stand import Stand
from advisor.scoring.typed_reading import as_typed
from advisor.session.hearing import MayMean
from advisor.session.next_question import CHECK, Option, Question
from advisor.sides import BOTH, Side, Sided, sides_of
from advisor.virtual_bike.faults import CAUSES, ODD_SIDE, ONE_SIDED

SEVERITY = 0.8  # of a fault that an account tells of, from 0 to 1: plain, as faults that are written about are
NOBODY_KNOWS = "not known"


class Holder:
    """A bike with its faults (`truth`), and the one who answers for it.

    `words` is what he says is wrong, `bike` what he knows of the bike itself, `seen` what the engine model shows with
    the faults (None: it has none of them).
    """

    def __init__(  # noqa: PLR0913 - a bike has as many sides as that
        self,
        advisor: Advisor,
        truth: tuple[Sided, ...],
        seed: int,
        *,
        words: str,
        bike: Bike,
        seen: View | None,
        told: Mapping[Sided, bool],
        tells: Mapping[str, str] | None = None,
    ) -> None:
        """Hold a bike. `told` is known of its signs, `tells` of the outcomes of checks."""
        self.base, self.truth, self.words, self.bike = advisor.base, truth, words, bike
        self.view, self.told, self.tells = seen, dict(told), dict(tells or {})
        self.rng = np.random.default_rng([seed, 7])
        network = build(self.base)
        index = {cause: number for number, cause in enumerate(network.causes)}
        drawn = with_faults(self.base, network, {index[one] for one in truth}, random.Random(seed))  # noqa: S311 - a game, no secret
        self.by_the_pages = drawn.signs(drawn.faults)
        self.turned: Screws = {}

    def is_so(self, sign: str, side: Side) -> bool:
        """Whether this bike shows a sign."""
        key = sign, side
        if key in self.told:
            return self.told[key]
        known = sense(self.view, sign, side) if self.view is not None and sign in SENSES else None
        return self.by_the_pages.get(key, False) if known is None else known

    def agrees(self, one: MayMean) -> bool:
        """Whether something that his words may mean is what he meant. He suspects nothing."""
        return not one.cause and one.reading is None and self.is_so(one.sign, one.side) == one.seen

    def figures(self, question: Question) -> str:
        """Return the readings that a check takes, as they are typed; nothing if this bike has no such figures."""
        known = [name for name in question.takes if name in FIGURES] if self.view is not None else []
        typed = [(name, as_typed(take(self.view, name, self.rng).on(question.side))) for name in known if self.view]
        return ", ".join(f"{name} {words}" for name, words in typed if words)

    def answer(self, question: Question) -> str:
        """Return the number of the answer that fits this bike best, or that nobody knows it."""
        if question.kind != CHECK:
            return ""
        told = self.tells.get(question.name)
        numbers = range(1, len(question.options) + 1)
        if told in {one.says for one in question.options}:
            return str(next(n for n in numbers if question.options[n - 1].says == told))
        if not self._turns(question):
            return NOBODY_KNOWS
        return str(min(numbers, key=lambda n: self._misfit(question.options[n - 1])))

    def _misfit(self, option: Option) -> tuple[int, int, int]:
        """Return how badly an answer fits: what is wrong with it first, then how little of what is there it says."""
        right = [one for one in option.reports if self.is_so(one.sign, one.side) == one.seen]
        return len(option.reports) - len(right), -sum(one.seen for one in right), -len(right)

    def _turns(self, question: Question) -> bool:
        """Turn the screw that a check turns, if any; return whether there is anything to tell of it."""
        if self.view is None:
            return True
        hand = turn(self.base.checks[question.name], self.view.bike, self.turned, self.rng)
        self.turned = hand.left
        self.told |= hand.signs or {}
        if hand.bike != self.view.bike:
            self.view = view(hand.bike)
        return hand.signs is not None

    def cures(self, cause: str, side: Side) -> bool:
        """Whether putting this right cures a fault of this bike."""
        return bool(cured(self.base.causes[cause], side, self.truth))


def drawn(stand: Stand, signs: Collection[Sided], seed: int) -> Holder:
    """Return who holds a drawn bike and complains of these signs, each in some words that the pages know for it."""
    return Holder(
        stand.advisor,
        stand.hidden.causes,
        seed,
        words=_said(signs, stand.base, seed),
        bike=as_built(stand.base, [cause for cause, _ in stand.hidden.causes]),
        seen=stand.view,
        told=stand.told,
    )


def by_the_pages(advisor: Advisor, seed: int) -> Holder:
    """Return who holds a bike drawn from the pages' own numbers: it shows every sign as often as they say.

    Nobody who plans by these numbers can do better on such bikes by having truer ones.
    """
    base, rng, network = advisor.base, random.Random(seed), build(advisor.base)  # noqa: S311 - a game, no secret
    found = draw(base, network, rng)
    signs = found.signs(found.faults)
    felt = [key for key, seen in signs.items() if seen and base.signs[key[0]].seen_by == base.persons[0]]
    told = rng.sample(felt, min(rng.randint(FEWEST, MOST), len(felt)))
    return Holder(
        advisor,
        tuple(network.causes[one] for one in sorted(found.faults)),
        seed,
        words=_said(told, base, seed),
        bike=Bike(),
        seen=None,
        told=signs,
    )


def _said(signs: Collection[Sided], base: Rulebase, seed: int) -> str:
    """Return a complaint of these signs, each in some words that the pages know for it."""
    rng = random.Random(seed)  # noqa: S311 - a game, no secret
    told = [(base.signs[sign].also, base.signs[sign].title, side) for sign, side in signs]
    return "; ".join(_in_words(rng.choice(also or (title,)), side) for also, title, side in told)


def _in_words(phrase: str, side: Side) -> str:
    """Return a phrase with its side."""
    return phrase.replace("{side}", side or "") if "{side}" in phrase or not side else f"{phrase} on the {side}"


def of_account(account: Account, advisor: Advisor, seed: int) -> Holder:
    """Return who holds the bike of an account. Raises AdvisorError if the account is not told in plain words."""
    if not account.words:
        msg = f"{account.name}: no 'words'; they are what the rider said first"
        raise AdvisorError(msg)
    base = advisor.base
    truth = tuple(_on_a_side(one, advisor) for one in account.causes)
    modelled = [(cause, side or _odd(cause), SEVERITY) for cause, side in truth if cause in CAUSES]
    case = account.stages["second"]
    chained, _ = advisor.rank(case)
    known = scene(base, case, chained.signs, chained.forbidden).known
    began = history([cause for cause, _ in truth], np.random.default_rng([seed, 8]))
    return Holder(
        advisor,
        truth,
        seed,
        words=account.words,
        bike=case.bike,
        seen=view(planted(modelled).bike) if len(modelled) == len(truth) else None,
        told=began | known,
        tells=account.tells,
    )


def _on_a_side(cause: str, advisor: Advisor) -> Sided:
    """Return a cause with its side; on the left if the account tells none."""
    name, _, side = cause.partition(" ")
    sides = sides_of(advisor.base.causes[name].sided)
    return name, next(one for one in sides if side in {"", one})


def _odd(cause: str) -> Side:
    return BOTH[0] if cause in ONE_SIDED | ODD_SIDE else None
