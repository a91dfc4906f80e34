"""Search by plain words, misspelt or bent."""

import pytest

from advisor.rulebase import Rulebase
from advisor.rulebase.search import Index, stem


@pytest.fixture(scope="module")
def index(base: Rulebase) -> Index:
    """Return the index of the shipped pages."""
    return Index(base)


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
        ("worn spindle", "throttle-spindle-worn"),
        ("compresion", "compression-lost"),
        ("weak spring throttle closes", "return-spring-weak"),
    ],
)
def test_finds(index: Index, query: str, first: str) -> None:
    found = index.search(query)
    assert first in [one.id for one in found[:3]]


def test_finds_causes_by_the_signs_they_show(index: Index) -> None:
    found = index.search("revs hang")
    assert {"intake-joint-leak", "throttle-spindle-worn", "cable-end-sticking"} <= {
        one.id for one in found if one.kind == "cause"
    }


def test_only_the_kinds_asked_for(index: Index) -> None:
    assert {one.kind for one in index.search("revs hang", kinds=["sign"])} == {"sign"}


def test_finds_nothing_in_nonsense(index: Index) -> None:
    for query in ("", "   ", "???", "qqqq zzzz", "the of and"):
        assert index.search(query) == []


def test_stems() -> None:
    assert {stem(word) for word in ("hang", "hangs", "hanging")} == {"hang"}
    assert stem("stopped") == stem("stops") == "stop"
    assert stem("gas") == "gas"


def test_a_first_sentence_offers_no_sign_that_only_a_mechanic_finds(index: Index, base: Rulebase) -> None:
    for words in ("valve", "coil", "diaphragm torn slightly", "spindle"):
        found = index.search(words, ["sign"])
        assert {base.signs[one.id].seen_by for one in found} <= {"rider"}
