"""Rules that contradict each other are found, whichever way they say the same; rules that do not, are not."""

import itertools
import random
from pathlib import Path

import pytest
from click.testing import CliRunner
from msgspec.structs import replace

from advisor.cli import cli
from advisor.rulebase.contradicting import problems
from advisor.rulebase.model import Bearing, ReadingIs, Rule, Rulebase
from advisor.sides import Side, other
from tests.small import limit, rule, rulebase, sign

SIGNS = (
    sign("wet"),
    sign("slow"),
    sign("bad"),
    sign("weak", sided=True),
    sign("hot", sided=True),
    sign("higher", sided=True, exclusive=True),
    sign("low", never_with=("fast",)),
    sign("fast"),
)


LIMITS = (
    limit("some", 50.0, "rpm"),
    limit("much", 200.0, "rpm"),
    limit("far", 300.0, "mm"),
    limit("own", 20.0, "rpm", figure="idle"),
)


def over(name: str, *, above: bool = True, of: str = "reading", bearing: Bearing = "none") -> ReadingIs:
    return ReadingIs(reading="drop", bearing=bearing, above=above, limit=name, of=of)


def found(*rules: Rule) -> list[str]:
    base = rulebase(*SIGNS, *LIMITS, *(replace(one, file=f"{one.id}.yaml", line=3) for one in rules))
    return [str(one) for one in problems(base)]


OPPOSITE = {
    "the same sign": (rule("a", "wet", shows=["bad"]), rule("b", "wet", shows=["not bad"])),
    "under more conditions": (rule("a", "wet", "slow", shows=["bad"]), rule("b", "wet", shows=["not bad"])),
    "unless the same": (
        rule("a", "wet", unless=["slow"], shows=["bad"]),
        rule("b", "wet", unless=["slow"], shows=["not bad"]),
    ),
    "unless what cannot be": (
        rule("a", "wet", "not slow", shows=["bad"]),
        rule("b", "wet", unless=["slow"], shows=["not bad"]),
    ),
    "on one side": (rule("a", "weak this", shows=["hot this"]), rule("b", "weak this", shows=["not hot this"])),
    "said of the other side": (
        rule("a", "weak this", shows=["hot other"]),
        rule("b", "weak other", shows=["not hot this"]),
    ),
    "of both sides": (
        rule("a", "weak this", "weak other", shows=["hot this", "not hot other"]),
        rule("b", "wet", shows=["bad"]),
    ),
    "a side too many": (
        rule("a", "weak this", shows=["higher this"]),
        rule("b", "weak this", shows=["higher other"]),
    ),
    "never together": (rule("a", "wet", shows=["low"]), rule("b", "wet", shows=["fast"])),
    "over a higher limit": (rule("a", over("much"), shows=["bad"]), rule("b", over("some"), shows=["not bad"])),
    "under a lower limit": (
        rule("a", over("some", above=False), shows=["bad"]),
        rule("b", over("much", above=False), shows=["not bad"]),
    ),
    "otherwise": (
        rule("a", over("some"), shows=["bad"], otherwise=True),
        rule("b", over("some", above=False), shows=["bad"]),
    ),
    "more on one side, less on the other": (
        rule("a", over("some", of="lead", bearing="this"), shows=["hot this"]),
        rule("b", over("some", of="lead", bearing="other", above=False), shows=["not hot this"]),
    ),
    "set aside": (rule("a", "wet", "slow", shows=["bad"]), rule("b", "wet", sets_aside=("bad",))),
}


@pytest.mark.parametrize("pair", OPPOSITE.values(), ids=OPPOSITE)
def test_a_contradiction_is_found_with_both_pages(pair: tuple[Rule, Rule]) -> None:
    [said] = found(*pair)
    assert said.startswith(("b.yaml:3: 'b' contradicts 'a' (a.yaml:3) on the same conditions: ", "a.yaml:3: 'a' contr"))
    assert [one.split(" on the ")[0] for one in found(*reversed(pair))] == [said.split(" on the ")[0]]


def test_a_rule_may_contradict_itself_on_its_two_sides() -> None:
    [said] = found(*OPPOSITE["of both sides"])
    assert said.startswith("a.yaml:3: 'a' contradicts itself on the two sides: 'hot left' is seen")


