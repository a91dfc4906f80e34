"""The rule engine adapter: the same firings as a naive matcher, on any rules, threads, or interruption."""

import os
import random
import resource
import signal
import threading

import pytest

from advisor.chain.engine import Engine
from advisor.chain.terms import ChainRule, Comparison, GivenFact, Match, Scalar
from advisor.chain.terms import Test as FieldTest
from advisor.diagnose import Advisor
from advisor.errors import ChainError
from advisor.readings.reduce import reduce
from tests.cases import case, report
from tests.chain import naive

FIELDS: dict[str, list[Scalar]] = {"low": [-1.5, 0.0, 0.25, 3.0], "word": ["a", "b"], "flag": [True, False]}
ORDERED: list[Comparison] = ["==", "!=", ">", ">=", "<", "<="]
RULE_BASES = 1_200


def _test(rng: random.Random) -> FieldTest:
    field = rng.choice(sorted(FIELDS))
    comparison = rng.choice(ORDERED if field == "low" else ORDERED[:2])
    return FieldTest(field, comparison, rng.choice(FIELDS[field]))


def _rule_base(rng: random.Random) -> tuple[list[ChainRule], dict[str, int]]:
    """Return random rules over atoms with levels: absence is only asked of lower levels."""
    level = {(f"k{n % 3}", f"n{n}"): rng.randint(0, 3) for n in range(rng.randint(3, 9))}
    rules, levels = [], {}
    for number in range(rng.randint(1, 14)):
        gives = tuple({rng.choice(sorted(level)) for _ in range(rng.randint(1, 2))})
        mine = min(level[atom] for atom in gives)
        under = [atom for atom, one in level.items() if one <= mine]
        below = [atom for atom, one in level.items() if one < mine]
        asked = rng.sample(under, min(len(under), rng.randint(1, 3)))
        when = tuple(Match(*atom, tuple(_test(rng) for _ in range(rng.choice([0, 0, 1, 2])))) for atom in asked)
        unless = tuple({rng.choice(below) for _ in range(rng.randint(0, 2))}) if below else ()
        rules.append(ChainRule(id=f"r{number}", when=when, unless=unless, gives=gives))
        levels[f"r{number}"] = mine
    return rules, levels


def _facts(rng: random.Random) -> list[GivenFact]:
    facts = []
    for _ in range(rng.randint(0, 9)):
        number = rng.randint(0, 8)
        data = {field: rng.choice(values) for field, values in FIELDS.items() if rng.random() < 0.6}
        facts.append(GivenFact(f"k{number % 3}", f"n{number}", data))
    return facts


def _as_rows(engine: Engine, given: list[GivenFact]) -> tuple[set[naive.Row], list[tuple[str, tuple[naive.Row, ...]]]]:
    result = engine.run(given)
    rows = {fact.id: naive.row(fact.kind, fact.name, fact.data) for fact in result.facts.values()}
    return set(rows.values()), [(one.rule, tuple(rows[fact] for fact in one.matched)) for one in result.firings]


