"""The only module that may import durable_rules. It uses only the safe part of the library.

Outside a narrow subset the library matches wrongly, loses matches, hangs or crashes the process.
So: facts only, `all` only, conditions on kind and name, one host per rule set, one session under a
lock, absence as a separate fact once a layer is closed, and an end rule that proves that the whole
case was run. Figures are compared with limits earlier (`advisor.readings`); no number enters the engine.
"""

import contextlib
import signal
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import msgspec
from durable import engine as durable

from advisor.chain.layers import layers
from advisor.chain.subset import refuse, refuse_unsafe
from advisor.chain.terms import Atom, ChainRule, GivenFact
from advisor.errors import ChainError
from advisor.report import Fact, Firing

durable.logger.disabled = True  # the errors it would print are raised below
durable._unix_now = time.monotonic  # noqa: SLF001 - its own clock warns on 3.12 and stalls when the wall clock jumps

SESSION, RULESET, ABSENT, END, SINK = "case", "rules", "~absent", "~end", "~sink"
MAX_FIRINGS = 20_000
MOST_LOADS = 3  # the engine is extended for a case this many times; after that it takes all rules
_END_FACT = {"k": END, "id": END, "sid": SESSION}


class ChainResult(msgspec.Struct, frozen=True):
    """Every firing in the order of layers, and every fact by id (input facts first)."""

    firings: tuple[Firing, ...]
    facts: dict[int, Fact]


class _QuietHost(durable.Host):  # type: ignore[misc]  # the library has no types
    """A host without the two timer threads of the stock one, which take firings away from the case."""

    def _run(self) -> None:
        return


class _Run:
    """The facts and firings of one case so far."""

    def __init__(self) -> None:
        self.firings: list[Firing] = []
        self.facts: dict[int, Fact] = {}
        self.ids: dict[Atom, int] = {}
        self.error: BaseException | None = None
        self.ended = False

    def add(self, atom: Atom, *, said: str = "", how: str = "", rule: str | None = None) -> tuple[Fact, bool]:
        """Return the fact and whether it is new; a fact given twice stays as first given."""
        if atom in self.ids:
            return self.facts[self.ids[atom]], False
        fact = Fact(id=len(self.facts) + 1, kind=atom[0], name=atom[1], said=said, how=how, rule=rule)
        self.facts[fact.id] = fact
        self.ids[atom] = fact.id
        return fact, True


