"""Planted bikes for the tests of the laboratory: nothing is drawn but what a person answers."""

import numpy as np

from advisor.diagnose import Advisor
from advisor.observer.bike_view import view
from advisor.scoring.hidden_bikes import Fault, planted
from advisor.scoring.stand import Stand


def stand_with(advisor: Advisor, *faults: Fault, seed: int = 1) -> Stand:
    """Return the stand with these faults on a bike by the book, answered by somebody who never slips."""
    hidden = planted(faults)
    return Stand(advisor, hidden, view(hidden.bike), np.random.default_rng(seed), slips=0.0)
