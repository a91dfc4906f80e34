"""The one module that may import durable_rules, kept to the part of it that is safe.

Outside a narrow subset that library matches wrongly, loses matches, hangs or crashes the process.
So: facts only, `all` only, flat conditions against constants, one host a rule set, one session under
a lock, absence as a fact of its own once a layer is closed, and an end rule that proves that the
whole case was run.
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
from advisor.chain.subset import refuse, refuse_unsafe, type_of, types_of
from advisor.chain.terms import Atom, ChainRule, GivenFact, Match, Scalar
from advisor.errors import ChainError
from advisor.records import Fact, Firing

durable.logger.disabled = True  # the errors it would print are raised below
durable._unix_now = time.monotonic  # noqa: SLF001 - its own clock warns on 3.12 and stalls when the wall clock jumps

SESSION, RULESET, ABSENT, END, SINK = "case", "rules", "~absent", "~end", "~sink"
COMPARISONS = {"!=": "$neq", ">": "$gt", ">=": "$gte", "<": "$lt", "<=": "$lte"}
# Numbers go in as whole ten-thousandths: floats are parsed by the C locale and never equal integers.
SCALE, LARGEST = 10_000, 1e9
MAX_FIRINGS = 20_000


class ChainResult(msgspec.Struct, frozen=True):
    """Every firing in the order of layers, and every fact by id (those given first)."""

    firings: tuple[Firing, ...]
    facts: dict[int, Fact]


class _QuietHost(durable.Host):  # type: ignore[misc]  # the library has no types
    """The stock host starts two timer threads that take firings away from the case."""

    def _run(self) -> None:
        return


class _Run:
    """What one case has given so far."""

    def __init__(self) -> None:
        self.firings: list[Firing] = []
        self.facts: dict[int, Fact] = {}
        self.ids: dict[tuple[str, str, tuple[tuple[str, Scalar], ...]], int] = {}
        self.error: BaseException | None = None
        self.ended = False

    def add(self, kind: str, name: str, data: dict[str, Scalar], said: str, rule: str | None) -> tuple[Fact, bool]:
        """Return the fact and whether it is new; the same fact given twice is one fact."""
        key = (kind, name, tuple(sorted(data.items())))
        if key in self.ids:
            return self.facts[self.ids[key]], False
        fact = Fact(id=len(self.facts) + 1, kind=kind, name=name, said=said, data=dict(data), rule=rule)
        self.facts[fact.id] = fact
        self.ids[key] = fact.id
        return fact, True


class Engine:
    """A compiled rule set. One case runs at a time; nothing of a case stays behind."""

    def __init__(self, rules: Sequence[ChainRule], before_firing: Callable[[str], None] | None = None) -> None:
        """Check and compile the rules. `before_firing` is called with each rule's id as it fires.

        Raises ChainError when the rules leave the safe subset.
        """
        self._lock = threading.RLock()
        self._run = _Run()
        self._before = before_firing
        self._layer = layers(rules)
        self._types = types_of(rules)
        refuse_unsafe(rules, self._layer)
        self._wanted_absent = _absences(rules, self._layer)
        definitions = {rule.id: self._definition(rule) for rule in sorted(rules, key=lambda rule: self._layer[rule.id])}
        definitions[SINK] = {"all": [{"a0": {"$ex": {"sid": 1}}}, {"a1": {"k": SINK}}], "run": lambda _: None}
        definitions[END] = {"all": [{"a0": {"k": END}}], "pri": 60_000, "run": self._on_end}
        self._host = _QuietHost()
        self._host.set_rulesets({RULESET: definitions})
        # Deleting a session in which nothing ever fired crashes the process; the end rule fires here.
        self.run([])

    def run(self, given: Sequence[GivenFact]) -> ChainResult:
        """Return all that follows from these facts. Raises ChainError when the engine lost the case."""
        with self._lock, _interrupts_held():
            self._run = run = _Run()
            added = [run.add(fact.kind, fact.name, fact.data, fact.said, None) for fact in given]
            start = [self._wire(fact) for fact, new in added if new]
            self._clear()
            try:
                self._assert(start)
                for layer in sorted(self._wanted_absent):
                    there = {(fact.kind, fact.name) for fact in run.facts.values()}
                    missing = [atom for atom in self._wanted_absent[layer] if atom not in there]
                    self._assert(
                        [
                            {"k": ABSENT, "name": _absent(layer, atom), "sid": SESSION, "id": f"{layer}/{n}"}
                            for n, atom in enumerate(missing)
                        ]
                    )
                self._assert([{"k": END, "id": "end", "sid": SESSION}])
            finally:
                self._clear()
            if run.error:
                raise run.error
            if not run.ended:
                msg = "the rule engine stopped before the end of the case; nothing was concluded"
                raise ChainError(msg)
            return ChainResult(tuple(sorted(run.firings, key=lambda firing: firing.layer)), run.facts)

    def _definition(self, rule: ChainRule) -> dict[str, Any]:
        layer = self._layer[rule.id]
        matches = [self._condition(match) for match in rule.when]
        matches += [[{"k": ABSENT}, {"name": _absent(layer, atom)}] for atom in rule.unless]
        conditions = [{f"a{n}": {"$and": tests}} for n, tests in enumerate(matches)]
        return {"all": conditions, "pri": layer, "run": self._action(rule, layer)}

    def _condition(self, match: Match) -> list[dict[str, Any]]:
        tests: list[dict[str, Any]] = [{"k": match.kind}, {"name": match.name}]
        for test in sorted(match.tests, key=lambda test: (test.field, test.comparison, str(test.value))):
            constant = {test.field: _encode(test.value)}
            tests.append(constant if test.comparison == "==" else {COMPARISONS[test.comparison]: constant})
        return tests

    def _action(self, rule: ChainRule, layer: int) -> Callable[[Any], None]:
        """Return what the library calls: it would swallow any exception, so the first one is kept for later."""

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
                added = [run.add(kind, name, {}, "", rule.id) for kind, name in rule.gives]
                run.firings.append(
                    Firing(rule=rule.id, layer=layer, matched=matched, gave=tuple(fact.id for fact, _ in added))
                )
                for fact, new in added:
                    if new:
                        closure.assert_fact(self._wire(fact))
            except BaseException as error:  # noqa: BLE001 - Ctrl-C too; raised again when the call returns
                run.error = error

        return act

    def _on_end(self, _: object) -> None:
        self._run.ended = True

    def _wire(self, fact: Fact) -> dict[str, Any]:
        """Return the fact as the library takes it: only what rules test, each in its one type."""
        if fact.rule is None and fact.kind.startswith("~"):
            msg = f"a fact cannot be of the reserved kind {fact.kind}"
            raise ChainError(msg)
        wire: dict[str, Any] = {"k": fact.kind, "name": fact.name, "id": fact.id, "sid": SESSION}
        for field, value in fact.data.items():
            wanted = self._types.get((fact.kind, field))
            if wanted is None:
                continue
            if wanted is not type_of(value):
                msg = f"{fact.kind} {fact.name}: {field} is {value!r}; rules compare it as {wanted.__name__}"
                raise ChainError(msg)
            wire[field] = _encode(value)
        return wire

    def _assert(self, wire: list[dict[str, Any]]) -> None:
        if not wire or self._run.error:  # an empty batch crashes the process
            return
        try:
            self._host.assert_facts(RULESET, wire)
        except Exception as error:
            if self._run.error is None:
                msg = f"the rule engine failed: {type(error).__name__}: {str(error)[:200]}"
                raise ChainError(msg) from error

    def _clear(self) -> None:
        # Error 309, no such session, is what a clean start looks like.
        with contextlib.suppress(Exception):
            self._host.delete_state(RULESET, SESSION)


def _absent(layer: int, atom: Atom) -> str:
    return f"{layer}:{atom[0]}/{atom[1]}"


def _absences(rules: Sequence[ChainRule], layer: dict[str, int]) -> dict[int, list[Atom]]:
    """Return the facts whose absence the rules of each layer ask for."""
    wanted: dict[int, set[Atom]] = {}
    for rule in rules:
        if rule.unless:
            wanted.setdefault(layer[rule.id], set()).update(rule.unless)
    return {number: sorted(atoms) for number, atoms in wanted.items()}


def _encode(value: Scalar) -> Scalar:
    if isinstance(value, (bool, str)):
        return value
    if value != value or abs(value) > LARGEST:  # noqa: PLR0124 - not a number is unequal to itself
        msg = f"a figure the rules cannot compare: {value}"
        raise ChainError(msg)
    return round(value * SCALE)


@contextlib.contextmanager
def _interrupts_held() -> Iterator[None]:
    """Let a Ctrl-C wait until the case is cleared away; inside the library it could be lost."""
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
        raise KeyboardInterrupt
