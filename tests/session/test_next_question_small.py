"""Questions on a small rule base, record by record: what is asked, what each answer settles, what a repair opens."""

from typing import Any

import pytest
from msgspec.structs import replace

from advisor.case import Means, Measured, SignReport
from advisor.diagnose import Advisor
from advisor.report import Advice, NextCheck, OutcomeSeen, Proof, RankedCause, Report, SignState
from advisor.rulebase.table_records import Caution, Tool
from advisor.session.acceptance import NOT_YET
from advisor.session.events import ALL_HOLDS, Answered, AtHand, Began, Event, PutRight, RuledOut, Told
from advisor.session.next_question import (
    CHECK,
    DONE,
    FIXED,
    HAND_OVER,
    HOLDS,
    IN_VAIN,
    LATER,
    LOOK_AGAIN,
    LOST,
    NOT_NOW,
    REPAIR,
    SOUND,
    START_IT,
    Option,
    Question,
    next_question,
)
from advisor.session.state import fold, put_right
from advisor.sides import BOTH, OPPOSITE, Side, Sided
from tests.cases import case, report
from tests.session.sessions import RIDER, WORKSHOP, Says
from tests.small import area, blank, cause, check, limit, outcome, over, reading, rule, rulebase, sign, state, yes_no

BASE = rulebase(
    blank(Caution, id="fire", says="It burns."),
    blank(Tool, id="can", title="a can of spray"),
    sign("moves", sided=True, title="wetting the {side} joint moves the idle"),
    sign("rough", title="it idles badly"),
    sign("hangs", title="the idle hangs", kind_of="rough", seen_by="rider"),
    sign("began", title="it began after work", past=True, seen_by="rider"),
    sign("in-rain", title="worse in the rain", later=True, seen_by="rider"),
    sign("sooty", sided=True, title="soot on the {side}", seen_by="workshop"),
    sign("higher", sided=True),
    sign("smell", title="it smells of fuel", seen_by="rider"),
    sign("drips", title="fuel drips"),
    reading("column", "kPa"),
    reading("gap", "mm", sided=False),
    limit("apart", 1.0, "kPa"),
    limit("widest", 1.0, "mm"),
    rule("read", over("column", "apart", of="lead"), shows=["higher this"]),
    rule("wide", over("gap", "widest", bearing="none"), shows=["hangs"]),
    rule("no-start", "smell", unless=["not drips"], forbids=("cranking",)),
    cause(
        "leak",
        "wet",
        {"moves this": "sure", "hangs": "usually", "began": "often", "in-rain": "usually"},
        sided=True,
        title="a leak on the {side}",
        remedy="Renew the {side} joint.",
        minutes=40.0,
        must_hold=("moves", "hangs"),
        cautions=("fire",),
    ),
    cause("jet", "blow", {"sooty this": "usually"}, sided=True),
    yes_no(
        "wet",
        "moves this",
        sided=True,
        title="Wet the {side} joint",
        minutes=6.0,
        engine="warm",
        steps=("Wet the {side} one.",),
        tools=("can",),
        cautions=("fire",),
        takes=("column",),
    ),
    yes_no("blow", "sooty this", sided=True),
    check(
        "compare",
        outcome("The {side} is higher.", "higher this", either_side=True),
        outcome("Level.", "not higher this"),
    ),
    yes_no("look", "drips", minutes=1.0),
    area("balance", relies=("column", "higher")),
)
BEGAN: tuple[Event, ...] = (Began("bench", "it will not settle"), AtHand(WORKSHOP))
NEXT = blank(
    NextCheck,
    id="wet",
    side="right",
    gain_bits=0.4,
    outcomes=(
        OutcomeSeen(
            says="Yes.",
            side="right",
            probability=0.5,
            leads="leak",
            leads_side="right",
            leads_title="a leak on the right",
            leads_probability=0.8,
        ),
    ),
)
CAUSES = (blank(RankedCause, id="leak", side="left", title="a leak on the left"),)


def found(**more: Any) -> Report:
    fields: dict[str, Any] = {
        "advice": blank(Advice, kind="check", proof=None),
        "next_checks": (NEXT,),
        "causes": CAUSES,
    }
    return blank(Report, **fields | more)


def repair(**more: Any) -> Advice:
    fields: dict[str, Any] = {
        "kind": "put right",
        "says": "a leak on the left",
        "cause": "leak",
        "side": "left",
        "proof": None,
    }
    return blank(Advice, **fields | more)


