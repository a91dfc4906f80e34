"""What happens in a session, as it is kept. A session is the list of its events and nothing else."""

import msgspec

from advisor.balance.turns import Turn
from advisor.case import Bike, Means, Measured, SignReport
from advisor.sides import Side, Sided

BENCH, PHONE, BALANCE, TUNE_UP = "bench", "phone", "balance", "tune-up"  # the kinds of a session
ALL_HOLDS = "It all holds now."  # the answer after a repair that holds
SEARCH = "search"  # what a balance or a tune-up goes over to


class Began(msgspec.Struct, frozen=True, tag="began"):
    """A session began, from one sentence; `kind` is bench or phone.

    `rules` are the folders of a shop's own pages that were on top of the shipped ones, as whole paths;
    None where that was not kept.
    """

    kind: str
    sentence: str
    rules: tuple[str, ...] | None = None


class AtHand(msgspec.Struct, frozen=True, tag="at hand"):
    """Who is there, with which tools, and how the engine is.

    `sure` are the tools that are known to be there; the others of `means` are taken to be there until somebody asks.
    None: all of them are known.
    """

    means: Means
    sure: frozenset[str] | None = None


class OfBike(msgspec.Struct, frozen=True, tag="bike"):
    """What is known of the bike itself."""

    bike: Bike


class Told(msgspec.Struct, frozen=True, tag="told"):
    """Signs told or seen, with readings told beside them; later reports of a sign replace earlier ones.

    `suspected` are causes that whoever tells suspects, each on its side: kept as words, they weigh nothing. Nor do
    `words` that mean nothing here.
    """

    reports: tuple[SignReport, ...]
    readings: tuple[Measured, ...] = ()
    suspected: tuple[Sided, ...] = ()
    words: str = ""


class Forgotten(msgspec.Struct, frozen=True, tag="forgotten"):
    """Some of what was told does not count any more: signs, readings and suspected causes, each on its side.

    `checks` are those that are to be done again, because what they found was put right.
    """

    signs: tuple[Sided, ...] = ()
    readings: tuple[Sided, ...] = ()
    suspected: tuple[Sided, ...] = ()
    checks: tuple[str, ...] = ()


class Read(msgspec.Struct, frozen=True, tag="read"):
    """Readings taken; later ones replace earlier ones of the same kind and side.

    `check` is the one that was asked for, if they answer a part of it; it is not done yet. `turned` are the screws
    that were turned just before, as the balance had asked.
    """

    readings: tuple[Measured, ...]
    check: str = ""
    side: Side = None
    turned: tuple[Turn, ...] = ()


class Answered(msgspec.Struct, frozen=True, tag="answered"):
    """A check's result, in its words, with the signs it settled and the readings taken beside them."""

    check: str
    side: Side
    says: str
    reports: tuple[SignReport, ...]
    readings: tuple[Measured, ...] = ()


class Skipped(msgspec.Struct, frozen=True, tag="skipped"):
    """A check that could not be done (`can't`) or gave no answer (`not known`)."""

    check: str
    side: Side
    why: str


class PutRight(msgspec.Struct, frozen=True, tag="put right"):
    """A cause was put right. The signs it had shown are unknown until somebody looks again."""

    cause: str
    side: Side


class RuledOut(msgspec.Struct, frozen=True, tag="ruled out"):
    """What is seen must have another cause: a part was found sound, or was put right and that made no difference."""

    cause: str
    side: Side
    in_vain: bool = False


class SetUp(msgspec.Struct, frozen=True, tag="set up"):
    """How a balance or a tune-up is led: what was chosen, by what it is about."""

    about: str
    chosen: str


class ScrewsTurned(msgspec.Struct, frozen=True, tag="screws turned"):
    """Screws were turned, one after the other; those of `ended` came to their end, or no longer touched."""

    turns: tuple[Turn, ...]
    ended: tuple[Turn, ...] = ()


class Throttled(msgspec.Struct, frozen=True, tag="throttled"):
    """The throttle was opened and let go some times, or it was `ridden`, to see whether the balance stays."""

    ridden: bool = False


class WentOver(msgspec.Struct, frozen=True, tag="went over"):
    """From here on the session leads something else: the search for a fault, the balance, or the order of a tune-up.

    `why` says in a few words why it went over to the search; `reports` are the signs that this shows, `ruled_out` the
    causes that were set right on the way.
    """

    to: str
    why: str = ""
    reports: tuple[SignReport, ...] = ()
    ruled_out: tuple[Sided, ...] = ()


class Undone(msgspec.Struct, frozen=True, tag="undone"):
    """The last answers that still counted, `count` of them, are taken back."""

    count: int


class Change(msgspec.Struct, frozen=True):
    """What stands at a place of the journal (from 0) now: another event, or nothing."""

    at: int
    instead: Told | Read | Answered | None


class Corrected(msgspec.Struct, frozen=True, tag="corrected"):
    """Earlier events were wrong: these stand in their places instead, and all that came after them still counts."""

    changes: tuple[Change, ...]


class HandedOver(msgspec.Struct, frozen=True, tag="handed over"):
    """A call came to its end: the workshop has its sheet. What is told later opens it again."""


class Noted(msgspec.Struct, frozen=True, tag="noted"):
    """Something kept with a call: the rider's name, his bike, how to reach him, where to ring back, or a note."""

    about: str
    says: str


Event = (
    Began
    | AtHand
    | OfBike
    | Noted
    | Told
    | Forgotten
    | Read
    | Answered
    | Skipped
    | PutRight
    | RuledOut
    | SetUp
    | ScrewsTurned
    | Throttled
    | WentOver
    | Corrected
    | Undone
    | HandedOver
)

FIXED = (Began, AtHand, OfBike, Noted)  # what undo does not take back
