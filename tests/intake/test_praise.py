"""Praise of a matter, what simply works, and swaps that moved nothing: heard as not there, never as a complaint."""

import pytest

from advisor.intake.sentence import understand
from advisor.rulebase.model import Rulebase
from advisor.rulebase.speech import AS_GOOD_AS_PRAISE, IT_WORKS, MATTERS, OCCASIONS, SWAPPED, WHOLE_BIKE
from advisor.rulebase.wording import NO_PRAISE


def told(base: Rulebase, sentence: str) -> dict[str, bool]:
    """Return the signs that a sentence may mean, each with whether it is there."""
    return {one.sign: one.seen for one in understand(sentence, base).signs}


def test_every_matter_is_a_sign_of_the_pages(base: Rulebase) -> None:
    named = {*MATTERS, *AS_GOOD_AS_PRAISE, *IT_WORKS, *SWAPPED, *OCCASIONS, WHOLE_BIKE}
    assert named <= set(base.signs)
    assert set(AS_GOOD_AS_PRAISE) <= set(MATTERS)


@pytest.mark.parametrize("praise", ["is spot on", "is fine", "is good", "is faultless", "is as it should be"])
@pytest.mark.parametrize("sign", MATTERS)
def test_what_is_praised_is_never_a_complaint(base: Rulebase, sign: str, praise: str) -> None:
    for matter in MATTERS[sign]:
        found = told(base, f"the {matter} {praise}")
        assert found, matter
        assert not any(found.values()), (matter, found)


@pytest.mark.parametrize("simile", ["a baby's bum", "silk", "butter", "a sewing machine", "glass"])
def test_a_simile_of_praise_is_praise(base: Rulebase, simile: str) -> None:
    assert told(base, f"smooth as {simile} at 60 mph").get("cruise-vibration") is False


@pytest.mark.parametrize("simile", ["a bag of spanners", "a cement mixer", "a tractor"])
def test_a_simile_of_mockery_is_none(base: Rulebase, simile: str) -> None:
    assert NO_PRAISE
    assert not [sign for sign, seen in told(base, f"the idle is smooth as {simile}").items() if not seen]


@pytest.mark.parametrize("side", ["left", "right"])
@pytest.mark.parametrize("stays", ["stays on the {}", "stays stubbornly on the {}", "stayed put on the {}"])
@pytest.mark.parametrize("sign", SWAPPED)
def test_what_was_swapped_while_the_trouble_stayed_is_not_followed(
    base: Rulebase, sign: str, stays: str, side: str
) -> None:
    part = SWAPPED[sign][-1]
    found = told(base, f"I swapped the {part} over and the miss {stays.format(side)}")
    assert found.get(sign) is False


def test_each_of_several_swaps_is_not_followed(base: Rulebase) -> None:
    found = told(
        base, "swapped the plugs over, swapped the leads over, swapped the caps over, the miss stays on the left"
    )
    assert {found.get(sign) for sign in ("fault-follows-plug", "fault-follows-lead", "fault-follows-cap")} == {False}


@pytest.mark.parametrize(
    ("sentence", "sign"),
    [
        ("she starts, she idles, but it pops", "hard-to-start"),
        ("pickup is good but it drinks petrol", "stumbles"),
        ("mercury is dead level both sides", "column-uneven-idle"),
        ("rode home in the rain and it never missed a beat", "worse-in-the-wet"),
        ("it never missed a beat", "runs-badly"),
        ("no complaints", "runs-badly"),
    ],
)
def test_what_goes_well_is_not_there(base: Rulebase, sentence: str, sign: str) -> None:
    assert told(base, sentence).get(sign) is False


@pytest.mark.parametrize(
    "sentence", ["it should start well", "the idle would be fine", "is the idle fine?", "it used to idle well"]
)
def test_what_is_only_wished_or_was_once_so_praises_nothing(base: Rulebase, sentence: str) -> None:
    assert not told(base, sentence)