def asked(*events: Event, means: Means = WORKSHOP, **more: Any) -> Question:
    advisor = Says(Advisor(BASE), found(**more))
    return next_question(fold([BEGAN[0], AtHand(means), *events], BASE), advisor)[0]


def test_a_check_is_asked_with_all_that_it_takes_and_what_its_answers_lead_to() -> None:
    assert asked() == Question(
        kind=CHECK,
        name="wet",
        side="right",
        title="Wet the right joint",
        because="for its minutes it says most about this: a leak on the left",
        minutes=6.0,
        engine="warm",
        steps=("Wet the right one.",),
        tools=("a can of spray",),
        cautions=("It burns.",),
        options=(
            Option(
                says="Yes.",
                reports=(SignReport(sign="moves", side="right", seen=True, how="seen"),),
                leads="a leak on the right",
                chance=0.8,
            ),
            Option(says="No.", reports=(SignReport(sign="moves", side="right", seen=False, how="seen"),)),
        ),
        takes=("column",),
    )


def test_an_answer_on_either_side_stands_there_twice() -> None:
    one = blank(NextCheck, id="compare", side=None, outcomes=())
    assert [option.says for option in asked(next_checks=(one,)).options] == [
        "The left is higher.",
        "The right is higher.",
        "Level.",
    ]


def test_two_leads_are_what_a_check_decides_between() -> None:
    leads = tuple(replace(NEXT.outcomes[0], leads_title=title) for title in ("one", "two", "one", "three"))
    assert asked(next_checks=(replace(NEXT, outcomes=leads),)).because == "it decides between: one; two"


def test_a_repair_is_asked_for_with_what_it_does_not_explain() -> None:
    causes = (blank(RankedCause, id="leak", side="left", unexplained=("soot on the left", "it began after work")),)
    assert asked(advice=repair(proven=True), causes=causes) == Question(
        kind=REPAIR,
        name="leak",
        side="left",
        title="a leak on the left",
        because="it was found",
        minutes=40.0,
        engine="any",
        steps=("Renew the left joint.", "It does not explain: soot on the left. Look for that afterwards."),
        tools=(),
        cautions=("It burns.",),
        options=(Option(says=FIXED), Option(says=SOUND), Option(says=IN_VAIN)),
        takes=(),
    )
    plain = asked(advice=repair(proven=False))
    assert plain.because == "it is by far the likeliest, and cannot be proven here"
    assert plain.steps == ("Renew the left joint.",)


@pytest.mark.parametrize("side", BOTH)
def test_a_proof_comes_before_the_repair_unless_it_was_done(side: Side) -> None:
    proof = blank(Proof, id="wet")
    one = asked(advice=repair(proof=proof, side=side))
    assert (one.kind, one.name, one.side) == (CHECK, "wet", side)
    assert one.because == "it settles whether it is this: a leak on the left"
    assert [option.leads for option in one.options] == ["", ""]
    done = Answered("wet", side, "No.", ())
    assert asked(done, advice=repair(proof=proof, side=side)).kind == REPAIR
    other = Answered("wet", OPPOSITE[side], "No.", ())
    assert asked(other, advice=repair(proof=proof, side=side)).kind == CHECK


def test_a_proof_of_both_sides_is_asked_once() -> None:
    one = asked(advice=repair(proof=blank(Proof, id="look")))
    assert (one.name, one.side) == ("look", None)
    assert asked(Answered("look", None, "No.", ()), advice=repair(proof=blank(Proof, id="look"))).kind == REPAIR


@pytest.mark.parametrize(
    ("kind", "title"), [(LOST, "Nothing here explains it"), (HAND_OVER, "This is as far as it goes here")]
)
def test_the_end_says_why_and_asks_nothing(kind: str, title: str) -> None:
    one = asked(advice=blank(Advice, kind=kind, says="No check tells.", proof=None))
    assert one == Question(
        kind=kind,
        name="",
        side=None,
        title=title,
        because="",
        minutes=0,
        engine="any",
        steps=("No check tells.",),
        tools=(),
        cautions=(),
        options=(),
        takes=(),
    )


def complained(*names: str, how: str = "told", seen: bool = True) -> Told:
    return Told(tuple(SignReport(sign=name, side=None, seen=seen, how=how) for name in names))


