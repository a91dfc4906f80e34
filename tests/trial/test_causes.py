"""What is planted is found: every modelled cause shows a sign of its page, and its deciding check decides."""

import numpy as np
import pytest

from advisor.rulebase.model import Rulebase
from advisor.sides import Side
from advisor.trial.answer import answer
from advisor.trial.senses import SENSES, sense
from advisor.trial.view import View
from tests.trial.conftest import ALL

# cause, tuned: why nothing of its page is seen at a severity of 0.6
TUNING_CURES = "stops and cables are what was wrong, and tuning sets them"
SILENT = {
    ("cable-slack-unequal", True): TUNING_CURES,
    ("no-cable-slack", True): TUNING_CURES,
    ("out-of-adjustment", True): TUNING_CURES,
}
WELL_ENOUGH = 0.85  # share of causes whose deciding check gives a sign of the page


@pytest.mark.parametrize("tuned", [False, True])
@pytest.mark.parametrize("cause", ALL)
def test_a_cause_shows_a_sign_of_its_page(
    cause: str, tuned: bool, base: Rulebase, clear: dict[tuple[str, bool], View]
) -> None:
    v = clear[cause, tuned]
    signs = sorted({link.sign for link in base.causes[cause].links} & set(SENSES), key=lambda sign: "cure" in sign)
    assert any(sense(v, sign) for sign in signs) != ((cause, tuned) in SILENT)


@pytest.mark.parametrize("tuned", [False, True])
def test_the_deciding_check_decides(tuned: bool, base: Rulebase, plain: dict[tuple[str, bool], View]) -> None:
    undecided = []
    for cause in ALL:
        page = base.causes[cause]
        linked = {link.sign for link in page.links}
        check = base.checks[page.settled_by]
        side: Side = "left" if check.sided else None
        got = answer(base, check.id, side, plain[cause, tuned], np.random.default_rng(1), slips=0.0)
        if not any(seen and sign in linked for (sign, _), seen in got.findings.items()):
            undecided.append(cause)
    assert len(undecided) <= (1 - WELL_ENOUGH) * len(ALL), undecided
