"""Rules as the engine takes them: facts by kind and name, present or absent, and facts to give."""

import msgspec

Atom = tuple[str, str]  # the kind and the name of a fact


class ChainRule(msgspec.Struct, frozen=True, kw_only=True, array_like=True):
    """All facts of `when` exist and none of `unless` does: then the facts of `gives` hold."""

    id: str
    when: tuple[Atom, ...]
    unless: tuple[Atom, ...] = ()
    gives: tuple[Atom, ...]


class GivenFact(msgspec.Struct, frozen=True):
    """A fact to start from: what it is, what was said, and how it is known."""

    kind: str
    name: str
    said: str = ""
    how: str = ""
