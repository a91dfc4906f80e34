"""What must not reach the rule engine: each limit held, and one below it let through."""

import pytest

from advisor.chain.layers import layers
from advisor.chain.subset import refuse, refuse_unsafe
from advisor.chain.terms import Atom, ChainRule
from advisor.errors import ChainError


def atoms(count: int, kind: str = "k", name: str = "n") -> tuple[Atom, ...]:
    return tuple((kind, f"{name}{n}") for n in range(count))


def plain(name: str = "a", when: tuple[Atom, ...] = (("k", "n"),), unless: tuple[Atom, ...] = ()) -> ChainRule:
    return ChainRule(id=name, when=when, unless=unless, gives=(("out", "x"),))


def said(*rules: ChainRule) -> str:
    """Return what is refused, '' where nothing is."""
    try:
        refuse_unsafe(rules, layers(rules))
    except ChainError as error:
        return error.problems[0].text
    return ""


@pytest.mark.parametrize("name", ["", "~a", "a$b", "$"])
def test_names_that_the_library_takes_for_its_own(name: str) -> None:
    assert said(plain(name)) == f"rule ids that are repeated, empty, or hold '~' or '$': {name}"


@pytest.mark.parametrize("name", ["a", "a~b", "a b", "a: b"])
def test_other_names_are_let_through(name: str) -> None:
    assert said(plain(name)) == ""


def test_a_name_that_stands_twice() -> None:
    assert said(plain("a"), plain("b"), plain("a")) == "rule ids that are repeated, empty, or hold '~' or '$': a"


def test_a_rule_without_a_condition() -> None:
    assert said(plain(when=(), unless=atoms(1))) == "rules with no positive condition: a"


def test_sixteen_conditions_and_no_more() -> None:
    assert said(plain(when=atoms(10), unless=atoms(6, "q"))) == ""
    assert said(plain(when=atoms(10), unless=atoms(7, "q"))) == "rules with more than 16 conditions: a"


def test_one_fact_fills_one_condition() -> None:
    assert said(plain(when=(("k", "n"), ("k", "m"), ("k", "n")))) == "rules that ask twice for one fact: a"
    assert said(plain(unless=(("q", "n"), ("q", "n")))) == "rules that ask twice for one absence: a"
    assert said(plain(when=(("k", "n"), ("q", "n")), unless=(("k", "m"), ("q", "m")))) == ""


def test_a_reserved_kind() -> None:
    assert said(plain(when=(("~k", "n"),))) == "kinds that begin with '~': ~k"
    assert said(plain(when=(("k~", "n"),))) == ""


def test_what_many_rules_share() -> None:
    many = [plain(f"r{n}") for n in range(251)]
    assert said(*many[:250]) == ""
    assert said(*many) == "conditions that over 250 rules share: k n"


def test_how_many_names_a_kind_has() -> None:
    many = [plain(f"r{n}", when=(("k", f"n{n}"), ("q", "n"))[: 1 if n else 2]) for n in range(501)]
    assert said(*many[:500]) == ""
    assert said(*many) == "kinds with over 500 names: k"


def test_how_many_absences() -> None:
    def asking(count: int) -> list[ChainRule]:
        return [plain(f"r{n}", when=(("k", f"n{n % 9}"),), unless=atoms(10, name=f"m{n}-")) for n in range(count)]

    assert said(*asking(50)) == ""
    assert said(*asking(51)) == "more than 500 absences: more"


def test_how_many_rules() -> None:
    """By kinds of their own, so that no other limit is met first."""
    many = [plain(f"r{n}", when=((f"k{n // 400}", f"n{n}"),)) for n in range(4001)]
    assert said(*many[:4000]) == ""
    assert said(*many) == "more than 4000 rules: more"


def test_five_are_named() -> None:
    refuse([], "nothing")
    with pytest.raises(ChainError) as caught:
        refuse([str(n) for n in range(7)], "these")
    assert caught.value.problems[0].text == "these: 0, 1, 2, 3, 4"
