"""Bikes with hidden faults: they have what was asked, and setting them around it moves settings only."""

import numpy as np

from advisor.scoring.hidden_bikes import draw, some_set_around
from advisor.virtual_bike.faults import ODD_SIDE, ONE_SIDED
from advisor.virtual_bike.not_shown import NOT_SHOWN


def test_what_is_drawn_can_be_planted_and_is_as_bad_as_asked() -> None:
    rng = np.random.default_rng(1)
    for one in [draw(rng, severity=(0.4, 0.6), counts=(0.0, 1.0)) for _ in range(60)]:
        assert len(set(one.causes)) == 2
        for cause, side, severity in one.faults:
            assert cause not in NOT_SHOWN
            assert (side is not None) == (cause in ONE_SIDED | ODD_SIDE)
            assert 0.4 <= severity <= 0.6
    assert all(draw(rng, ["plug-dead"]).causes[0][0] == "plug-dead" for _ in range(5))


def test_what_is_out_on_the_whole_bike_has_its_odd_side_on_either() -> None:
    rng = np.random.default_rng(4)
    drawn = [draw(rng, ["mixture-out"], counts=(1.0,)) for _ in range(12)]
    assert {one.faults[0][1] for one in drawn} == {"left", "right"}
    assert {one.causes for one in drawn} == {(("mixture-out", None),)}


def test_setting_around_moves_settings_and_nothing_else() -> None:
    rng = np.random.default_rng(2)
    bikes = [draw(rng, ["intake-joint-leak"], counts=(1.0,)) for _ in range(8)]
    after = some_set_around(bikes, [rng] * 8)
    moved = [one for one, was in zip(after, bikes, strict=True) if one.bike != was.bike]
    assert 0 < len(moved) < 8
    for one, was in zip(after, bikes, strict=True):
        assert one.faults == was.faults
        assert one.bike.left.joint_leak_mm2 == was.bike.left.joint_leak_mm2
