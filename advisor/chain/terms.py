"""Rules in the engine's form: facts by kind and name, present or absent, and facts to give."""

import msgspec

Atom = tuple[str, str]  # the kind and the name of a fact


class ChainRule(msgspec.Struct, frozen=True, kw_only=True, array_like=True):
    """If all facts of `when` exist and none of `unless`, the facts of `gives` hold."""

    id: str
    when: tuple[Atom, ...]
    unless: tuple[Atom, ...] = ()
    gives: tuple[Atom, ...]


class GivenFact(msgspec.Struct, frozen=True):
    """An input fact: what it is, what was said, and how it is known."""

    kind: str
    name: str
    said: str = ""
    how: str = ""
