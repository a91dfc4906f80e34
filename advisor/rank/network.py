"""The two-layer noisy-OR network of a rule base, and how a report of limited trust enters it.

Convention, everywhere: a strength is what the cause alone adds, WITHOUT the leak,
P(sign absent | causes) = (1 - leak) x product over present causes of (1 - strength).

A report is a noisy-OR of its own: whoever looks notices each cause's showing, or the leak, with
chance `hit`, and imagines the sign with chance `false_alarm`, each independently. So a report has
strengths hit x strength and leak 1 - (1 - false_alarm)(1 - hit x leak). For a single cause this is
the usual noisy observation of a hidden sign, to within false_alarm x strength; unlike it, a 'not
seen' of limited trust still splits into one factor a cause, so any number of them costs nothing.
"""

import math
from collections.abc import Collection

import msgspec

from advisor.records import Evidence
from advisor.rulebase.model import Rulebase, Trust
from advisor.sides import Side, other, sides_of

SideOf = tuple[str, Side]


class Unseen(msgspec.Struct, frozen=True):
    """How far a sign counts that is not seen: by this power of a cause's chance to hide it, in full from `firm` on."""

    counts: float = 1.0
    firm: float = 0.0


IN_FULL = Unseen()


class Leaky(msgspec.Struct, frozen=True):
    """A sign, or a report of one: its leak and the strength of each cause (by index) that shows it."""

    leak: float
    strengths: dict[int, float]

    def reported(self, trust: Trust) -> "Leaky":
        """Return the report of this sign by somebody trusted so far."""
        leak = 1 - (1 - trust.false_alarm) * (1 - trust.hit * trust.ordinary * self.leak)
        return Leaky(leak, {cause: trust.hit * strength for cause, strength in self.strengths.items()})

    def not_seen(self, by: Unseen) -> "Leaky":
        """Return what this sign counts as where it is not seen."""
        if by.counts == 1.0:
            return self
        strengths = {
            cause: one if one >= by.firm else 1 - (1 - one) ** by.counts for cause, one in self.strengths.items()
        }
        return Leaky(self.leak, strengths)

    def absent_given(self, present: "frozenset[int] | set[int]") -> float:
        """Return the probability that nothing shows when exactly these causes are present."""
        absent = 1 - self.leak
        for cause, strength in self.strengths.items():
            if cause in present:
                absent *= 1 - strength
        return absent


class Settled(msgspec.Struct, frozen=True):
    """One outcome of a check on its real side: its words, the side to show, and what it says of signs."""

    says: str
    side: Side
    findings: dict[SideOf, "Finding"]


class Network(msgspec.Struct, frozen=True):
    """Causes with their priors, and signs with their leaks and strengths, each on its side.

    `kinds` holds, for each vague sign, every more exact one below it; its own strengths are without theirs.
    `outcomes` remembers those of each check on its side, once they were asked for.
    `thin` is the exponent of (1 - leak) that makes a vague sign and its kinds come to the vague sign's leak.
    `for_nothing` is how often somebody complains of a bike with none of the causes, against one that has some: a
    finding that every cause shows. 1 where nobody complains. `unseen` is how far signs count that are not seen.
    """

    causes: tuple[SideOf, ...]
    priors: tuple[float, ...]
    signs: dict[SideOf, Leaky]
    kinds: dict[SideOf, tuple[SideOf, ...]] = {}
    thin: dict[SideOf, float] = {}
    for_nothing: float = 1.0
    unseen: Unseen = IN_FULL
    outcomes: dict[SideOf, tuple[Settled, ...]] = msgspec.field(default_factory=dict)
    _reported: dict[tuple[SideOf, Trust, bool], Leaky] = msgspec.field(default_factory=dict)

    def without(self, causes: Collection[SideOf]) -> "Network":
        """Return the network as it is once these causes have been put right: they are there no more."""
        if not causes:
            return self
        pairs = zip(self.causes, self.priors, strict=True)
        return msgspec.structs.replace(self, priors=tuple(0.0 if name in causes else prior for name, prior in pairs))

    def report(self, key: SideOf, trust: Trust, *, seen: bool) -> "Finding":
        """Return the report of a sign, seen or not, by somebody trusted so far; worked out once."""
        known = key, trust, seen
        if known not in self._reported:
            sign = self.signs[key] if seen else self.signs[key].not_seen(self.unseen)
            self._reported[known] = sign.reported(trust)
        return Finding(self._reported[known], seen, trust)


