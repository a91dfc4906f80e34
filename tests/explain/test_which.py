"""A cause is meant by its name, its title or plain words."""

import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.explain.which import find_cause, find_cause_by_words
from advisor.report import RankedCause
from advisor.sides import Sided
from tests.session.sessions import session
from tests.small import blank, cause, rulebase


def test_why_not_keeps_to_the_side_and_the_part_that_are_named(advisor: Advisor) -> None:
    at = session(advisor, "idle-bad")
    for words in ("right plug dead", "left plug fouled", "right diaphragm torn"):
        side, part, _ = words.split()
        found = at.cause(words)
        assert (found.side, part in found.title.lower()) == (side, True)
    assert "plug" in at.cause("right plug").title


RANKED = [("leak", "right"), ("jet", None), ("leak", "left")]


def test_a_cause_is_found_by_its_title_too_however_it_is_spaced_and_spelt() -> None:
    causes = tuple(blank(RankedCause, id=one, side=side, title=f"A {one} in the joint") for one, side in RANKED)
    for words in ("A leak in the joint", "a LEAK  in the joint "):
        assert (find_cause(causes, words).id, find_cause(causes, words).side) == ("leak", "right")
    with pytest.raises(AdvisorError):
        find_cause(causes, "a leak in the")


def test_what_names_no_cause_is_answered_with_the_nearest_name() -> None:
    causes = tuple(blank(RankedCause, id=one, side=side, title=f"the {one}") for one, side in RANKED)
    with pytest.raises(AdvisorError) as caught:
        find_cause(causes, "leek left")
    assert str(caught.value) == "no cause is called 'leek left' (did you mean 'leak left'?)"


SPOKEN = (
    ("plug-dead", "left", "The left plug is dead"),
    ("plug-dead", "right", "The right plug is dead"),
    ("plug-fouled", "left", "The left plug is fouled"),
    ("jet-blocked", None, "The jet is blocked"),
)


@pytest.mark.parametrize(
    ("words", "found"),
    [
        ("plug-dead right", ("plug-dead", "right")),
        ("the dead plug", ("plug-dead", "left")),
        ("plug", ("plug-dead", "left")),
        ("right plug dead", ("plug-dead", "right")),
        ("right fouled plug", ("plug-fouled", "left")),  # there is none on that side
        ("Blocked JET", ("jet-blocked", None)),
        ("left jet blocked", ("jet-blocked", None)),
    ],
)
def test_plain_words_mean_the_likeliest_whose_title_holds_them_all(words: str, found: Sided) -> None:
    causes = tuple(blank(RankedCause, id=name, side=side, title=title) for name, side, title in SPOKEN)
    one = find_cause_by_words(causes, words, rulebase())
    assert (one.id, one.side) == found


def test_words_that_no_title_holds_go_to_the_search_and_then_to_the_nearest_name() -> None:
    causes = tuple(blank(RankedCause, id=name, side=side, title=title) for name, side, title in SPOKEN)
    dirt = cause("jet-blocked", "blow", {}, title="A grain of dirt in a passage", reason="Dirt blocks it.")
    base = rulebase(dirt, cause("plug-dead", "swap", {}, title="A plug"))
    assert find_cause_by_words(causes, "grain of dirt", base).id == "jet-blocked"
    with pytest.raises(AdvisorError) as caught:
        find_cause_by_words(causes, "PLUG-DEED left", rulebase())
    assert str(caught.value) == "no cause is called 'plug-deed left' (did you mean 'plug-dead left'?)"


@pytest.mark.parametrize(
    ("name", "cause_found"),
    [
        ("leak", ("leak", "right")),  # without a side the likelier one
        ("leak left", ("leak", "left")),
        ("leak:left", ("leak", "left")),
        ("leak right", ("leak", "right")),
        ("jet", ("jet", None)),
        ("jet left", None),
        ("lea", None),
        ("leak up", None),
        ("", None),
        ("leak left now", None),
    ],
)
def test_a_cause_is_found_by_its_name_and_side(name: str, cause_found: Sided | None) -> None:
    causes = tuple(blank(RankedCause, id=one, side=side, title=f"the {one}") for one, side in RANKED)
    if cause_found is None:
        with pytest.raises(AdvisorError, match="no cause is called"):
            find_cause(causes, name)
        return
    found = find_cause(causes, name)
    assert (found.id, found.side) == cause_found
