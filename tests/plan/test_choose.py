"""What to do first, on small rule bases by hand; `test_choose_shipped` asks the whole one."""

import random
from typing import Any

import pytest
from msgspec.structs import replace

from advisor.case import Case, Means
from advisor.plan.ahead import Weighed
from advisor.plan.candidates import Scene
from advisor.plan.choose import Plan, answered, in_words, plan
from advisor.plan.comes_first import banned_until_seen
from advisor.plan.cost import expected_minutes
from advisor.rank.joint import Joint, WhatIf
from advisor.rank.network import Finding, build
from advisor.rank.ranking import Ranking
from advisor.report import Evidence, NextCheck
from advisor.rulebase import Rulebase
from advisor.rulebase.table_records import Area, Cover, Tool
from advisor.sides import BOTH, OPPOSITE, Side, Sided
from tests.cases import case, report
from tests.small import WORDS, area, asks, blank, cause, check, here, outcome, over, rule, rulebase, sign, yes_no

TRIED = replace(WORDS, for_nothing=1e-6)


def _pages(**more: Any) -> list[Any]:
    """Return a leak and a jet, each with a look that decides it, and a question that tells them apart."""
    minutes = {"wet": 10.0, "blow": 20.0, "ask": 1.0} | more
    return [
        sign("moves"),
        sign("blocked"),
        sign("hangs"),
        cause("leak", "wet", {"moves": "sure", "hangs": "usually"}, place="intake", met="often", minutes=30.0),
        cause("jet", "blow", {"blocked": "sure"}, place="carburettor", met="often", minutes=50.0),
        yes_no("wet", "moves", minutes=minutes["wet"], place="intake"),
        yes_no("blow", "blocked", minutes=minutes["blow"], place="carburettor"),
        yes_no("ask", "hangs", minutes=minutes["ask"], how="told", place="method"),
        area("air", places=("intake",)),
        area("fuel", places=("carburettor",)),
    ]


def ranking(base: Rulebase, known: dict[Sided, bool] | None = None, how: str = "seen") -> Ranking:
    """Return the ranking of a bike with something wrong."""
    network = replace(build(base), for_nothing=1e-6)
    reports = {key: network.report(key, base.words.trust[how], seen=seen) for key, seen in (known or {}).items()}
    return Ranking(network, reports)


def planned(base: Rulebase, known: dict[Sided, bool] | None = None, most: int = 1, **more: Any) -> Plan:
    return plan(base, Joint(ranking(base, known)), here(known, **more), most)


def order(found: Plan) -> list[str]:
    return [one.candidate.check.id for one in found.checks]


def by_id(found: Plan) -> dict[str, Weighed]:
    return {one.candidate.check.id: one for one in found.checks}


BASE = rulebase(*_pages())


def test_a_quick_question_goes_before_two_long_looks() -> None:
    found = planned(BASE)
    assert (order(found)[0], found.goes_for, found.proven) == ("ask", None, False)


def test_a_long_question_does_not() -> None:
    found = planned(rulebase(*_pages(ask=30.0)))
    assert found.goes_for == ("leak", None)
    assert order(found)[0] == "wet"  # as likely as the jet, in half the time


def test_the_quicker_look_of_two_alike_is_the_bargain() -> None:
    assert planned(rulebase(*_pages(ask=30.0, wet=40.0))).goes_for == ("jet", None)


def test_minutes_to_the_cause_are_those_of_the_check_and_of_what_each_result_leaves() -> None:
    """By definition, with the exact ranking after each result (here within the joint picture's own error)."""
    found = by_id(planned(BASE))["ask"]
    one = ranking(BASE)
    rest = 0.0
    for result, chance in zip(found.candidate.results, found.told.chances, strict=True):
        after = one.with_more(result.findings).causes
        rest += chance * expected_minutes([10.0, 20.0], after)
    assert found.to_cause == pytest.approx(found.price + rest, rel=0.01)
    assert sum(found.told.chances) == pytest.approx(1.0)
    assert found.minutes == found.price == 1.0
    assert found.answers == 1.0


def test_going_at_once_takes_the_minutes_of_one_look_after_the_other() -> None:
    looks = by_id(planned(rulebase(*_pages(ask=30.0))))
    assert looks["wet"].to_cause == pytest.approx(expected_minutes([10.0, 20.0], ranking(BASE).posterior.causes))