class Engine:
    """A checked rule set. It runs one case at a time; no case leaves anything behind.

    Each rule costs the library time to compile, so it gets only the rules that some case so far could
    reach; the others could not have fired. The set only grows, and soon holds all rules.
    """

    def __init__(
        self,
        rules: Sequence[ChainRule],
        before_firing: Callable[[str], None] | None = None,
        layer: dict[str, int] | None = None,
    ) -> None:
        """Check the rules, except those whose layers are known from an earlier check.

        `before_firing` is called with each rule's id as it fires.
        Raises ChainError when the rules leave the safe subset.
        """
        self._lock = threading.RLock()
        self._run = _Run()
        self._before = before_firing
        if layer is None:
            layer = layers(rules)
            refuse_unsafe(rules, layer)
        self.layer = layer
        self.rules = tuple(sorted(rules, key=lambda rule: layer[rule.id]))
        self._loaded: frozenset[str] = frozenset()
        self._loads = 0
        self._wanted_absent: dict[int, list[Atom]] = {}
        self._host: _QuietHost | None = None

    def _load(self, given: Sequence[GivenFact]) -> None:
        """Compile every rule that these facts could cause to fire."""
        if self._host is not None and len(self._loaded) == len(self.rules):
            return
        wanted = _reachable(self.rules, {(fact.kind, fact.name) for fact in given})
        if self._host is not None and wanted <= self._loaded:
            return
        self._loads += 1
        self._loaded |= wanted if self._loads <= MOST_LOADS else {rule.id for rule in self.rules}
        rules = [rule for rule in self.rules if rule.id in self._loaded]
        self._wanted_absent = _absences(rules, self.layer)
        definitions = {rule.id: self._definition(rule) for rule in rules}
        definitions[SINK] = {"all": [{"a0": {"$ex": {"sid": 1}}}, {"a1": {"k": SINK}}], "run": lambda _: None}
        definitions[END] = {"all": [{"a0": {"k": END}}], "pri": 60_000, "run": self._on_end}
        self._host = _QuietHost()
        self._host.set_rulesets({RULESET: definitions})
        # Deleting a session in which nothing ever fired crashes the process; the end rule fires here.
        self._assert([_END_FACT])
        self._clear()

    def run(self, given: Sequence[GivenFact]) -> ChainResult:
        """Return everything that follows from these facts. Raises ChainError when the engine lost the case."""
        with self._lock, _interrupts_held():
            self._run = _Run()
            self._load(given)
            self._run = run = _Run()
            refuse([fact.kind for fact in given if fact.kind.startswith("~")], "facts of a reserved kind")
            added = [run.add((fact.kind, fact.name), said=fact.said, how=fact.how) for fact in given]
            self._clear()
            try:
                self._assert([_wire(fact) for fact, new in added if new])
                for layer, wanted in sorted(self._wanted_absent.items()):
                    missing = [_absent(layer, atom) for atom in wanted if atom not in run.ids]
                    self._assert([{"k": ABSENT, "name": name, "sid": SESSION, "id": name} for name in missing])
                self._assert([_END_FACT])
            finally:
                self._clear()
            if run.error:
                raise run.error
            if not run.ended:
                msg = "the rule engine stopped before the end of the case; nothing was concluded"
                raise ChainError(msg)
            return ChainResult(tuple(sorted(run.firings, key=lambda firing: firing.layer)), run.facts)

    def _definition(self, rule: ChainRule) -> dict[str, Any]:
        layer = self.layer[rule.id]
        atoms = [*rule.when, *((ABSENT, _absent(layer, atom)) for atom in rule.unless)]
        conditions = [{f"a{n}": {"$and": [{"k": kind}, {"name": name}]}} for n, (kind, name) in enumerate(atoms)]
        return {"all": conditions, "pri": layer, "run": self._action(rule, layer)}

    def _action(self, rule: ChainRule, layer: int) -> Callable[[Any], None]:
        """Return the callback for the library. It would swallow any exception, so the first one is kept for later."""

        def act(closure: Any) -> None:  # noqa: ANN401 - the library's own object
            run = self._run
            if run.error:
                return
            try:
                if self._before:
                    self._before(rule.id)
                if len(run.firings) >= MAX_FIRINGS:
                    refuse([rule.id], f"over {MAX_FIRINGS} firings in one case")
                matched = tuple(int(getattr(closure, f"a{n}").id) for n in range(len(rule.when)))
                added = [run.add(atom, rule=rule.id) for atom in rule.gives]
                run.firings.append(
                    Firing(rule=rule.id, layer=layer, matched=matched, gave=tuple(fact.id for fact, _ in added))
                )
                for fact, new in added:
                    if new:
                        closure.assert_fact(_wire(fact))
            except BaseException as error:  # noqa: BLE001 - Ctrl-C too; raised again when the call returns
                run.error = error

        return act

    # The library counts the arguments of its callbacks: a mutation run must not wrap this one.
    def _on_end(self, _: object) -> None:  # pragma: no mutate block
        self._run.ended = True

    def _assert(self, wire: list[dict[str, Any]]) -> None:
        if not wire or self._run.error:  # an empty batch crashes the process
            return
        try:
            assert self._host is not None  # noqa: S101 - loaded before anything is asserted
            self._host.assert_facts(RULESET, wire)
        except Exception as error:
            if self._run.error is None:
                msg = f"the rule engine failed: {type(error).__name__}: {str(error)[:200]}"
                raise ChainError(msg) from error

    def _clear(self) -> None:
        # Error 309, no such session, is normal for a clean start.
        with contextlib.suppress(Exception):
            assert self._host is not None  # noqa: S101 - as above
            self._host.delete_state(RULESET, SESSION)


def _wire(fact: Fact) -> dict[str, Any]:
    """Return the fact in the library's form: only the fields that rules ask for."""
    return {"k": fact.kind, "name": fact.name, "id": fact.id, "sid": SESSION}


def _absent(layer: int, atom: Atom) -> str:
    return f"{layer}:{atom[0]}/{atom[1]}"


def _reachable(rules: Sequence[ChainRule], known: set[Atom]) -> frozenset[str]:
    """Return the rules whose facts could all become true if every `unless` were ignored."""
    reached: dict[str, ChainRule] = {}
    open_ones = list(rules)
    while True:
        fresh = [rule for rule in open_ones if known.issuperset(rule.when)]
        if not fresh:
            return frozenset(reached)
        reached |= {rule.id: rule for rule in fresh}
        known = known.union(*(rule.gives for rule in fresh))
        open_ones = [rule for rule in open_ones if rule.id not in reached]


def _absences(rules: Sequence[ChainRule], layer: dict[str, int]) -> dict[int, list[Atom]]:
    """Return the facts whose absence the rules of each layer test."""
    wanted: dict[int, set[Atom]] = {}
    for rule in rules:
        if rule.unless:
            wanted.setdefault(layer[rule.id], set()).update(rule.unless)
    return {number: sorted(atoms) for number, atoms in wanted.items()}


@contextlib.contextmanager
def _interrupts_held() -> Iterator[None]:
    """Hold a Ctrl-C until the case is cleared; inside the library it could be lost."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    pressed: list[object] = []
    before = signal.signal(signal.SIGINT, lambda *_: pressed.append(True))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if pressed:
        signal.raise_signal(signal.SIGINT)
