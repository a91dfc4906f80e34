"""What a sentence says about a bike: clause by clause, with what is denied, and each thing once."""

import time

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.intake.sentence import MOST_UNDERSTOOD, Heard, understand
from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrasebook import Phrasebook
from advisor.sides import sides_of
from tests.sentences import HERE, read, scored


def signs(base: Rulebase, sentence: str) -> list[str]:
    """Return the signs that a sentence may say are there."""
    return [one.sign for one in understand(sentence, base).signs if one.seen]


@pytest.mark.parametrize(
    ("words", "sign"),
    [
        ("there is petrol under the bike", "fuel-leaks"),
        ("petrol tap leaks", "line-leaks"),
        ("it leaks fuel", "fuel-leaks"),
        ("fuel on the ground", "fuel-leaks"),
        ("it is dripping", "fuel-leaks"),
        ("it stinks of petrol", "fuel-smell"),
        ("throttle jammed wide open", "throttle-stays-open"),
        ("throttle stuck wide open", "throttle-stays-open"),
        ("it revs by itself", "throttle-stays-open"),
        ("the engine races", "throttle-stays-open"),
        ("it will not come back down", "throttle-stays-open"),
        ("flames from the carburettor", "on-fire"),
        ("it is on fire", "on-fire"),
        ("smoke from the coil", "wiring-smokes"),
        ("smoke from the wiring", "wiring-smokes"),
        ("I get a headache from the fumes", "fumes-felt"),
        ("dizzy from the exhaust", "fumes-felt"),
        ("it cuts out like a switch", "cuts-like-a-switch"),
        ("engine dead, it won't start", "wont-start"),
        ("carbs wont balance", "balance-wont-hold"),
        ("flat spot at 3000", "stumbles"),
        ("misfires in the rain", "worse-in-the-wet"),
        ("it wont rev past 3000", "wont-rev"),
        ("tickover goes up and down", "idle-hunts"),
        ("it dies at every red light", "dies-at-idle"),
        ("the left plug cap came off", "cap-not-home"),
    ],
)
def test_a_riders_words_find_the_sign_first(base: Rulebase, words: str, sign: str) -> None:
    assert signs(base, words)[0] == sign


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize(
    "words",
    [
        "only running on the {} pot",
        "it only fires on the {}",
        "it runs on the {} only",
        "just runs on the {} cylinder",
        "nothing but the {} works",
    ],
)
def test_the_side_that_alone_works_is_not_the_dead_one(base: Rulebase, words: str, side: str) -> None:
    found = signs(base, words.format(side))
    assert found[0] == "only-side-works"
    assert "side-dead" not in found


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("words", ["the {} pot is dead", "{} cylinder not firing", "the {} side is dead"])
def test_the_side_that_is_dead_is_not_the_one_that_alone_works(base: Rulebase, words: str, side: str) -> None:
    found = signs(base, words.format(side))
    assert found[0] == "side-dead"
    assert "only-side-works" not in found


def test_only_and_a_side_alone_do_not_make_it_dead(base: Rulebase) -> None:
    assert "only-side-works" not in signs(base, "it only runs with choke")
    assert "only-side-works" not in signs(base, "it only shakes on the left")


@pytest.mark.parametrize(
    ("words", "silly"),
    [
        ("carbs wont balance", "wheel-seen-out"),
        ("flat spot at 3000", "wheel-seen-out"),
        ("misfires in the rain", "compression-rises-with-oil"),
        ("it wont rev past 3000", "idle-bad"),
        ("tickover goes up and down", "enriching-helps-side"),
        ("left carb drips and the petrol tap leaks", "leaks-in-the-dark"),
        ("wont start", "fades-out"),
        ("it starts and runs well, then dies", "wont-start"),
        ("it only fires on the left", "on-fire"),
    ],
)
def test_nothing_silly_is_offered(base: Rulebase, words: str, silly: str) -> None:
    assert silly not in signs(base, words)


@pytest.mark.parametrize("words", ["foo", "xyzzy", "brakes squeal"])
def test_what_nobody_knows_offers_nothing(base: Rulebase, words: str) -> None:
    assert signs(base, words) == []


@pytest.mark.parametrize(
    ("words", "sign"),
    [
        ("the bike is in the garage", "began-after-work"),
        ("the carbs want cleaning", "began-after-fuel-work"),
        ("I reckon the carbs need cleaning", "began-after-fuel-work"),
        ("it won't start this morning", "hard-start-cold"),
    ],
)
def test_a_place_a_plan_and_the_time_of_day_are_no_history(base: Rulebase, words: str, sign: str) -> None:
    assert sign not in signs(base, words)