def test_what_was_found_is_put_right() -> None:
    found = planned(BASE, {("moves", None): True})
    assert (found.goes_for, found.proven) == (("leak", None), True)
    assert "wet" not in order(found)


def test_what_was_looked_at_in_vain_is_not_gone_for_while_another_look_is_open() -> None:
    found = planned(BASE, {("moves", None): False})
    assert (found.goes_for, found.proven) == (("jet", None), False)


def _hopeless(met: str = "often", **means: Any) -> Plan:
    """Return the plan where the one look there is cannot be done here."""
    base = rulebase(
        sign("moves"),
        sign("else"),
        cause("leak", "wet", {"moves": "sure"}, met=met),
        cause("other", "see", {"else": "sure"}, met="often"),
        yes_no("wet", "moves", tools=("can",)),
        yes_no("see", "else", tools=("can",)),
        blank(Tool, id="can"),
    )
    at = replace(case(), means=Means(**{"person": "workshop", "tools": frozenset(), "engine": ""} | means))
    return planned(base, case=at)


def test_where_nothing_can_be_looked_at_only_what_one_would_act_on_is_gone_for() -> None:
    assert _hopeless().goes_for in {("leak", None), ("other", None)}  # half each: likely enough to act on
    assert _hopeless(met="seldom").goes_for == ("other", None)
    assert _hopeless(met="seldom").checks == []


def test_nothing_to_do_and_nothing_likely() -> None:
    pages = [
        sign("a"),
        *(cause(f"c{n}", f"k{n}", {"a": "sure"}, met="often") for n in range(3)),
        *(yes_no(f"k{n}", "a", tools=("can",)) for n in range(3)),
        blank(Tool, id="can"),
    ]
    at = replace(case(), means=Means(person="workshop", tools=frozenset(), engine=""))
    found = planned(rulebase(*pages), case=at)
    assert (found.checks, found.goes_for, found.proven) == ([], None, False)


def test_equals_come_in_the_readiness_order_then_by_name_then_left_first() -> None:
    def names(*areas: Area) -> list[tuple[str, str | None]]:
        base = rulebase(
            sign("m", sided=True),
            sign("b", sided=True),
            cause("x", "x-look", {"m this": "sure"}, sided=True, place="intake"),
            cause("y", "y-look", {"b this": "sure"}, sided=True, place="fuel"),
            yes_no("x-look", "m this", sided=True, place="intake"),
            yes_no("y-look", "b this", sided=True, place="fuel"),
            *areas,
        )
        return [(one.candidate.check.id, one.candidate.side) for one in planned(base).checks]

    fuel_first = names(area("f", places=("fuel",)), area("i", places=("intake",)))
    air_first = names(area("i", places=("intake",)), area("f", places=("fuel",)))
    bargain: Sided = ("x-look", "left")  # the first of equals; after it the others
    assert fuel_first == [bargain, ("y-look", "left"), ("y-look", "right"), ("x-look", "right")]
    assert air_first == [bargain, ("x-look", "right"), ("y-look", "left"), ("y-look", "right")]
    assert names() == air_first  # one place as good as the other: by name


@pytest.mark.parametrize("known", ["left", "right"])
def test_left_and_right_are_planned_alike(known: str) -> None:
    base = rulebase(
        sign("m", sided=True),
        sign("weak", sided=True),
        cause("x", "look", {"m this": "sure", "weak this": "usually"}, sided=True, met="often"),
        yes_no("look", "m this", sided=True),
    )
    found = planned(base, {("weak", known): True})  # type: ignore[dict-item]  # a side
    assert found.goes_for == ("x", known)
    assert found.checks[0].candidate.side == known


def test_an_open_cover_makes_its_check_cheaper() -> None:
    pages = _pages(ask=30.0)
    pages[6] = yes_no("blow", "blocked", minutes=20.0, place="carburettor", opens="bowl")
    base = rulebase(*pages, blank(Cover, id="bowl", minutes=15.0, each_side=False))
    at = replace(case(), opened=(("bowl", None),))
    assert by_id(planned(base))["blow"].minutes == 20.0
    assert by_id(planned(base, case=at))["blow"].minutes == 5.0
    assert planned(base, case=at).goes_for == ("jet", None)


