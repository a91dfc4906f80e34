"""Rules as the engine takes them: flat conditions on one fact each, absence by name, facts to give."""

from typing import Literal

import msgspec

Comparison = Literal["==", "!=", ">", ">=", "<", "<="]
Scalar = float | str | bool
Atom = tuple[str, str]  # the kind and the name of a fact


class Test(msgspec.Struct, frozen=True):
    """One property of a fact against a constant."""

    field: str
    comparison: Comparison
    value: Scalar


class Match(msgspec.Struct, frozen=True):
    """Holds for every fact of this kind and name that passes all tests."""

    kind: str
    name: str
    tests: tuple[Test, ...] = ()


class ChainRule(msgspec.Struct, frozen=True, kw_only=True):
    """All of `when` match and no fact of `unless` exists: then the facts of `gives` hold."""

    id: str
    when: tuple[Match, ...]
    unless: tuple[Atom, ...] = ()
    gives: tuple[Atom, ...]


class GivenFact(msgspec.Struct, frozen=True):
    """A fact to start from."""

    kind: str
    name: str
    data: dict[str, Scalar] = {}
    said: str = ""
