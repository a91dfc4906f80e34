"""What is planted is found: every modelled cause shows a sign of its page, and its deciding check decides."""

import numpy as np
import pytest

from advisor.observer.senses import SENSES, sense
from advisor.rulebase.model import Rulebase
from advisor.scoring.check_result import answer
from advisor.sides import Side
from tests.observer.conftest import ALL, planted

# cause, tuned: why nothing of its page is seen at a severity of 0.6
TUNING_CURES = "stops and cables are what was wrong, and tuning sets them"
SILENT = {
    ("cable-slack-unequal", True): TUNING_CURES,
    ("no-cable-slack", True): TUNING_CURES,
    ("out-of-adjustment", True): TUNING_CURES,
}
SLOW = ("cure", "follows", "reset", "helps", "best-", "-can", "frees", "lower-down", "set-warm", "badly", "moves")
WELL_ENOUGH = 0.85  # share of causes whose deciding check gives a sign of the page


def _slow(sign: str) -> bool:
    """Whether parts are exchanged or something is done to the engine for this sign."""
    return any(word in sign for word in SLOW)


@pytest.mark.parametrize("tuned", [False, True])
def test_a_cause_shows_a_sign_of_its_page(tuned: bool, base: Rulebase) -> None:
    silent = set()
    for cause, v in planted(0.6, tuned).items():
        signs = {link.sign for link in base.causes[cause].links} & set(SENSES)
        if not any(sense(v, sign) for sign in sorted(signs, key=_slow)):
            silent.add((cause, tuned))
    assert silent == {key for key in SILENT if key[1] == tuned}


@pytest.mark.parametrize("tuned", [False, True])
def test_the_deciding_check_decides(tuned: bool, base: Rulebase) -> None:
    undecided = []
    for cause, v in planted(0.7, tuned).items():
        page = base.causes[cause]
        linked = {link.sign for link in page.links}
        check = base.checks[page.settled_by]
        side: Side = "left" if check.sided else None
        got = answer(base, check.id, side, v, np.random.default_rng(1), slips=0.0)
        if not any(seen and sign in linked for (sign, _), seen in got.findings.items()):
            undecided.append(cause)
    assert len(undecided) <= (1 - WELL_ENOUGH) * len(ALL), undecided