def test_hardly_denies_what_comes_after_it(base: Rulebase) -> None:
    assert told(base, "After six weeks standing she hardly turns over") == {
        "began-after-standing": True,
        "cranks-slowly": True,
    }


def told(base: Rulebase, sentence: str) -> dict[str, bool]:
    """Return the signs that a sentence may mean, each with whether it is there."""
    return {one.sign: one.seen for one in understand(sentence, base).signs}


@pytest.mark.parametrize(
    ("sentence", "there", "not_there"),
    [
        ("it starts well but the idle hangs", "idle-hangs", "hard-to-start"),
        ("no smoke, just pops on the overrun", "overrun-pop", "smokes"),
        ("starts fine, dies at the lights", "dies-at-idle", "hard-to-start"),
        ("pulls strongly, but the idle hunts", "idle-hunts", "power-low"),
        ("it never smokes, and it drinks petrol", "thirsty", "smokes"),
        ("smoke? no, never, but it shakes at cruise", "cruise-vibration", "smokes"),
    ],
)
def test_what_is_denied_or_praised_in_one_clause_has_no_say_in_the_next(
    base: Rulebase, sentence: str, there: str, not_there: str
) -> None:
    found = told(base, sentence)
    assert found[there] is True
    assert found[not_there] is False


@pytest.mark.parametrize(
    ("sentence", "sign"),
    [
        ("the idle is smooth", "idle-bad"),
        ("idles well", "idle-bad"),
        ("idle is not bad", "idle-bad"),
        ("idles normally", "idle-bad"),
        ("does not smell of fuel", "fuel-smell"),
        ("fuel use about normal", "thirsty"),
        ("it does not smoke", "smokes"),
        ("no leak that I can see", "fuel-leaks"),
    ],
)
def test_praise_and_denial_are_no_complaint(base: Rulebase, sentence: str, sign: str) -> None:
    assert told(base, sentence).get(sign) is False
    assert not any(told(base, sentence).values())


@pytest.mark.parametrize(
    ("sentence", "sign"),
    [
        ("it won't start", "wont-start"),
        ("no spark on the left", "spark-none"),
        ("the balance won't hold", "balance-wont-hold"),
        ("it no longer holds its balance", "balance-wont-hold"),
        ("can't get it to start", "wont-start"),
    ],
)
def test_a_complaint_that_says_no_itself_is_one(base: Rulebase, sentence: str, sign: str) -> None:
    assert told(base, sentence)[sign] is True


def test_fine_until_hot_is_a_complaint_when_hot(base: Rulebase) -> None:
    assert told(base, "runs fine until it is hot")["comes-when-hot"] is True


@pytest.mark.parametrize(
    ("sentence", "signs"),
    [
        ("no smoke, leaks or rattles", {"smokes", "fuel-leaks"}),
        ("starts, idles and runs fine", {"hard-to-start", "idle-bad", "rough-throughout"}),
        ("neither pops nor hangs", {"pops", "idle-hangs"}),
        ("compression, timing and charging are good", {"compression-lower", "timing-off", "charging-off"}),
    ],
)
def test_what_is_said_of_a_list_is_said_of_each(base: Rulebase, sentence: str, signs: set[str]) -> None:
    found = told(base, sentence)
    assert signs <= set(found)
    assert not any(found.values())


@pytest.mark.parametrize(
    ("sentence", "sign"),
    [
        ("not a hint of smoke from either pipe", "smokes"),
        ("vibration? none that I'd notice", "shakes"),
        ("I've ruled out fuel starvation", "fades-out"),
        ("doesn't leak a drop anywhere", "fuel-leaks"),
        ("not down on power", "power-low"),
        ("no backfiring except on the overrun", "overrun-pop"),
        ("haven't noticed any smell of petrol", "fuel-smell"),
        ("the timing is on the mark at idle and at full advance", "timing-off-one-end"),
        ("idle and power are both good", "idle-bad"),
        ("idle and power are both good", "power-low"),
        ("swapped the coils over, made no odds", "fault-follows-coil"),
        ("opened the filler cap, made no odds", "tank-cap-open-helps"),
        ("it just died with no smoke at all", "smokes"),
        ("the hesitation went away", "stumbles"),
        ("it's smooth at sixty", "cruise-vibration"),
        ("no more stalling since I cleaned the jets", "dies-at-idle"),
        ("wet weather doesn't affect it", "worse-in-the-wet"),
        ("no dramas once rolling", "rough-throughout"),
    ],
)
def test_a_denial_in_other_words_is_one(base: Rulebase, sentence: str, sign: str) -> None:
    assert told(base, sentence).get(sign) is False


