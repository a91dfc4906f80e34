"""What can be chosen: the checks and causes of a stage, and those that are meant by words."""

import pytest

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.practice.offers import MOST_FOUND, NAME, Finder, causes_of, checks_of, on_side, said_side
from advisor.practice.round import CHECK, FIX
from advisor.sides import BOTH, Side, fill
from tests.practice.rounds import PLUG, SLIDE, bike_with


@pytest.fixture(scope="module")
def find(advisor: Advisor) -> Finder:
    return Finder(bike_with(advisor, PLUG))


@pytest.mark.parametrize(
    ("words", "plain", "sides"),
    [
        ("plug l", ["plug"], ("left",)),
        ("right plug", ["plug"], ("right",)),
        ("plug both", ["plug"], BOTH),
        ("left right", [], BOTH),
        ("plug", ["plug"], ()),
    ],
)
def test_the_side_is_taken_out_of_the_words(words: str, plain: list[str], sides: tuple[Side, ...]) -> None:
    assert said_side(words.split()) == (plain, sides)


def test_words_find_checks_readings_and_causes(advisor: Advisor, find: Finder) -> None:
    (look,) = find.checks(["look", "rocker"])
    assert (look.verb, look.id, look.sides) == (CHECK, "look-under-the-rocker-cover", BOTH)
    assert [one.id for one in find.causes(["diaphragm-torn"], NAME)] == ["diaphragm-torn"]
    assert all("cable-slack" in advisor.base.checks[one.id].takes for one in find.measured(["cable-slack"]))
    assert 1 < len(find.checks(["plug"])) <= MOST_FOUND
    for wrong in (find.checks, find.measured):
        with pytest.raises(AdvisorError, match="'xyzzyq' finds no"):
            wrong(["xyzzyq"])
    with pytest.raises(AdvisorError, match="'xyzzyq' finds no cause"):
        find.causes(["xyzzyq"], FIX)


def test_a_cause_is_called_by_its_name_or_its_title_without_the_side(find: Finder) -> None:
    assert find.called(["plug", "dead"]) == "plug-dead"
    assert find.called(["the", "plug", "is", "dead"]) == "plug-dead"
    assert find.called(["plug"]) is None


def test_a_check_in_its_own_title_has_the_side_of_the_title(find: Finder) -> None:
    assert find.titled("look under the rocker cover") is None
    for title, said in (
        ("look under the right rocker cover", ("right",)),
        ("look under the left or right rocker cover", ()),
    ):
        found = find.titled(title)
        assert found
        assert (found[0].id, found[1]) == ("look-under-the-rocker-cover", said)


@pytest.mark.slow
def test_a_checks_own_title_is_that_check(advisor: Advisor, find: Finder) -> None:
    """Whoever types what he reads on the list gets it, whatever else has these words."""
    for page in advisor.base.checks.values():
        twins = [one for one in advisor.base.checks.values() if one.title == page.title]
        words = fill(page.title, "right").replace(" right", "").split()
        if len(twins) == 1:
            assert [one.id for one in find.checks(words)] == [page.id]


def test_a_side_that_was_said_is_in_the_title(find: Finder) -> None:
    (look,) = find.checks(["look", "rocker"])
    assert "left or right" in look.title
    left = on_side(look, ("left",))
    assert (left.title, left.sides) == ("Look under the left rocker cover", ("left",))
    assert on_side(look, BOTH) == on_side(look, ()) == look


def test_a_stage_lists_what_must_be_right_first_and_not_what_is_done(advisor: Advisor) -> None:
    round_ = bike_with(advisor, SLIDE)
    before = [one.id for one in checks_of(0, round_)]
    assert before[0] == advisor.base.areas[0].items[0].check
    round_.do("measure-the-compression", None)
    assert "measure-the-compression" in set(before) - {one.id for one in checks_of(0, round_)}


def test_a_check_done_on_one_side_is_offered_on_the_other(advisor: Advisor) -> None:
    round_ = bike_with(advisor, SLIDE)
    stage = advisor.base.order_of(advisor.base.checks["look-under-the-rocker-cover"].place)
    round_.do("look-under-the-rocker-cover", "left")
    (offer,) = (one for one in checks_of(stage, round_) if one.id == "look-under-the-rocker-cover")
    assert (offer.sides, offer.title) == (("right",), "Look under the right rocker cover")


def test_causes_of_a_stage_cost_minutes_to_put_right_and_none_to_name(advisor: Advisor) -> None:
    round_ = bike_with(advisor, SLIDE)
    fixes, names = causes_of(1, FIX, round_), causes_of(1, NAME, round_)
    assert [one.id for one in fixes] == [one.id for one in names]
    assert {advisor.base.order_of(advisor.base.causes[one.id].place) for one in fixes} == {1}
    assert all(one.minutes > 0 for one in fixes)
    assert not any(one.minutes for one in names)
