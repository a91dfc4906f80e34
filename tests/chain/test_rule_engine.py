"""The rule engine adapter: the same firings as a naive matcher, on any rules, threads, or interruption."""

import os
import random
import resource
import signal
import threading

import pytest
from durable import engine as durable

from advisor.chain import rule_engine
from advisor.chain.rule_engine import Engine
from advisor.chain.terms import Atom, ChainRule, GivenFact
from advisor.diagnose import Advisor
from advisor.errors import ChainError
from advisor.readings.reduce import reduce
from advisor.readings.verdicts import judge
from tests.cases import case, report
from tests.chain import naive

RULE_BASES = 1_600


def _rule_base(rng: random.Random) -> tuple[list[ChainRule], dict[str, int]]:
    """Return random rules over atoms with levels: absence is only asked of lower levels."""
    level = {(f"k{n % 3}", f"n{n}"): rng.randint(0, 3) for n in range(rng.randint(3, 9))}
    rules, levels = [], {}
    for number in range(rng.randint(1, 14)):
        gives = tuple({rng.choice(sorted(level)) for _ in range(rng.randint(1, 2))})
        mine = min(level[atom] for atom in gives)
        under = [atom for atom, one in level.items() if one <= mine]
        below = [atom for atom, one in level.items() if one < mine]
        when = tuple(rng.sample(under, min(len(under), rng.randint(1, 3))))
        unless = tuple({rng.choice(below) for _ in range(rng.randint(0, 2))}) if below else ()
        rules.append(ChainRule(id=f"r{number}", when=when, unless=unless, gives=gives))
        levels[f"r{number}"] = mine
    return rules, levels


def _facts(rng: random.Random) -> list[GivenFact]:
    numbers = [rng.randint(0, 8) for _ in range(rng.randint(0, 9))]
    return [GivenFact(f"k{number % 3}", f"n{number}") for number in numbers]


def _outcome(engine: Engine, given: list[GivenFact]) -> tuple[set[Atom], list[str]]:
    """Return the facts and the rules that fired; each firing's facts must be those its rule asks for and gives."""
    result = engine.run(given)
    atoms = {fact.id: (fact.kind, fact.name) for fact in result.facts.values()}
    for firing in result.firings:
        assert len(firing.matched) == len(set(firing.matched)) > 0
        assert {*firing.matched, *firing.gave} <= set(atoms)
    return set(atoms.values()), [one.rule for one in result.firings]


def _agree(seeds: range) -> int:
    """Hold the engine against the naive matcher, several cases a rule base; return how many rules fired."""
    compared = 0
    for seed in seeds:
        rng = random.Random(seed)
        rules, levels = _rule_base(rng)
        engine = Engine(rules)
        for _ in range(3):
            given = _facts(rng)
            facts, fired = _outcome(engine, given)
            wanted_facts, wanted = naive.chain(rules, levels, [(one.kind, one.name) for one in given])
            assert facts == wanted_facts, seed
            assert sorted(fired) == sorted(wanted), seed
            compared += len(wanted)
    return compared


