"""A reading of the virtual bike as a user would type it, so that it takes the same path as every other reading."""

from advisor.case import Measured
from advisor.intake.spoken import spoken
from advisor.observer.taken_reading import Taken
from advisor.rulebase.model import Rulebase
from advisor.sides import Side


def typed(base: Rulebase, reading: str, taken: Taken) -> list[Measured]:
    """Return a reading as it is kept in a case; nothing if it gave no figure."""
    words = as_typed(taken)
    return spoken(reading, words, base) if words else []


def as_typed(taken: Taken) -> str:
    """Return a reading in the words that a user types after its name; nothing if it gave no figure."""
    texts = {side: _words(taken, side) for side in (taken.values or {None: ()})}
    return " ".join(f"{side or ''} {text}" for side, text in texts.items() if text).strip()


def _words(taken: Taken, side: Side) -> str:
    stalls = ["stalls"] * taken.stalls.get(side, 0)
    within = f" ± {taken.trusted:.3f}" if taken.trusted else ""
    return ", ".join([*(f"{value:.6f}{within} {taken.unit}" for value in taken.at(side)), *stalls])