def test_after_a_repair_each_sign_that_it_cures_is_asked_for_by_its_words() -> None:
    words = "wetting the left joint moves the idle", "the idle hangs"
    keys: tuple[Sided, ...] = (("moves", "left"), ("hangs", None))
    told = {
        seen: [SignReport(sign=name, side=at, seen=seen, how="seen") for name, at in keys] for seen in (True, False)
    }
    found = Told((report("moves", "left"), report("hangs", None)))
    assert asked(PutRight("leak", "left")).options == (Option(says=ALL_HOLDS),)  # nobody reported anything
    assert asked(found, PutRight("leak", "left")) == Question(
        kind=HOLDS,
        name="leak",
        side="left",
        title="Does it hold? a leak on the left",
        because="a repair is proven by what is gone afterwards; what was set around the fault is set again first",
        minutes=10,
        engine="any",
        steps=(LOOK_AGAIN, NOT_NOW),
        tools=(),
        cautions=(),
        options=(
            Option(says=ALL_HOLDS, reports=tuple(told[False])),
            *(Option(says=f"Still there: {words[n]}.", reports=(told[True][n],)) for n in range(2)),
        ),
        takes=(),
    )


def asked_again(*events: Event) -> list[str]:
    """Return the signs that are asked for after the repair of the leak, besides those that it must cure."""
    reports = asked(*events, PutRight("leak", "left")).options[0].reports
    return [one.sign for one in reports if one.sign not in {"moves", "hangs"}]


def test_what_was_complained_of_is_asked_for_again() -> None:
    assert BASE.words.opening == "told"
    assert asked_again(complained("smell")) == ["smell"]
    assert asked_again(complained("rough")) == ["rough"]
    assert asked_again(complained("rough", seen=False)) == []
    assert asked_again(complained("rough", how="seen")) == ["rough"]  # a rider felt it when he was asked
    assert asked_again(complained("began")) == []  # no repair changes the past


def test_what_a_rider_feels_and_the_repair_does_not_explain_is_asked_for() -> None:
    assert asked_again(complained("smell", how="seen")) == ["smell"]
    assert asked_again(complained("smell", how="seen", seen=False)) == []
    assert asked_again(complained("began", how="seen")) == []
    soot = Told((report("sooty", "left"),))
    assert asked_again(soot) == []  # no rider feels soot


def test_what_takes_other_weather_is_not_asked_and_stays_as_told_while_something_is_still_there() -> None:
    rain = report("in-rain")
    all_gone, *still = asked(complained("smell"), Told((rain,)), PutRight("leak", "left")).options
    assert [one.sign for one in all_gone.reports] == ["smell"]
    assert [one.reports[1:] for one in still] == [(rain,)]
    alone = asked(complained("in-rain"), PutRight("leak", "left")).options
    assert [[(one.sign, one.seen) for one in option.reports] for option in alone] == [
        [("in-rain", False)],
        [("in-rain", True)],
    ]


def test_of_two_words_for_one_thing_the_more_exact_is_asked_and_both_are_gone_with_it() -> None:
    all_gone, *still = asked(complained("rough", "hangs"), PutRight("leak", "left")).options
    assert {one.sign for one in all_gone.reports} == {"rough", "hangs"}
    assert [[one.sign for one in option.reports] for option in still] == [["hangs"]]


def test_what_cannot_be_told_yet_is_kept_and_asked_in_full_after_the_ride() -> None:
    events = complained("smell", "in-rain"), PutRight("leak", "left"), Answered("leak", "left", NOT_YET, ())
    found = asked(*events)
    assert (found.kind, found.steps) == (HOLDS, (LATER,))
    assert {one.sign for one in found.options[0].reports} == {"smell", "in-rain"}
    assert asked(*events, Answered("leak", "left", ALL_HOLDS, ())).kind == DONE


def test_once_it_all_holds_it_is_done() -> None:
    one = asked(PutRight("leak", "left"), Answered("leak", "left", ALL_HOLDS, ()))
    assert (one.kind, one.title, one.steps) == (DONE, "The fault is put right and proven", (ALL_HOLDS,))
    assert asked(PutRight("leak", "left"), Answered("leak", "left", "Still there: it.", ())).kind == CHECK


# On the phone.


def test_a_rider_is_not_asked_for_what_tells_hardly_anything() -> None:
    """0.015 bits: judgement, written here once more."""

    def kind(bits: float) -> str:
        return asked(means=RIDER, next_checks=(replace(NEXT, gain_bits=bits),)).kind

    assert kind(0.015) == CHECK
    assert kind(0.0149) == HAND_OVER
    one = asked(means=RIDER, next_checks=(replace(NEXT, gain_bits=0.0),))
    assert one.title == "This is for the workshop"
    assert one.steps == ("Nothing that a rider can do tells apart what is left.",)
    assert asked(next_checks=(replace(NEXT, gain_bits=0.0),)).kind == CHECK  # in the workshop it is asked all the same