def _bowls(minutes: float = 4.0) -> Rulebase:
    """Return a jet on each side under its bowl, and a float under the same bowl that may be looked at first."""
    return rulebase(
        blank(Cover, id="bowl", minutes=15.0, each_side=True),
        sign("blocked", sided=True),
        sign("heavy", sided=True),
        cause("jet", "blow", {"blocked this": "sure", "heavy this": "often"}, sided=True, met="often"),
        yes_no("blow", "blocked this", sided=True, minutes=20.0, opens="bowl"),
        yes_no("weigh", "heavy this", sided=True, minutes=15.0 + minutes, opens="bowl"),
    )


def test_what_a_check_opens_makes_the_next_look_on_that_side_cheaper() -> None:
    """The bowl is off after the float was weighed: five minutes are left of the look at that jet, not of the other."""
    base = _bowls()
    one = ranking(base)
    for found in planned(base).checks:
        if found.candidate.check.id != "weigh":
            continue
        side = found.candidate.side
        prices = [5.0 if side == "left" else 20.0, 5.0 if side == "right" else 20.0]
        rest = sum(
            chance * expected_minutes(prices, one.with_more(result.findings).causes)
            for result, chance in zip(found.candidate.results, found.told.chances, strict=True)
        )
        assert found.to_cause == pytest.approx(found.price + rest, rel=0.02)


@pytest.mark.parametrize("side", BOTH)
def test_an_open_cover_helps_on_its_own_side_only(side: Side) -> None:
    at = replace(case(), opened=(("bowl", side),))
    found = {(one.candidate.check.id, one.candidate.side): one for one in planned(_bowls(), case=at).checks}
    assert found["blow", side].minutes == 5.0
    assert found["blow", OPPOSITE[side]].minutes == 20.0
    assert planned(_bowls(), case=at).goes_for == ("jet", side)


def _looked(*, tools: frozenset[str] | None = None) -> Plan:
    """Return the plan where the one likely cause was looked at in vain, by a look that often misses."""
    base = rulebase(
        sign("shown"),
        sign("hangs"),
        sign("n"),
        cause("leak", "wet", {"shown": "sometimes", "hangs": "sure"}, met="often"),
        *(cause(f"c{n}", "see", {"n": "sure", "hangs": "sometimes"}, met="seldom") for n in range(4)),
        yes_no("wet", "shown", tools=("can",), sided=False),
        yes_no("see", "n", tools=("lamp",)),
        blank(Tool, id="can"),
        blank(Tool, id="lamp"),
    )
    at = replace(case(), means=Means(person="workshop", tools=tools, engine=""))
    return planned(base, {("shown", None): False, ("n", None): False, ("hangs", None): True}, case=at)


def test_what_was_found_sound_and_is_still_likely_is_looked_at_once_more() -> None:
    assert _looked().goes_for == ("leak", None)
    assert not _looked().proven


def test_but_only_by_who_can_look() -> None:
    found = [sign(f"d{n}") for n in range(3)]
    causes = [cause(f"c{n}", f"k{n}", {f"d{n}": "sure"}, met="often") for n in range(3)]
    three = rulebase(*found, *causes, *(yes_no(f"k{n}", f"d{n}") for n in range(3)))
    vain: dict[Sided, bool] = {(f"d{n}", None): False for n in range(3)}
    assert planned(three, vain).goes_for is not None  # a third each, and each could be looked at again
    hurt = here(vain, forbidden=frozenset({"running"}))
    runs = {name: replace(page, involves=("running",)) for name, page in three.checks.items()}
    held = plan(replace(three, checks=runs), Joint(ranking(three, vain)), hurt)
    assert held.goes_for is None


def test_a_second_look_is_asked_of_its_own_side() -> None:
    base = rulebase(
        sign("m", sided=True),
        sign("free", sided=True),
        *(cause(f"c{n}", f"look{n}", {"m this": "often"}, sided=True, met="often") for n in range(2)),
        *(yes_no(f"look{n}", "m this", sided=True, needs=(asks("free this"),)) for n in range(2)),
    )
    vain: dict[Sided, bool] = {("m", side): False for side in BOTH}
    found = planned(base, vain | {("free", "left"): False})
    assert found.goes_for is not None
    assert found.goes_for[1] == "right"


def test_what_was_put_right_is_gone_for_no_more() -> None:
    one = ranking(BASE)
    network = one.network.without([("leak", None), ("jet", None)])
    found = plan(BASE, Joint(Ranking(replace(network, for_nothing=1.0), {})), here())
    assert found.goes_for is None