@pytest.mark.parametrize("part", range(4))
def test_agrees_with_a_naive_matcher_on_random_rule_bases(part: int) -> None:
    """Random rules with layers and absence, several cases each: the same facts and the same firings, each once."""
    compared = 0
    for seed in range(part * RULE_BASES // 4, (part + 1) * RULE_BASES // 4):
        rng = random.Random(seed)
        rules, levels = _rule_base(rng)
        engine = Engine(rules)
        for _ in range(3):
            given = _facts(rng)
            facts, fired = _as_rows(engine, given)
            wanted_facts, wanted = naive.chain(rules, levels, given)
            assert facts == wanted_facts, seed
            assert set(fired) == wanted, seed
            assert len(fired) == len(wanted), seed
            compared += len(wanted)
    assert compared > 500, "the fuzz must make rules fire to prove anything"


def test_the_order_of_facts_changes_nothing() -> None:
    for seed in range(60):
        rng = random.Random(seed)
        engine = Engine(_rule_base(rng)[0])
        given = _facts(rng)
        facts, fired = _as_rows(engine, given)
        rng.shuffle(given)
        facts_again, fired_again = _as_rows(engine, given)
        assert (facts, set(fired)) == (facts_again, set(fired_again))


def _ring(*, refused: bool) -> list[ChainRule]:
    """Return two rules that need each other's absence, or only each other."""
    atoms = (("seen", "b"),) if refused else ()
    return [
        ChainRule(id="one", when=(Match("seen", "start"),), unless=atoms, gives=(("seen", "a"),)),
        ChainRule(id="two", when=(Match("seen", "start"),), unless=(("seen", "a"),), gives=(("seen", "b"),)),
    ]


def test_refuses_rules_that_wait_for_each_other() -> None:
    Engine(_ring(refused=False))
    with pytest.raises(ChainError, match="one, two"):
        Engine(_ring(refused=True))


@pytest.mark.parametrize(
    ("rules", "message"),
    [
        ([ChainRule(id="a$b", when=(Match("k", "n"),), gives=(("k", "m"),))], "repeated, empty"),
        ([ChainRule(id="a", when=(), gives=(("k", "m"),))], "no positive condition"),
        ([ChainRule(id="a", when=(Match("~k", "n"),), gives=(("k", "m"),))], "begin with"),
        ([ChainRule(id="a", when=(Match("k", "n", (FieldTest("sid", "==", 1.0),)),), gives=())], "reserved fields"),
        ([ChainRule(id="a", when=(Match("k", "n", (FieldTest("w", ">", "x"),)),), gives=())], "has no order"),
        (
            [
                ChainRule(
                    id="a", when=(Match("k", "n", (FieldTest("w", "==", "x"), FieldTest("w", "==", 1.0))),), gives=()
                )
            ],
            "both as text and as a number",
        ),
        ([ChainRule(id="a", when=tuple(Match("k", f"n{n}") for n in range(17)), gives=())], "16 conditions"),
        ([ChainRule(id="a", when=(Match("k", "n"), Match("k", "n")), gives=())], "two conditions on one fact"),
        ([ChainRule(id="a", when=(Match("k", "n"),), unless=(("k", "m"),) * 2, gives=())], "twice for one absence"),
        ([ChainRule(id=f"r{n}", when=(Match("k", "n"),), gives=()) for n in range(251)], "share"),
    ],
)
def test_refuses_what_the_library_would_run_wrongly(rules: list[ChainRule], message: str) -> None:
    with pytest.raises(ChainError, match=message):
        Engine(rules)


def test_refuses_a_fact_of_the_wrong_type() -> None:
    engine = Engine([ChainRule(id="a", when=(Match("k", "n", (FieldTest("low", ">", 1.0),)),), gives=(("k", "m"),))])
    with pytest.raises(ChainError, match="rules compare it as float"):
        engine.run([GivenFact("k", "n", {"low": "much"})])
    with pytest.raises(ChainError, match="cannot compare"):
        engine.run([GivenFact("k", "n", {"low": float("nan")})])
    assert len(engine.run([GivenFact("k", "n", {"low": 2.0})]).firings) == 1


def _chain_of(length: int, before: object = None) -> Engine:
    rules = [ChainRule(id=f"r{n}", when=(Match("k", f"n{n}"),), gives=(("k", f"n{n + 1}"),)) for n in range(length)]
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


def test_memory_stays_flat_over_many_cases(advisor: Advisor) -> None:
    """5,000 cases through the whole rule base: no more memory than after the first few hundred."""
    told = case(report("idle-hangs"), report("misfires-idle", "left"), report("plug-black", "left", seen=False))
    reduced = reduce(told.measured, advisor.base)

    def megabytes() -> float:
        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024

    for _ in range(500):
        advisor.chain.run(told, reduced)
    before = megabytes()
    for _ in range(4_500):
        advisor.chain.run(told, reduced)
    assert megabytes() - before < 3