def test_what_only_denies_a_context_is_no_complaint(base: Rulebase) -> None:
    assert "hard-start-cold" not in told(base, "it misses hot, never when cold")


@pytest.mark.parametrize(
    ("sentence", "silly"),
    [
        ("pulled the left lead and it stopped dead", "cuts-like-a-switch"),
        ("a knocking noise that goes away when it warms up", "comes-when-hot"),
        ("it ran sweetly last autumn", "rough-throughout"),
        ("I shut the petrol off, so it isn't the float valves passing", "float-valve-passes"),
    ],
)
def test_what_is_told_beside_the_trouble_is_none(base: Rulebase, sentence: str, silly: str) -> None:
    assert silly not in told(base, sentence)


def test_what_is_cured_by_a_thing_is_helped_by_it(base: Rulebase) -> None:
    assert told(base, "tank cap open and it's cured")["tank-cap-open-helps"] is True


@pytest.mark.parametrize(("one", "two"), [("left", "right"), ("right", "left")])
@pytest.mark.parametrize(
    ("sentence", "sign", "there", "also_there"),
    [
        ("{} plug is black, {} looks fine", "plug-black", True, False),
        ("{} carb drips, {} doesn't", "fuel-drips", True, False),
        ("{} header is cold, same on the {}", "header-cold", True, True),
        ("{} carb doesn't drip, the {} doesn't either", "fuel-drips", False, False),
        ("the {} slide is fine, the {} one sticks", "slide-hangs", False, True),
    ],
)
def test_one_side_is_told_by_what_was_told_of_the_other(  # noqa: PLR0913 - sentence and answer
    base: Rulebase, one: str, two: str, sentence: str, sign: str, there: bool, also_there: bool
) -> None:
    heard = understand(sentence.format(one, two), base).signs
    assert {(found.side, found.seen) for found in heard if found.sign == sign} == {(one, there), (two, also_there)}


def test_what_a_side_is_compared_with_is_not_where_it_is(base: Rulebase) -> None:
    heard = understand("the left slide is lazy compared with the other", base).signs
    assert {one.side for one in heard if one.sign == "slide-hangs"} == {"left"}


def test_a_list_that_ends_well_does_not_praise_what_stands_before(base: Rulebase) -> None:
    found = told(base, "pops, and idles fine")
    assert (found["pops"], found["idle-bad"]) == (True, False)


def test_how_it_was_is_not_how_it_is(base: Rulebase) -> None:
    assert "idle-bad" not in told(base, "the idle was fine before I set the valves")
    assert told(base, "the compression was good on both sides")["compression-lower"] is False
    assert "smokes" not in told(base, "it used to smoke")


def test_a_second_thing_does_not_hide_the_first(base: Rulebase) -> None:
    parts = {
        "smoke from the wiring": "wiring-smokes",
        "it pops on the overrun": "overrun-pop",
        "the idle hangs": "idle-hangs",
        "petrol drips from the left carburettor": "fuel-drips",
    }
    assert set(parts.values()) <= set(told(base, ", ".join(parts)))


def test_the_more_exact_of_two_is_offered(base: Rulebase) -> None:
    found = told(base, "bad idle, the idle hangs")
    assert "idle-hangs" in found
    assert "idle-bad" not in found


def test_the_side_is_that_of_the_clause_or_else_the_last(base: Rulebase) -> None:
    def sides(sentence: str, sign: str) -> list[object]:
        return [one.side for one in understand(sentence, base).signs if one.sign == sign]

    assert sides("the left plug is black, the right header is cold", "plug-black") == ["left"]
    assert sides("the left plug is black, the right header is cold", "header-cold") == ["right"]
    assert sides("the plug is black", "plug-black") == ["left", "right"]
    assert sides("it happens on the right, the plug is black", "plug-black") == ["right"]
    assert sides("both plugs are black", "plug-black") == ["left", "right"]