def test_in_place_of_a_repair_a_rider_is_asked_what_still_tells_something() -> None:
    """0.05 bits: judgement, written here once more."""
    bits = {"compare": 0.049, "look": 0.05}
    more = tuple(replace(NEXT, id=name, side=None, gain_bits=much, outcomes=()) for name, much in bits.items())
    assert asked(means=RIDER, advice=repair(), next_checks=more).name == "look"
    none = asked(means=RIDER, advice=repair(), next_checks=more[:1])
    assert (none.kind, none.title) == (HAND_OVER, "This is for the workshop: a leak on the left")
    assert none.steps == ("That is not a repair for a rider.",)
    for chance, kind in ((0.5, HAND_OVER), (0.49, CHECK)):  # what was found, but likely is not the cause, ends no call
        sure = (replace(CAUSES[0], probability=chance),)
        assert asked(means=RIDER, advice=repair(proven=True), next_checks=more, causes=sure).kind == kind
    carried = asked(means=RIDER, advice=repair(), next_checks=more, forbidden=("cranking",))
    assert carried.steps == ("It must not be started again before that is mended; have it carried.",)
    assert asked(advice=repair(), next_checks=more).kind == REPAIR


def test_a_bike_that_must_not_be_started_is_only_looked_at_for_what_lifts_that() -> None:
    forbidden = ("cranking", "riding")
    one = asked(means=RIDER, forbidden=forbidden)
    assert (one.kind, one.title) == (HAND_OVER, "This is for the workshop")
    assert one.steps == ("It must not be started again before that is mended; have it carried.",)
    look = blank(NextCheck, id="look", side=None, gain_bits=0.4, outcomes=())
    smells = (state("smell"),)
    assert asked(means=RIDER, forbidden=forbidden, next_checks=(look,), signs=smells).name == "look"
    assert asked(means=RIDER, forbidden=forbidden, next_checks=(look,)).kind == HAND_OVER
    dry: tuple[SignState, ...] = (state("smell"), state("drips", seen=False))
    assert asked(means=RIDER, forbidden=forbidden, next_checks=(look,), signs=dry).kind == HAND_OVER


def test_where_nothing_fits_and_it_must_not_be_ridden_the_danger_comes_first() -> None:
    lost = blank(Advice, kind=LOST, says="Nothing explains it.", proof=None)
    one = asked(advice=lost, forbidden=("riding",))
    assert (one.title, one.steps) == ("First do what stands above", ("No question helps before that is dealt with.",))
    assert asked(advice=lost).title == "Nothing here explains it"


# What a repair opens again.


@pytest.mark.parametrize("side", BOTH)
def test_what_a_fault_had_shown_is_open_again_once_it_is_put_right(side: Side) -> None:
    """Its own signs on their side, the vaguer ones of those, and what relies on what comes before balance."""
    kept = [report("moves", OPPOSITE[side]), report("sooty", "left"), report("began")]
    gone = [report("moves", side), report("hangs"), report("rough"), report("higher", "left")]
    told = case(*gone, *kept)
    assert set(put_right(told, "leak", side, BASE).seen) == set(kept)
    without_a_side = put_right(told, "leak", None, BASE)
    assert without_a_side.seen == put_right(told, "leak", "left", BASE).seen
    assert without_a_side.put_right == (("leak", None),)


def test_readings_that_had_shown_it_are_taken_again() -> None:
    taken = tuple(blank(Measured, reading=name, side=None, unit=BASE.readings[name].unit) for name in ("column", "gap"))
    assert [one.reading for one in put_right(case(measured=taken), "leak", "left", BASE).measured] == []
    assert [one.reading for one in put_right(case(measured=taken), "jet", "left", BASE).measured] == ["gap"]


def test_what_was_put_right_in_vain_is_ruled_out_and_only_what_decided_on_it_is_gone() -> None:
    found = Told((report("moves", "left"), report("hangs"), report("sooty", "left")))
    after = fold([*BEGAN, found, RuledOut("leak", "left", in_vain=True)], BASE).case
    assert [one.sign for one in after.seen] == ["hangs", "sooty"]
    assert after.ruled_out == (("leak", "left"),)
    sound = fold([*BEGAN, found, RuledOut("leak", "left")], BASE).case
    assert len(sound.seen) == len(found.reports)


def test_a_rider_only_starts_it_after_a_repair_and_sets_nothing() -> None:
    found = asked(Told((report("hangs"),)), PutRight("leak", "left"), means=RIDER)
    assert (found.kind, found.steps) == (HOLDS, (START_IT, NOT_NOW))