class Finding(msgspec.Struct, frozen=True):
    """One piece of evidence: a report, positive or negative, and how far it is trusted (None: fully).

    `without` are the kinds taken out of a vague sign, because they are known to be absent.
    """

    leaky: Leaky
    seen: bool
    trust: Trust | None = None
    without: frozenset[SideOf] = frozenset()


def build(base: Rulebase, off: frozenset[tuple[str, str]] = frozenset()) -> Network:
    """Return the network of a rule base, without the links (cause, sign) that are switched off."""
    causes: list[SideOf] = [(cause.id, side) for cause in base.causes.values() for side in sides_of(cause.sided)]
    strengths: dict[SideOf, dict[int, float]] = {
        (sign.id, side): {} for sign in base.signs.values() for side in sides_of(sign.sided)
    }
    for index, (cause, side) in enumerate(causes):
        # A fault of the whole bike has no side of its own: 'this' and 'other' are left and right.
        here: Side = side or "left"
        where: dict[str, Side] = {"this": here, "other": other(here), "none": None}
        for link in base.causes[cause].links:
            if (cause, link.sign) not in off:
                strengths[link.sign, where[link.bearing]][index] = link.strength(base.words)
    signs = {key: Leaky(base.words.healthy[base.signs[key[0]].healthy], found) for key, found in strengths.items()}
    met = [base.words.met[base.causes[cause].met] for cause, _ in causes]
    # More pages must not make more faults: a page split in two would else count twice.
    scale = min(1.0, base.words.faults / sum(met)) if met else 1.0
    priors = tuple(scale * one for one in met)
    below = kinds(base)
    thin = {key: _thin(key, below[key], signs) for key in below}
    unseen = Unseen(base.words.unseen, base.words.shows[base.words.in_full])
    return Network(tuple(causes), priors, signs, below, thin, unseen=unseen)


def _thin(vague: SideOf, below: tuple[SideOf, ...], signs: dict[SideOf, Leaky]) -> float:
    """Return the exponent that brings the leaks of a vague sign and its kinds down to the vague sign's own."""
    together = sum(math.log1p(-signs[key].leak) for key in (vague, *below))
    return math.log1p(-signs[vague].leak) / together if together else 1.0


def kinds(base: Rulebase) -> dict[SideOf, tuple[SideOf, ...]]:
    """Return, for each vague sign on its side, every more exact sign below it."""
    below: dict[SideOf, list[SideOf]] = {}
    for sign in base.signs.values():
        for side in sides_of(sign.sided):
            for vaguer in vaguer_than(sign.id, side, base):
                below.setdefault(vaguer, []).append((sign.id, side))
    return {key: tuple(found) for key, found in below.items()}


def vaguer_than(sign: str, side: Side, base: Rulebase) -> list[SideOf]:
    """Return the signs that whoever sees this one sees too, the next vaguer one first."""
    found: list[SideOf] = []
    while name := base.signs[sign].kind_of:
        found.append((name, side if base.signs[name].sided else None))
        sign = name
    return found


def findings(network: Network, evidence: tuple[Evidence, ...], base: Rulebase) -> dict[SideOf, Finding]:
    """Return the evidence of a case as findings, by sign and side."""
    found = {}
    for one in evidence:
        trust = base.words.trust[one.how]
        found[one.sign, one.side] = network.report((one.sign, one.side), trust, seen=one.seen)
    return found
