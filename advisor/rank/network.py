"""The two-layer noisy-OR network of a rule base, and how a report of limited trust enters it.

Convention throughout: a strength is what the cause alone adds, WITHOUT the leak,
P(sign absent | causes) = (1 - leak) x product over present causes of (1 - strength).

A report is itself a noisy-OR: the observer notices each cause's effect, or the leak, with
chance `hit`, and imagines the sign with chance `false_alarm`, each independently. So a report has
strengths hit x strength and leak 1 - (1 - false_alarm)(1 - hit x leak). For a single cause this is
the usual noisy observation of a hidden sign, to within false_alarm x strength; but here a 'not
seen' of limited trust still splits into one factor per cause, so any number of them costs nothing.

An imagined sign is mostly something ordinary taken for the sign. So a sign is imagined as often as the trust word
says only if sound bikes show it now and then; one that they show less often is imagined less often, in proportion.

A sign read off a figure may be graded: a little over its limit, or far over. That is a noisy-MAX (Henrion, "Some
practical issues in constructing belief networks", UAI 1987; Diez, UAI 1993: from memory): `far` is a noisy-OR with
part of each strength and of the leak; `a little` is a noisy-OR of the rest, with `far` not seen.
"""

import math
from collections.abc import Collection, Iterator, Mapping

import msgspec

from advisor.rank.restated import restated
from advisor.readings.verdicts import FAR, LITTLE
from advisor.report import Evidence
from advisor.rulebase.model import Rulebase
from advisor.rulebase.table_records import Trust
from advisor.sides import Side, Sided, other, sides_of


class Unseen(msgspec.Struct, frozen=True):
    """Weight of a sign not seen: the exponent on a cause's chance to hide it; in full for strengths from `firm`."""

    counts: float = 1.0
    firm: float = 0.0


IN_FULL = Unseen()


class Leaky(msgspec.Struct, frozen=True):
    """A sign, or a report of one: its leak and the strength of each cause (by index) that shows it."""

    leak: float
    strengths: dict[int, float]

    def reported(self, trust: Trust, imagined_from: float = 0.0) -> "Leaky":
        """Return the report of this sign by an observer with this trust.

        It is imagined at the full rate if its leak is at least `imagined_from`, below that in proportion.
        """
        imagined = trust.false_alarm * (min(1.0, self.leak / imagined_from) if imagined_from else 1.0)
        leak = 1 - (1 - imagined) * (1 - trust.hit * trust.ordinary * self.leak)
        return Leaky(leak, {cause: trust.hit * strength for cause, strength in self.strengths.items()})

    def far(self, by: "Grades") -> "Leaky":
        """Return this sign for a figure far over its limit."""
        return Leaky(by.sound * self.leak, {cause: by.cause * one for cause, one in self.strengths.items()})

    def short_of(self, far: "Leaky") -> "Leaky":
        """Return this sign given that it is not `far`, which it includes."""
        strengths = {cause: 1 - (1 - one) / (1 - far.strengths[cause]) for cause, one in self.strengths.items()}
        return Leaky(1 - (1 - self.leak) / (1 - far.leak), strengths)

    def not_seen(self, by: Unseen) -> "Leaky":
        """Return the form in which this sign counts if it is not seen."""
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


class Grades(msgspec.Struct, frozen=True):
    """Of figures over a limit, the share far over it: if a cause shows it, and on sound bikes."""

    cause: float
    sound: float


class Settled(msgspec.Struct, frozen=True):
    """One outcome of a check on its real side: its words, the side to show, and the state of each sign.

    `trust` is how far it is believed for each sign.
    """

    says: str
    side: Side
    states: dict[Sided, bool]
    trust: dict[Sided, Trust]


# A sign, the kinds of it that are absent, whether it is seen, the trust in it, how its leak is thinned, its grade.
Known = tuple[Sided, frozenset[Sided], bool, Trust, float, str]


class Network(msgspec.Struct, frozen=True):
    """Causes with their priors, and signs with their leaks and strengths, each on its side.

    `kinds` holds, for each vague sign, every more specific one below it; its own strengths exclude theirs.
    `outcomes` caches those of each check on its side once asked for; signs that rely on anything not yet
    checked are believed less, so a cached entry holds only for the same set of such signs. `weighed` caches what
    `Kinds` makes of vague signs and their kinds.
    `thin` is the exponent of (1 - leak) that makes a vague sign and its kinds come to the vague sign's leak.
    `for_nothing` is how often there is a complaint about a bike with none of the causes, relative to one with some: a
    finding that every cause shows. 1 without a complaint. `unseen` is the weight of signs not seen,
    `imagined_from` how common a sign must be to be imagined as often as its trust word says, `clear` how often sound
    bikes with a vague sign show one specific kind, `grades` what far over a limit is worth. `restated` are the signs
    that only say another one in other words: seen, they are no finding of their own.
    """

    causes: tuple[Sided, ...]
    priors: tuple[float, ...]
    signs: dict[Sided, Leaky]
    kinds: dict[Sided, tuple[Sided, ...]] = {}
    thin: dict[Sided, float] = {}
    for_nothing: float = 1.0
    unseen: Unseen = IN_FULL
    imagined_from: float = 0.0
    clear: float = 1.0
    grades: Grades = Grades(1.0, 1.0)
    restated: frozenset[Sided] = frozenset()
    outcomes: dict[tuple[str, Side, frozenset[str]], tuple[Settled, ...]] = msgspec.field(default_factory=dict)
    weighed: dict[Known, "Finding"] = msgspec.field(default_factory=dict)
    _reported: dict[tuple[Sided, Trust, bool, str], "Finding"] = msgspec.field(default_factory=dict)

    def without(self, causes: Collection[Sided]) -> "Network":
        """Return the network after these causes have been put right: they are gone."""
        if not causes:
            return self
        pairs = zip(self.causes, self.priors, strict=True)
        return msgspec.structs.replace(self, priors=tuple(0.0 if name in causes else prior for name, prior in pairs))

    def report(self, key: Sided, trust: Trust, *, seen: bool, grade: str = "") -> "Finding":
        """Return the report of a sign, seen or not, with this trust; worked out once."""
        known = key, trust, seen, grade
        if known not in self._reported:
            self._reported[known] = self.reported(self.signs[key], trust, seen=seen, grade=grade)
        return self._reported[known]

    def reported(self, sign: Leaky, trust: Trust, *, seen: bool, grade: str = "") -> "Finding":
        """Return the report of any sign, seen or not, a little or far over its limit, with this trust."""
        if not seen:
            return Finding(self.believed(sign.not_seen(self.unseen), trust), seen, trust)
        whole = self.believed(sign, trust)
        if not grade:
            return Finding(whole, seen, trust)
        far = self.believed(sign.far(self.grades), trust)
        if grade == LITTLE:
            return Finding(whole.short_of(far), seen, trust, grade=grade, not_far=far)
        return Finding(far if grade == FAR else whole, seen, trust, grade=grade)

    def believed(self, sign: Leaky, trust: Trust) -> Leaky:
        """Return the report of a sign with this trust."""
        return sign.reported(trust, self.imagined_from)


