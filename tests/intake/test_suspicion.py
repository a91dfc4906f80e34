"""What is suspected, and what is only named."""

import pytest

from advisor.intake.sentence import understand
from advisor.rulebase.model import Rulebase


@pytest.mark.parametrize(
    ("sentence", "cause"),
    [
        ("I reckon it's the throttle spindles", "throttle-spindle-worn"),
        ("is it the float needle?", "float-valve-leaking"),
        ("air leak, I'd bet", "intake-joint-leak"),
        ("the coil is on its way out, I think", "coil-failing"),
        ("could be muck in the idle drilling", "idle-passage-blocked"),
        ("needle jets worn maybe", "needle-jet-worn"),
    ],
)
def test_a_cause_is_suspected(base: Rulebase, sentence: str, cause: str) -> None:
    assert cause in [one.cause for one in understand(sentence, base).suspected]


@pytest.mark.parametrize("sentence", ["the coil is hot", "it hangs", "I think it hangs", "it isn't the coil, I think"])
def test_nothing_is_suspected(base: Rulebase, sentence: str) -> None:
    assert understand(sentence, base).suspected == ()