# Checks that tell little.


def test_a_check_that_tells_hardly_anything_is_not_shown() -> None:
    pages = [*_pages(), sign("shines"), yes_no("polish", "shines", minutes=1.0)]
    faint = cause("dull", "see-dull", {"shines": "sometimes"}, met="seldom", place="method")
    base = rulebase(*pages, faint, sign("dull"), yes_no("see-dull", "dull", minutes=90.0))
    assert "polish" in order(planned(base))
    rare = replace(base, words=replace(TRIED, met=TRIED.met | {"seldom": 1e-5}))
    assert "polish" not in order(planned(rare))
    assert "polish" not in order(planned(rare, most=99))


def _drawn(seed: int, asks: int = 14, causes: int = 6) -> Rulebase:
    """Return causes with a look each and many questions, of random strengths and minutes."""
    rng = random.Random(seed)
    words = ("sure", "usually", "often", "sometimes")
    pages: list[Any] = [*(sign(f"d{n}") for n in range(causes)), *(sign(f"s{n}") for n in range(asks))]
    for n in range(causes):
        links = {f"s{m}": rng.choice(words) for m in rng.sample(range(asks), asks // 3)}
        pages.append(cause(f"c{n}", f"see{n}", {f"d{n}": "sure"} | links, met=rng.choice(("often", "sometimes"))))
        pages.append(yes_no(f"see{n}", f"d{n}", minutes=rng.uniform(8.0, 40.0)))
    hows = ("told", "seen")
    pages += [yes_no(f"ask{n}", f"s{n}", minutes=rng.uniform(0.5, 6.0), how=rng.choice(hows)) for n in range(asks)]
    return rulebase(*pages)


def _silent(questions: int) -> Case:
    return replace(case(), not_again=tuple(("ask0", None) for _ in range(questions)))


@pytest.mark.parametrize("seed", range(12))
def test_the_short_list_finds_what_the_whole_list_finds(seed: int) -> None:
    """Only checks that can tell enough are gone into: the best stay the same, in their order."""
    base, at = _drawn(seed), _silent(seed % 4)
    short, whole = planned(base, case=at), planned(base, most=99, case=at)
    assert short.goes_for == whole.goes_for
    assert [one for one in short.checks if one.to_cause] == [one for one in whole.checks if one.to_cause]
    # The best eight, the bargain, and what decides the three likeliest causes: at most six looks, where some are level.
    assert 8 <= len([one for one in whole.checks if one.to_cause]) <= 8 + 1 + 6
    for found in (short, whole):
        assert len(set(order(found))) == len(order(found))
        rest = [one.told.bits * one.answers / one.price for one in found.checks if not one.to_cause]
        assert rest == sorted(rest, reverse=True)
        worst = min(one.told.bits * one.answers / one.price for one in found.checks if one.to_cause)
        assert all(one <= worst + 1e-6 for one in rest) or found.checks[0].to_cause
    assert len(whole.checks) >= len(short.checks)


@pytest.mark.parametrize("seed", range(12))
def test_the_bargain_takes_the_least_minutes_of_all_that_begin_with_it(seed: int) -> None:
    """One look after the other, or the bargain and then any one check that is looked at: whatever is the quickest."""
    base = _drawn(seed, asks=5, causes=4)
    one = ranking(base)
    found = planned(base)
    chances = one.posterior.causes
    prices = [base.checks[f"see{n}"].minutes for n in range(4)]
    best = max(range(4), key=lambda n: chances[n] / prices[n])
    to_cause = [expected_minutes(prices, chances)]
    for check_ in found.checks:
        if check_.to_cause and check_.candidate.check.id != f"see{best}":
            total = prices[best]
            for result, chance in zip(check_.candidate.results, check_.told.chances, strict=True):
                after = one.with_more(result.findings).causes
                missed = 1 - after[best] / sum(after)
                rest = [0.0 if n == best else chance_ for n, chance_ in enumerate(after)]
                total += chance * missed * (check_.price + expected_minutes(prices, rest))
            to_cause.append(total)
    assert by_id(found)[f"see{best}"].to_cause == pytest.approx(min(to_cause), rel=0.02)
    first = found.checks[0]
    goes = first.candidate.check.id == f"see{best}" or by_id(found)[f"see{best}"].to_cause <= first.to_cause
    assert (found.goes_for == (f"c{best}", None)) is goes


# Questions.


def _asked(*names: str, gave: int = 0) -> Case:
    base = rulebase(*[sign(name) for name in names], *[yes_no(f"ask-{name}", name, how="told") for name in names])
    told = replace(case(), not_again=tuple((f"ask-{name}", None) for name in names))
    assert set(base.checks) == {name for name, _ in told.not_again}
    return replace(told, seen=tuple(report(name, how="told", seen=n % 2 == 0) for n, name in enumerate(names[:gave])))


@pytest.mark.parametrize(("gave", "often"), [(0, 2 / 5), (1, 3 / 5), (2, 4 / 5), (3, 1.0)])
def test_unanswered_questions_lower_what_the_next_one_is_worth(gave: int, often: float) -> None:
    """The rule of succession, with two answers to begin with: judgement, written here once more."""
    names = ("a", "b", "c")
    base = rulebase(*[sign(name) for name in names], *[yes_no(f"ask-{name}", name, how="told") for name in names])
    found = answered(here(case=_asked(*names, gave=gave)), base)
    assert found == dict.fromkeys(base.words.trust, 1.0) | {"told": pytest.approx(often)}


def test_an_answer_counts_on_its_side_and_a_check_nobody_knows_counts_for_nothing() -> None:
    base = rulebase(sign("m", sided=True), yes_no("look", "m this", sided=True))
    told = replace(case(), not_again=(("look", "right"), ("gone", None)), seen=(report("m", "right"),))
    assert answered(here(case=told), base)["seen"] == 1.0
    assert answered(here(case=replace(told, seen=(report("m", "left"),))), base)["seen"] == pytest.approx(2 / 3)


def test_a_rider_who_cannot_tell_is_asked_less() -> None:
    silent = replace(case(), not_again=tuple((f"ask-{n}", None) for n in range(20)))
    pages = [*_pages(), *(sign(f"s{n}") for n in range(20))]
    base = rulebase(*pages, *(yes_no(f"ask-{n}", f"s{n}", how="told") for n in range(20)))
    before, after = by_id(planned(base))["ask"], by_id(planned(base, case=silent))["ask"]
    assert before.answers == 1.0
    assert after.answers == pytest.approx(2 / 22)
    assert after.to_cause > before.to_cause
    # What gets no answer leaves what was there before.
    one = ranking(BASE)
    now = expected_minutes([10.0, 20.0], one.posterior.causes)
    assert after.to_cause == pytest.approx(1.0 + 2 / 22 * (before.to_cause - 1.0) + 20 / 22 * now, rel=1e-6)


def _kinds(hunts: str = "usually", **more: Any) -> Rulebase:
    """Return a vague complaint, a question after its kind, and another question that saves a little more."""
    minutes = {"kind": 1.0, "smell": 1.0} | more
    return rulebase(
        sign("rough", past=more.get("past", False)),
        sign("hunts", kind_of="rough"),
        sign("smells"),
        sign("moves"),
        sign("blocked"),
        cause("leak", "wet", {"moves": "sure", "hunts": hunts, "rough": "often"}, met="often"),
        cause("jet", "blow", {"blocked": "sure", "rough": "usually", "smells": "sure"}, met="often"),
        yes_no("wet", "moves", minutes=15.0),
        yes_no("blow", "blocked", minutes=15.0),
        yes_no("ask-kind", "hunts", how=more.get("how", "told"), minutes=minutes["kind"]),
        yes_no("ask-smell", "smells", how="told", minutes=minutes["smell"]),
    )


ROUGH: dict[Sided, bool] = {("rough", None): True}


def test_the_kind_of_what_was_said_is_asked_first_where_that_costs_hardly_any_minutes() -> None:
    first = planned(_kinds(), ROUGH)
    kind, smell = by_id(first)["ask-kind"], by_id(first)["ask-smell"]
    assert smell.to_cause < kind.to_cause <= 1.05 * smell.to_cause  # it would come second without that rule
    assert order(first) == ["ask-kind", "ask-smell", "wet", "blow"]
    assert order(planned(_kinds("often"), ROUGH))[:2] == ["ask-smell", "ask-kind"]  # six in a hundred are too many


def test_the_kind_is_not_asked_first_of_what_was_not_said_or_lies_in_the_past() -> None:
    assert order(planned(_kinds()))[0] == "ask-smell"
    assert order(planned(_kinds(past=True), ROUGH))[0] == "ask-smell"
    assert "ask-kind" not in order(planned(_kinds(), ROUGH | {("hunts", None): True}))
    assert order(planned(_kinds(kind=2.0, smell=1.9), ROUGH))[0] == "ask-kind"
    assert order(planned(_kinds(kind=2.01, smell=1.9), ROUGH))[0] == "ask-smell"  # no quick question any more


def test_once_one_kind_is_known_the_others_are_not_asked_first() -> None:
    base = _kinds()
    more = rulebase(
        *base.signs.values(),
        *base.causes.values(),
        *base.checks.values(),
        sign("surges", kind_of="rough"),
        yes_no("ask-surge", "surges", how="told", minutes=1.0),
        cause("port", "see-port", {"surges": "often", "smells": "often", "p": "sure"}, met="often"),
        sign("p"),
        yes_no("see-port", "p", minutes=15.0),
    )
    assert order(planned(more, ROUGH))[0] in {"ask-kind", "ask-surge"}
    assert order(planned(more, ROUGH | {("hunts", None): True}))[0] not in {"ask-kind", "ask-surge"}


def test_the_kind_is_looked_at_however_many_checks_tell_more_a_minute() -> None:
    base = _kinds(kind=1.9)
    extra = [sign(f"s{n}") for n in range(9)]
    looks = [yes_no(f"ask{n}", f"s{n}", minutes=0.5, how="seen") for n in range(9)]
    jet = base.causes["jet"]
    links = {f"s{n}": "usually" for n in range(9)}
    more = cause("jet", "blow", {"blocked": "sure", "rough": "usually", "smells": "sure"} | links, met="often")
    assert jet.settled_by == more.settled_by
    pages = [*base.signs.values(), *extra, base.causes["leak"], more, *base.checks.values(), *looks]
    found = planned(rulebase(*pages), ROUGH, most=99)
    assert by_id(found)["ask-kind"].to_cause > 0
    assert len(set(order(found))) == len(order(found)) == 13


def test_a_question_that_leaves_the_same_cause_first_waits() -> None:
    pages = [*_pages(ask=1.0), sign("hums"), yes_no("ask-hum", "hums", how="told", minutes=0.5)]
    faint = [
        cause("rub", "see-rub", {"hums": "often", "rubs": "sure"}, met="seldom"),
        sign("rubs"),
        yes_no("see-rub", "rubs", minutes=3.0),
    ]
    found = planned(rulebase(*pages, *faint), {("moves", None): False})
    assert "ask-hum" in order(found)
    assert order(found).index("ask-hum") > 0


# Dangers, and a cold engine.


def _smell() -> Rulebase:
    return rulebase(
        *_pages(),
        sign("smell"),
        sign("drips"),
        rule("no-start", "smell", unless=["not drips"], forbids=("running",)),
        cause("hose", "sniff", {"drips": "sure", "smell": "usually"}, met="seldom"),
        yes_no("sniff", "drips", minutes=2.0),
        yes_no("crawl", "drips", minutes=12.0),
        check("glance", outcome("It drips.", "drips"), outcome("Nothing to be seen."), minutes=0.5),
        yes_no("ask-drip", "drips", minutes=0.5, how="told"),
    )


def test_what_lifts_a_ban_is_looked_at_first_by_the_quickest_look() -> None:
    found = planned(_smell(), {("smell", None): True})
    assert order(found)[0] == "sniff"
    assert order(found).count("sniff") == 1
    assert found.goes_for is None
    assert found.checks[0].price == found.checks[0].minutes == 2.0
    assert found.checks[0].answers == 1.0
    assert found.checks[0].told.bits > 0


def test_once_looked_at_or_without_the_smell_there_is_nothing_to_lift() -> None:
    dry = planned(_smell(), {("smell", None): True, ("drips", None): False})
    assert "sniff" not in order(dry)[:1]
    assert order(planned(_smell(), {("smell", None): False}))[0] != "sniff"


def test_only_a_ban_that_waits_for_a_look_is_lifted_by_one() -> None:
    base = rulebase(
        *(sign(one) for one in ("smell", "drips", "warm", "told")),
        rule("a", "smell", unless=["not drips"], forbids=("running",)),
        rule("b", "smell", unless=["not warm"]),
        rule("c", "smell", unless=["told"], forbids=("running",)),
        rule("d", over("column", "apart"), unless=["not warm"], forbids=("running",)),
        rule("e", "not smell", unless=["not warm"], forbids=("riding",)),
    )
    smell, drips, warm = ("smell", None), ("drips", None), ("warm", None)
    assert banned_until_seen(base, {smell: True}) == {drips}
    assert banned_until_seen(base, {smell: False}) == {warm}
    assert banned_until_seen(base, {}) == set()
    assert banned_until_seen(base, {smell: True, drips: True}) == set()


def _cold(engine: str) -> tuple[Rulebase, Case, Plan]:
    pages = [
        *_pages(),
        sign("tight"),
        cause("valves", "gauge", {"tight": "sure", "hangs": "often"}, met="often", place="valves"),
        yes_no("gauge", "tight", minutes=15.0, engine="cold"),
    ]
    pages[7] = yes_no("ask", "hangs", minutes=1.0, involves=("running",))
    at = replace(case(), means=Means(person="workshop", tools=None, engine=engine))
    return rulebase(*pages), at, planned(rulebase(*pages), case=at)


def test_running_a_cold_engine_costs_its_cooling_as_likely_as_a_cold_check_still_decides() -> None:
    """An hour, and half of it if nobody has said that it is cold: common practice, written here once more."""
    pages, _, found = _cold("cold")
    one = ranking(pages)
    valves = one.probability(one.network.causes.index(("valves", None)))
    prices = [by_id(_cold(engine)[2])["ask"].price for engine in ("cold", "", "warm")]
    assert prices == pytest.approx([1.0 + 60.0 * valves, 1.0 + 30.0 * valves, 1.0])
    assert by_id(found)["ask"].minutes == 1.0
    assert by_id(found)["gauge"].price == 15.0
    assert order(_cold("warm")[2])[0] == "ask"


def test_a_check_on_a_cold_engine_waits_for_a_warm_one_to_cool() -> None:
    pages, at, _ = _cold("warm")
    assert by_id(planned(pages, case=at))["gauge"].minutes == 75.0
    assert by_id(planned(pages, case=replace(at, cools=20.0)))["gauge"].minutes == 35.0


def test_nothing_is_kept_cold_that_has_nothing_cold_to_do() -> None:
    at = replace(case(), means=Means(person="workshop", tools=None, engine="cold"))
    pages = _pages()
    pages[7] = yes_no("ask", "hangs", minutes=1.0, involves=("running",))
    assert by_id(planned(rulebase(*pages), case=at))["ask"].price == 1.0


def test_a_cold_start_itself_is_not_spoilt_by_running() -> None:
    """A check that needs the engine cold and runs it loses nothing by being done."""
    at = replace(case(), means=Means(person="workshop", tools=None, engine="cold"))
    pages = _pages()
    pages[7] = yes_no("ask", "hangs", minutes=1.0, involves=("running",), engine="cold")
    assert by_id(planned(rulebase(*pages), case=at))["ask"].price == 1.0


def test_the_wait_is_counted_even_where_the_cold_check_is_not_among_the_best() -> None:
    base = _drawn(3)
    checks = {name: replace(page, involves=("running",)) for name, page in base.checks.items() if name != "see5"}
    cold = replace(base, checks=checks | {"see5": replace(base.checks["see5"], engine="cold", minutes=60.0)})
    at = replace(case(), means=Means(person="workshop", tools=None, engine="cold"))
    one = ranking(cold)
    decided = one.probability(one.network.causes.index(("c5", None)))
    found = planned(cold, case=at).checks
    waits = [one.price - one.minutes for one in found if one.candidate.check.id != "see5"]
    assert waits == pytest.approx([60.0 * decided] * len(waits))
    assert len(waits) > 8


# In words.


def _words(
    base: Rulebase, known: dict[Sided, bool], scene: Scene, gone_into: int, *evidence: Evidence
) -> list[NextCheck]:
    one = ranking(base, known)
    found = plan(base, Joint(one), scene)
    return list(in_words(base, WhatIf(one), evidence, found.checks, gone_into))


def test_only_so_many_checks_are_gone_into() -> None:
    found = _words(BASE, {}, here(), 1)
    assert [bool(one.outcomes) for one in found] == [True, False, False]
    assert [one.id for one in found] == order(planned(BASE))


def test_each_result_says_what_would_lead_then() -> None:
    one = ranking(BASE)
    (ask, *_) = _words(BASE, {}, here(), 1)
    yes, no = ask.outcomes
    assert (yes.says, yes.side, yes.leads, yes.leads_side, yes.leads_title) == ("Yes.", None, "leak", None, "leak")
    assert (no.says, no.leads) == ("No.", "jet")
    assert yes.probability + no.probability == pytest.approx(1.0)
    network = one.network
    told: dict[Sided, Finding] = {("hangs", None): network.report(("hangs", None), BASE.words.trust["told"], seen=True)}
    assert yes.leads_probability == pytest.approx(one.with_more(told).causes[0], rel=1e-6)
    assert ask.gain_bits == pytest.approx(by_id(planned(BASE))["ask"].told.bits)


def test_a_check_in_words_has_its_side_steps_tools_and_cautions() -> None:
    base = rulebase(
        blank(Tool, id="can", title="a can of spray"),
        sign("m", sided=True),
        cause("x", "look", {"m this": "sure"}, sided=True),
        yes_no(
            "look",
            "m this",
            sided=True,
            steps=("Wet the {side} joint, not the {other}.",),
            tools=("can",),
            cautions=("fire",),
            minutes=7.0,
            engine="warm",
        ),
    )
    found = {one.side: one for one in _words(base, {}, here(), 9)}
    left = found["left"]
    assert (left.id, left.title, left.minutes, left.engine) == ("look", "look, left", 7.0, "warm")
    assert left.steps == ("Wet the left joint, not the right.",)
    assert (left.tools, left.cautions) == (("a can of spray",), ("fire",))
    assert [(one.side, one.leads_side, one.leads_title) for one in left.outcomes] == [
        ("left", "left", "x, left"),
        ("left", "right", "x, right"),
    ]


def test_a_lead_that_is_as_likely_on_either_side_has_no_side() -> None:
    base = rulebase(
        sign("m", sided=True),
        sign("hums"),
        sign("n"),
        cause("x", "look", {"m this": "sure", "hums": "usually"}, sided=True),
        cause("y", "see", {"n": "sure"}, met="often"),
        yes_no("look", "m this", sided=True, minutes=30.0),
        yes_no("see", "n", minutes=30.0),
        yes_no("ask", "hums", how="told"),
    )
    (first,) = [one for one in _words(base, {}, here(), 9) if one.id == "ask"]
    assert [(one.leads, one.leads_side, one.leads_title) for one in first.outcomes] == [
        ("x", None, "x, left or right"),
        ("y", None, "y"),
    ]


def test_what_a_result_would_silence_counts_no_more_in_what_it_leads_to() -> None:
    """A tight valve makes the columns say nothing: the answer leads to the valve, not to what the columns told of."""
    base = rulebase(
        sign("tight"),
        sign("higher"),
        sign("off"),
        cause("valve", "gauge", {"tight": "often", "higher": "sometimes"}, met="often"),
        cause("stops", "turn", {"higher": "usually", "off": "usually"}, met="often"),
        yes_no("gauge", "tight"),
        yes_no("turn", "off"),
        area("valves", ("tight",), check="gauge"),
        area("balance", relies=("higher",)),
    )
    known: dict[Sided, bool] = {("higher", None): True}
    evidence = blank(Evidence, sign="higher", side=None, seen=True, how="seen")

    def leads(*given: Evidence) -> float:
        (gauge,) = [one for one in _words(base, known, here(known), 9, *given) if one.id == "gauge"]
        return next(one.leads_probability for one in gauge.outcomes if one.says == "Yes.")

    one = ranking(base, known)
    tight: dict[Sided, Finding] = {
        ("tight", None): one.network.report(("tight", None), base.words.trust["seen"], seen=True)
    }
    assert leads(evidence) == pytest.approx(one.with_more(tight, [("higher", None)]).causes[0], rel=1e-6)
    assert leads() == pytest.approx(max(one.with_more(tight).causes), rel=1e-6)
    assert leads(evidence) != pytest.approx(leads())


def test_both_sides_of_the_bike_get_the_same_words() -> None:
    base = rulebase(
        sign("m", sided=True),
        cause("x", "look", {"m this": "sure"}, sided=True),
        yes_no("look", "m this", sided=True),
    )
    left, right = (
        next(
            one
            for one in _words(base, {("m", "left"): False} if side == "right" else {("m", "right"): False}, here(), 1)
        )
        for side in BOTH
    )
    assert left.title.replace("left", "right") == right.title or left.title == right.title