def test_what_is_suspected_is_no_sign(base: Rulebase) -> None:
    found = understand("I think it is an air leak on the left", base)
    assert [(one.cause, one.side) for one in found.suspected] == [("intake-joint-leak", "left")]
    assert not understand("the idle hangs", base).suspected


def test_readings_are_taken_beside_signs(base: Rulebase) -> None:
    found = understand("idles at 1300 and pops on the overrun", base)
    assert [(one.reading, one.values) for one in found.readings] == [("idle-speed", (1300.0,))]
    assert [one.sign for one in found.signs] == ["overrun-pop"]


@pytest.mark.parametrize(
    ("sentence", "sign"),
    [("it popps on the overrun", "overrun-pop"), ("throtle sticks open", "throttle-stays-open")],
)
def test_slips_of_spelling_are_put_right(base: Rulebase, sentence: str, sign: str) -> None:
    assert sign in told(base, sentence)


WORDS = ["idle", "hangs", "no", "not", "but", "left", "right", "pops", "fine", "when", "hot", "smoke", "1300", ",", "?"]


@given(st.one_of(st.text(max_size=60), st.lists(st.sampled_from(WORDS), max_size=14).map(" ".join)))
def test_anything_is_heard_in_terms_of_the_pages(base: Rulebase, sentence: str) -> None:
    found = understand(sentence, base)
    assert len({(one.sign, one.side) for one in found.signs}) == len(found.signs)
    for one in found.signs:
        assert one.side in sides_of(base.signs[one.sign].sided)
    assert all(one.side in sides_of(base.causes[one.cause].sided) for one in found.suspected)
    assert all(one.side in sides_of(base.readings[one.reading].sided) for one in found.readings)


def test_long_talk_offers_no_more_than_is_read(base: Rulebase) -> None:
    found = understand(" and it hangs, smokes, pops, leaks, shakes, stalls, hunts, surges, misses, pinks", base)
    assert 1 < len({one.sign for one in found.signs}) <= MOST_UNDERSTOOD + 3
    assert all(isinstance(one, Heard) for one in found.signs)


# Held a little under what was reached; the third, fifth, seventh and ninth were only scored, never looked at.
REACHED = {
    "first": {"heard": 0.76, "offers right": 0.74, "denials heard as denials": 0.85, "figures taken": 0.97},
    "second": {"heard": 0.86, "offers right": 0.91, "denials heard as denials": 0.95, "figures taken": 0.97},
    "third": {"heard": 0.73, "offers right": 0.79, "denials heard as denials": 0.69, "figures taken": 0.86},
    "fourth": {"heard": 0.91, "offers right": 0.87, "denials heard as denials": 0.89, "figures taken": 0.97},
    "fifth": {"heard": 0.83, "offers right": 0.8, "denials heard as denials": 0.74, "figures taken": 0.77},
    "sixth": {"heard": 0.86, "offers right": 0.79, "denials heard as denials": 0.7, "figures taken": 0.97},
    "seventh": {"heard": 0.59, "offers right": 0.7, "denials heard as denials": 0.79, "figures taken": 0.72},
    "eighth": {"heard": 0.56, "offers right": 0.66, "denials heard as denials": 0.58, "figures taken": 0.78},
    "ninth": {"heard": 0.56, "offers right": 0.62, "denials heard as denials": 0.38, "figures taken": 0.38},
}
# Denials taken as complaints; of the others at most one in twenty.
MOST_TAKEN_WRONGLY = {"eighth": 0.06, "ninth": 0.08}


@pytest.mark.parametrize("name", REACHED)
def test_sentences_of_people_apart_are_understood_as_well_as_they_were(base: Rulebase, name: str) -> None:
    found = scored(read(HERE / f"{name}.yaml"), base)
    for what, least in REACHED[name].items():
        assert found.share(what) >= least, what
    assert found.share("denials taken as complaints") <= MOST_TAKEN_WRONGLY.get(name, 0.05)
    assert found.share("nothing offered") <= 0.045


@pytest.mark.bench
def test_a_sentence_is_understood_at_once(base: Rulebase) -> None:
    for pages, limit in ((msgspec.structs.replace(base, folders=()), 0.8), (base, 0.25)):  # the second one is kept
        Phrasebook(pages)
        started = time.process_time()
        Phrasebook(pages)
        assert time.process_time() - started < limit
    sentence = "it starts well but the idle hangs and it pops on the overrun, " * 3
    understand(sentence, base)
    started = time.process_time()
    understand(sentence, base)
    assert time.process_time() - started < 0.05
