"""The part of a dialogue's state that is not in its journal. With both it can be continued anywhere."""

import msgspec

from advisor.case import Bike
from advisor.session.hearing import MayMean
from advisor.sides import Sided

OPENING, AGAIN, ALSO, CHOSEN = "opening", "again", "also", "chosen"  # how words came in


class _Tagged(msgspec.Struct, frozen=True, kw_only=True, tag=True):
    """One kind of several."""


class ForWords(_Tagged, frozen=True):
    """It waits for what is wrong, to begin a session of this kind on this bike, with these rules of a shop."""

    kind: str
    bike: Bike | None
    rules: tuple[str, ...] = ()


class ForPerson(_Tagged, frozen=True):
    """It waits for who is at the bike."""


class ForTools(_Tagged, frozen=True):
    """It waits for what changes in the list of tools."""


class ForTool(_Tagged, frozen=True):
    """It waits for whether this tool is there, which the next step needs."""

    tool: str


class ForToolRoll(_Tagged, frozen=True):
    """It waits for which of these tools the rider of a call has and likes to use."""

    tools: tuple[str, ...]


class ForNumbers(_Tagged, frozen=True):
    """It waits for which of these signs are so. `told` is how the words that may mean them came in.

    They then stand `instead` of what was said under that number, if any. `words` are kept as they are if none is so.
    """

    signs: tuple[MayMean, ...]
    told: str
    instead: int = 0
    words: str = ""


class ForAnew(_Tagged, frozen=True):
    """It waits for another answer of the check that was answered under this number, or for anything else."""

    number: int


class ForAnswer(_Tagged, frozen=True):
    """It waits for an answer to the session's question."""


class ForReplace(_Tagged, frozen=True):
    """It waits for whether what was wished (`save`, `record`, `sheet` or `report`) is to replace the file of a name."""

    name: str
    wish: str = "save"


class Over(_Tagged, frozen=True):
    """It waits for nothing: not yet begun, or ended."""


Asks = ForWords | ForPerson | ForTools | ForTool | ForToolRoll | ForNumbers | ForAnew | ForAnswer | ForReplace | Over


class WhoIsThere(_Tagged, frozen=True):
    """Still to do: ask who is there with which tools, unless that is known."""


class Understand(_Tagged, frozen=True):
    """Still to do: offer what these words may mean. `told` is how they came in."""

    words: str
    told: str


class OfferTroubles(_Tagged, frozen=True):
    """Still to do: offer the main troubles, unless something was understood."""


class OfferMore(_Tagged, frozen=True):
    """Still to do: offer these too, for which there was no room on the screen; as in `ForNumbers`."""

    signs: tuple[MayMean, ...]
    told: str
    instead: int = 0


Step = WhoIsThere | Understand | OfferMore | OfferTroubles


class Place(msgspec.Struct, frozen=True, kw_only=True):
    """What a dialogue waits for, what it will do before its next question, and what it has said already.

    `open` is the check or repair that was asked last, `part` the part of it that is on the screen; `answers` says
    whether its answers are, `covered` that a list of something else stands below them. `heard` are the
    cautions that were given in full, `handed_over` is the number of events when a sheet was last asked for (-1: never),
    `trouble` is what was said about the store.
    """

    asks: Asks = Over()
    to_do: tuple[Step, ...] = ()
    open: Sided | None = None
    part: int = 0
    answers: bool = True
    covered: bool = False
    heard: tuple[str, ...] = ()
    handed_over: int = -1
    trouble: str = ""