APART = {
    "other conditions": (rule("a", "wet", shows=["bad"]), rule("b", "slow", shows=["not bad"])),
    "one more condition each": (
        rule("a", "wet", "slow", shows=["bad"]),
        rule("b", "wet", "not slow", shows=["not bad"]),
    ),
    "unless the other": (rule("a", "wet", "slow", shows=["bad"]), rule("b", "wet", unless=["slow"], shows=["not bad"])),
    "the same said": (rule("a", "wet", shows=["bad"]), rule("b", "wet", "slow", shows=["bad"])),
    "the other side": (rule("a", "weak this", shows=["hot this"]), rule("b", "weak this", shows=["not hot other"])),
    "over a lower limit alone": (
        rule("a", over("much"), shows=["bad"], otherwise=True),
        rule("b", over("some"), shows=["bad"], otherwise=True),
    ),
    "limits in other units": (rule("a", over("far"), shows=["bad"]), rule("b", over("some"), shows=["not bad"])),
    "a limit of the bike's own": (rule("a", over("much"), shows=["bad"]), rule("b", over("own"), shows=["not bad"])),
    "set aside in a special case": (rule("a", "wet", shows=["bad"]), rule("b", "wet", "slow", sets_aside=("bad",))),
}


@pytest.mark.parametrize("pair", APART.values(), ids=APART)
def test_what_only_looks_like_one_is_none(pair: tuple[Rule, Rule]) -> None:
    assert found(*pair) == []


@pytest.mark.parametrize("seed", range(150))
def test_two_rules_contradict_each_other_if_no_picture_lets_one_fire_alone(seed: int) -> None:
    """Against going through every picture: each of four sided signs seen, not seen or unknown on each side."""
    rng = random.Random(seed)
    names = ("s0", "s1")

    def words(many: int) -> list[str]:
        chosen = rng.sample([f"{name} {side}" for name in names for side in ("this", "other")], many)
        return [f"{rng.choice(('', 'not '))}{one}" for one in chosen]

    rules = []
    for name in ("a", "b"):
        asked = words(rng.randint(1, 3))
        rules.append(rule(name, *asked[:2], unless=asked[2:], shows=[f"{rng.choice(('', 'not '))}x this"]))
    base = rulebase(*(sign(name, sided=True) for name in (*names, "x")), *rules)
    keys = [(name, side) for name in names for side in ("left", "right")]
    fires: dict[tuple[str, str], list[bool]] = {}
    for states in itertools.product((True, False, None), repeat=len(keys)):
        known = dict(zip(keys, states, strict=True))
        for one in rules:
            for side in ("left", "right"):
                fires.setdefault((one.id, side), []).append(_holds(one, side, known))
    wanted = set()
    for mine, theirs in itertools.product(fires, repeat=2):
        opposite = base.rules[mine[0]].shows[0].seen != base.rules[theirs[0]].shows[0].seen
        always = all(b for a, b in zip(fires[mine], fires[theirs], strict=True) if a)
        if mine[1] == theirs[1] and opposite and always:
            wanted.add(frozenset({mine[0], theirs[0]}))
    assert bool(problems(base)) == bool(wanted)


def _holds(one: Rule, side: Side, known: dict[tuple[str, str], bool | None]) -> bool:
    def holds(condition: object) -> bool:
        at = {"this": side, "other": other(side)}[condition.bearing]  # type: ignore[attr-defined]  # all ask for signs
        return known[condition.sign, at] is condition.seen  # type: ignore[attr-defined,index]  # as above

    return all(map(holds, one.when)) and not any(map(holds, one.unless))


def test_the_shipped_rules_contradict_nothing(base: Rulebase) -> None:
    assert problems(base) == []


SHOP = """\
{name}:
  when: [{{sign: idle-hangs}}]
  shows: {{idle-hunts: {said}}}
  reason: This shop says so.
  examples:
    - {{name: it does, seen: {{idle-hangs: yes}}, fires: yes}}
    - {{name: not told, seen: {{idle-hunts: yes}}, waits for: idle-hangs}}
"""


def test_two_shop_rules_that_contradict_each_other_do_not_pass(tmp_path: Path) -> None:
    folder = tmp_path / "intake"
    folder.mkdir()
    page = folder / "patterns.yaml"
    page.write_text(SHOP.format(name="ours", said="yes") + SHOP.format(name="theirs", said="no"), encoding="utf-8")
    done = CliRunner().invoke(cli, ["rules", "check", "--rules", str(tmp_path)])
    assert done.exit_code == 1
    assert f"{page}:9: 'theirs' contradicts 'ours' ({page}:2) on the same conditions" in done.output.replace("\n", " ")
