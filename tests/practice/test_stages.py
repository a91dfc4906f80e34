"""Stages and places by their numbers, names, and the beginnings of their words."""

import pytest

from advisor.errors import AdvisorError
from advisor.practice.stages import SHORTEST_BEGINNING, place_meant, stage_called, stage_meant
from advisor.rulebase.model import Rulebase


def test_a_stage_is_called_by_its_number_or_a_word_of_its_name(base: Rulebase) -> None:
    assert stage_called("1", base) == 0
    assert stage_called("cables", base) == 5
    for nothing in ("0", "8", "sidecar", ""):
        assert stage_called(nothing, base) is None


def test_a_stage_is_meant_by_the_beginnings_of_its_words(base: Rulebase) -> None:
    for place, area in enumerate(base.areas):
        assert stage_meant(area.title.upper(), base) == place
        assert stage_meant(area.title.split(" ")[0][:4], base) in range(place + 1)
    assert stage_meant("valve", base) == 0
    assert stage_meant("carb", base) == 4
    assert stage_called("compr", base) is None
    assert stage_meant("compr", base) == 0
    for nothing in ("c" * (SHORTEST_BEGINNING - 1), "ca", "sidecar", " ", "valves sidecar"):
        assert stage_meant(nothing, base) is None


@pytest.mark.parametrize(
    ("words", "place"),
    [
        ("Ignition", "ignition"),
        ("elec", "electrical"),
        ("float levels", "fuel"),
        ("balance", "method"),
        ("plugs", "ignition"),
        ("2", "ignition"),
        ("", ""),
    ],
)
def test_a_place_is_meant_by_its_beginning_or_by_its_stage(base: Rulebase, words: str, place: str) -> None:
    assert place_meant(words, base) == place


@pytest.mark.parametrize("words", ["ca", "c", "sidecar", "9"])
def test_a_place_that_is_none_is_refused(base: Rulebase, words: str) -> None:
    with pytest.raises(AdvisorError, match=f"--area {words}: .*a word of a stage's title"):
        place_meant(words, base)