@pytest.mark.wide
@pytest.mark.parametrize("part", range(4))
def test_agrees_with_a_naive_matcher_on_random_rule_bases(part: int) -> None:
    """Random rules with layers and absence, several cases each: the same facts and the same firings, each once."""
    fired = _agree(range(part * RULE_BASES // 4, (part + 1) * RULE_BASES // 4))
    assert fired > 500, "the fuzz must make rules fire to prove anything"


def test_agrees_with_a_naive_matcher_on_some() -> None:
    assert _agree(range(40)) > 50


def test_the_order_of_facts_changes_nothing() -> None:
    for seed in range(60):
        rng = random.Random(seed)
        engine = Engine(_rule_base(rng)[0])
        given = _facts(rng)
        facts, fired = _outcome(engine, given)
        rng.shuffle(given)
        facts_again, fired_again = _outcome(engine, given)
        assert (facts, set(fired)) == (facts_again, set(fired_again))


def test_firings_stand_in_the_order_of_their_layers() -> None:
    for seed in range(60):
        rng = random.Random(seed)
        layers = [one.layer for one in Engine(_rule_base(rng)[0]).run(_facts(rng)).firings]
        assert layers == sorted(layers)


def _ring(*, refused: bool) -> list[ChainRule]:
    """Return two rules that need each other's absence, or only each other."""
    atoms = (("seen", "b"),) if refused else ()
    return [
        ChainRule(id="one", when=(("seen", "start"),), unless=atoms, gives=(("seen", "a"),)),
        ChainRule(id="two", when=(("seen", "start"),), unless=(("seen", "a"),), gives=(("seen", "b"),)),
    ]


def test_refuses_rules_that_wait_for_each_other() -> None:
    Engine(_ring(refused=False))
    with pytest.raises(ChainError, match="one, two"):
        Engine(_ring(refused=True))


@pytest.mark.parametrize(
    ("rules", "message"),
    [
        ([ChainRule(id="a$b", when=(("k", "n"),), gives=(("k", "m"),))], "repeated, empty"),
        ([ChainRule(id="a", when=(("k", "n"),), gives=())] * 2, "repeated, empty"),
        ([ChainRule(id="a", when=(), gives=(("k", "m"),))], "no positive condition"),
        ([ChainRule(id="a", when=(("~k", "n"),), gives=(("k", "m"),))], "begin with"),
        ([ChainRule(id="a", when=tuple(("k", f"n{n}") for n in range(17)), gives=())], "16 conditions"),
        ([ChainRule(id="a", when=(("k", "n"), ("k", "n")), gives=())], "twice for one fact"),
        ([ChainRule(id="a", when=(("k", "n"),), unless=(("k", "m"),) * 2, gives=())], "twice for one absence"),
        ([ChainRule(id=f"r{n}", when=(("k", "n"),), gives=()) for n in range(251)], "share"),
        ([ChainRule(id=f"r{n}", when=(("k", f"n{n}"),), gives=()) for n in range(501)], "over 500 names"),
    ],
)
def test_refuses_what_the_library_would_run_wrongly(rules: list[ChainRule], message: str) -> None:
    with pytest.raises(ChainError, match=message):
        Engine(rules)


def test_refuses_a_fact_of_a_reserved_kind() -> None:
    engine = _chain_of(3)
    with pytest.raises(ChainError) as caught:
        engine.run([GivenFact("~end", "n")])
    assert caught.value.problems[0].text == "facts of a reserved kind: ~end"
    assert len(engine.run([GivenFact("k", "n0")]).firings) == 3


def _chain_of(length: int, before: object = None) -> Engine:
    rules = [ChainRule(id=f"r{n}", when=(("k", f"n{n}"),), gives=(("k", f"n{n + 1}"),)) for n in range(length)]
    return Engine(rules, before)  # type: ignore[arg-type]  # a test's own callback


@pytest.mark.parametrize("how", ["pressed", "raised"])
def test_an_interrupt_inside_an_action_leaves_the_next_case_right(how: str) -> None:
    """Ctrl-C while a rule fires: it comes out as KeyboardInterrupt, and nothing of the case stays behind."""
    armed = [False]

    def interrupt(rule: str) -> None:
        if armed[0] and rule == "r7":
            armed[0] = False
            if how == "raised":
                raise KeyboardInterrupt
            os.kill(os.getpid(), signal.SIGINT)

    engine = _chain_of(20, interrupt)
    whole = engine.run([GivenFact("k", "n0")])
    assert len(whole.firings) == 20
    for _ in range(5):
        armed[0] = True
        with pytest.raises(KeyboardInterrupt):
            engine.run([GivenFact("k", "n0")])
        assert engine.run([GivenFact("k", "n5")]).firings[0].rule == "r5"
        assert engine.run([GivenFact("k", "n0")]) == whole


def test_an_error_inside_an_action_comes_out() -> None:
    def fail(rule: str) -> None:
        if rule == "r3":
            msg = "broken"
            raise ZeroDivisionError(msg)

    with pytest.raises(ZeroDivisionError, match="broken"):
        _chain_of(6, fail).run([GivenFact("k", "n0")])


def test_facts_are_numbered_as_they_come_and_know_their_rule() -> None:
    found = _chain_of(3).run([GivenFact("k", "n0", "was told", "seen"), GivenFact("k", "n0", "told again", "told")])
    facts = [(one.id, one.name, one.said, one.how, one.rule) for one in found.facts.values()]
    assert facts == [
        (1, "n0", "was told", "seen", None),
        (2, "n1", "", "", "r0"),
        (3, "n2", "", "", "r1"),
        (4, "n3", "", "", "r2"),
    ]
    assert [(one.rule, one.matched, one.gave) for one in found.firings] == [
        ("r0", (1,), (2,)),
        ("r1", (2,), (3,)),
        ("r2", (3,), (4,)),
    ]


def test_rules_are_compiled_when_a_case_first_needs_them_three_times_and_then_all(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """The library takes its time over every rule; so it is given what a case can reach, and not again and again."""
    loads: list[int] = []
    original = durable.Host.set_rulesets

    def counted(host: object, definitions: dict[str, dict[str, object]]) -> object:
        loads.append(len(definitions["rules"]) - 2)  # without the end and the sink
        return original(host, definitions)

    monkeypatch.setattr(durable.Host, "set_rulesets", counted)
    engine = Engine([ChainRule(id=f"r{n}", when=(("k", f"n{n}"),), gives=(("k", f"m{n}"),)) for n in range(9)])
    assert loads == []
    for number in (0, 0, 1, 0, 1, 2, 0, 5, 8, 7):
        fired = engine.run([GivenFact("k", f"n{number}")]).firings
        assert [one.rule for one in fired] == [f"r{number}"]
    assert loads == [1, 2, 3, 9]


def test_a_case_that_fires_without_end_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(rule_engine, "MAX_FIRINGS", 5)
    assert len(_chain_of(5).run([GivenFact("k", "n0")]).firings) == 5
    with pytest.raises(ChainError) as caught:
        _chain_of(6).run([GivenFact("k", "n0")])
    assert caught.value.problems[0].text == "over 5 firings in one case: r5"


def test_a_case_that_the_library_loses_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = _chain_of(3)
    whole = engine.run([GivenFact("k", "n0")])
    with monkeypatch.context() as patch:
        patch.setattr(durable.Host, "assert_facts", lambda *_: None)
        with pytest.raises(ChainError) as caught:
            engine.run([GivenFact("k", "n0")])
    wanted = "the rule engine stopped before the end of the case; nothing was concluded"
    assert caught.value.problems[0].text == wanted
    assert engine.run([GivenFact("k", "n0")]) == whole


def test_what_the_library_raises_is_said_by_its_kind_and_beginning(monkeypatch: pytest.MonkeyPatch) -> None:
    engine = _chain_of(3)
    whole = engine.run([GivenFact("k", "n0")])

    def broken(*_: object) -> None:
        raise ValueError("x" * 300)

    with monkeypatch.context() as patch:
        patch.setattr(durable.Host, "assert_facts", broken)
        with pytest.raises(ChainError) as caught:
            engine.run([GivenFact("k", "n0")])
    assert caught.value.problems[0].text == "the rule engine failed: ValueError: " + "x" * 200
    assert engine.run([GivenFact("k", "n0")]) == whole


@pytest.mark.wide
def test_threads_do_not_mix_cases() -> None:
    engine = _chain_of(30)
    wrong: list[int] = []

    def many(start: int) -> None:
        for _ in range(60):
            fired = [one.rule for one in engine.run([GivenFact("k", f"n{start}")]).firings]
            if fired != [f"r{n}" for n in range(start, 30)]:
                wrong.append(start)

    threads = [threading.Thread(target=many, args=(start,)) for start in range(0, 30, 4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert not wrong


@pytest.mark.parametrize("times", [1_000, pytest.param(5_000, marks=pytest.mark.slow)])
def test_memory_stays_flat_over_many_cases(advisor: Advisor, times: int) -> None:
    """Thousands of cases through the whole rule base: no more memory than after the first few hundred."""
    told = case(report("idle-hangs"), report("misfires-idle", "left"), report("plug-black", "left", seen=False))
    judged = judge(reduce(told.measured, told.before, advisor.base), told.bike, advisor.base)

    def megabytes() -> float:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

    for _ in range(300):
        advisor.chain.run(told, judged)
    before = megabytes()
    for _ in range(times - 300):
        advisor.chain.run(told, judged)
    assert megabytes() - before < 3