class Finding(msgspec.Struct, frozen=True):
    """One piece of evidence: a report, positive or negative, and how far it is trusted (None: fully).

    `without` are the kinds taken out of a vague sign because they are known to be absent. For a figure a little over
    its limit, `not_far` says that it is not far over, and `leaky` is the rest.
    """

    leaky: Leaky
    seen: bool
    trust: Trust | None = None
    without: frozenset[Sided] = frozenset()
    grade: str = ""
    not_far: Leaky | None = None

    @property
    def absences(self) -> tuple[Leaky, ...]:
        """What this finding shows to be absent."""
        own = () if self.seen else (self.leaky,)
        return own if self.not_far is None else (*own, self.not_far)


class Reports(Mapping[Sided, Finding]):
    """Reports of signs, each worked out on demand: most checks are dismissed before that."""

    __slots__ = ("_network", "_trust", "states")

    def __init__(self, network: Network, states: dict[Sided, bool], trust: Mapping[Sided, Trust]) -> None:
        """Take each sign's state and the trust in its report."""
        self.states = states
        self._network = network
        self._trust = trust

    def __getitem__(self, key: Sided) -> Finding:
        return self._network.report(key, self._trust[key], seen=self.states[key])

    def __iter__(self) -> Iterator[Sided]:
        return iter(self.states)

    def __len__(self) -> int:
        return len(self.states)


def build(base: Rulebase, off: frozenset[tuple[str, str]] = frozenset()) -> Network:
    """Return the network of a rule base, without the links (cause, sign) that are switched off."""
    causes: list[Sided] = [(cause.id, side) for cause in base.causes.values() for side in sides_of(cause.sided)]
    strengths: dict[Sided, dict[int, float]] = {
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
    # The word says how often the cause is met on a bike; each side gets half.
    met = [base.words.met[base.causes[cause].met] / (2 if side else 1) for cause, side in causes]
    # More pages must not mean more faults: otherwise a page split in two would count twice.
    scale = min(1.0, base.words.faults / sum(met)) if met else 1.0
    priors = tuple(scale * one for one in met)
    below = kinds(base)
    thin = {key: _thin(key, below[key], signs) for key in below}
    unseen = Unseen(base.words.unseen, base.words.shows[base.words.in_full])
    imagined_from = base.words.healthy[base.words.imagined_from]
    return Network(
        tuple(causes),
        priors,
        signs,
        below,
        thin,
        unseen=unseen,
        imagined_from=imagined_from,
        clear=base.words.clear,
        grades=Grades(base.words.far_of_cause, base.words.far_of_sound),
        restated=frozenset(restated(base)),
    )


def _thin(vague: Sided, below: tuple[Sided, ...], signs: dict[Sided, Leaky]) -> float:
    """Return the exponent that brings the leaks of a vague sign and its kinds down to the vague sign's own."""
    together = sum(math.log1p(-signs[key].leak) for key in (vague, *below))
    return math.log1p(-signs[vague].leak) / together if together else 1.0


def kinds(base: Rulebase) -> dict[Sided, tuple[Sided, ...]]:
    """Return, for each vague sign on its side, every more specific sign below it."""
    below: dict[Sided, list[Sided]] = {}
    for sign in base.signs.values():
        for side in sides_of(sign.sided):
            for vaguer in vaguer_than(sign.id, side, base):
                below.setdefault(vaguer, []).append((sign.id, side))
    return {key: tuple(found) for key, found in below.items()}


def vaguer_than(sign: str, side: Side, base: Rulebase) -> list[Sided]:
    """Return the vaguer signs that this sign implies, the nearest first."""
    found: list[Sided] = []
    while name := base.signs[sign].kind_of:
        found.append((name, side if base.signs[name].sided else None))
        sign = name
    return found


def findings(network: Network, evidence: tuple[Evidence, ...], base: Rulebase) -> dict[Sided, Finding]:
    """Return the evidence of a case as findings, by sign and side. What only says another sign counts as that one."""
    found = {}
    for one in evidence:
        if one.seen and (one.sign, one.side) in network.restated:
            continue
        trust = base.words.trust[one.how]
        found[one.sign, one.side] = network.report((one.sign, one.side), trust, seen=one.seen, grade=one.grade)
    return found
