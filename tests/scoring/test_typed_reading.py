"""A reading of the virtual bike is kept as if it had been typed in: sides, repeats, stalls, and its trust."""

import pytest

from advisor.observer.taken_reading import Taken
from advisor.rulebase import Rulebase
from advisor.scoring.typed_reading import typed


def test_repeats_stay_on_their_side(base: Rulebase) -> None:
    taken = Taken("rpm", {"left": (120.0, 131.0), "right": (64.5,)}, {})
    left, right = typed(base, "drop-idle", taken)
    assert (left.reading, left.side, right.reading, right.side) == ("drop-idle", "left", "drop-idle", "right")
    assert "120" in left.given
    assert "131" in left.given
    assert "64.5" in right.given


def test_a_stall_is_told_beside_the_repeats(base: Rulebase) -> None:
    taken = Taken("rpm", {"left": (), "right": (64.5,)}, {"left": 3, "right": 0})
    found = {one.side: one for one in typed(base, "drop-idle", taken)}
    assert found["left"].stalls == 3
    assert found["right"].stalls == 0


def test_what_gave_no_figure_is_no_reading(base: Rulebase) -> None:
    assert typed(base, "idle-speed", Taken("rpm", {None: ()}, {})) == []
    (only,) = typed(base, "drop-idle", Taken("rpm", {"left": (), "right": (64.5,)}, {}))
    assert only.side == "right"


def test_how_far_it_is_trusted_is_told(base: Rulebase) -> None:
    plain, within = (typed(base, "column-idle", Taken("kPa", {"left": (20.0,)}, {}, trusted)) for trusted in (0, 0.9))
    assert within[0].values == pytest.approx(plain[0].values)
    assert within[0].give == pytest.approx(0.9)
    assert plain[0].give == base.readings["column-idle"].give
