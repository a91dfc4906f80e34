"""Search by plain words, misspelt or bent."""

import pytest

from advisor.rulebase import Rulebase
from advisor.rulebase.search import Index, stem


@pytest.mark.parametrize(
    ("query", "first"),
    [
        ("revs hang", "idle-hangs"),
        ("rews hangg", "idle-hangs"),
        ("hanging idle", "idle-hangs"),
        ("balance wont hold", "balance-wont-hold"),
        ("ballance drifts", "balance-wont-hold"),
        ("shaking at cruise", "cruise-vibration"),
        ("engin shaks at cruse", "cruise-vibration"),
        ("tight valves", "clearance-tight"),
        ("torn diafragm", "diaphragm-torn"),
        ("perished cap", "port-cover-moves-idle"),
        ("worn spindle", "spindle-play-moves-idle"),
        ("compresion", "compression-lost"),
        ("weak spring throttle closes", "return-spring-weak"),
    ],
)
def test_finds(base: Rulebase, query: str, first: str) -> None:
    found = Index(base).search(query)
    assert first in [one.id for one in found[:3]]


def test_finds_causes_by_the_signs_they_show(base: Rulebase) -> None:
    found = Index(base).search("revs hang")
    assert {"intake-joint-leak", "throttle-spindle-worn", "cable-end-sticking"} <= {
        one.id for one in found if one.kind == "cause"
    }


def test_only_the_kinds_asked_for(base: Rulebase) -> None:
    assert {one.kind for one in Index(base).search("revs hang", kinds=["sign"])} == {"sign"}


def test_finds_nothing_in_nonsense(base: Rulebase) -> None:
    for query in ("", "   ", "???", "qqqq zzzz", "the of and"):
        assert Index(base).search(query) == []


def test_stems() -> None:
    assert {stem(word) for word in ("hang", "hangs", "hanging")} == {"hang"}
    assert stem("stopped") == stem("stops") == "stop"
    assert stem("gas") == "gas"


def signs(base: Rulebase, sentence: str) -> list[str]:
    """Return the signs that a sentence may mean, as a session looks for them."""
    index = Index(base)
    return [one.id for one in index.mentions(sentence, base) or index.search(sentence, ["sign"])]


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


def test_a_first_sentence_offers_no_sign_that_only_a_mechanic_finds(base: Rulebase) -> None:
    for words in ("valve", "coil", "diaphragm torn slightly", "spindle"):
        found = Index(base).search(words, ["sign"])
        assert {base.signs[one.id].seen_by for one in found} <= {"rider"}
