"""Scoring: the same seed gives the same rows, the figures are what they say, and accounts are read with care."""

import io
import itertools
import math
from pathlib import Path

import msgspec
import numpy as np
import pandas as pd
import pytest
from msgspec.structs import replace

from advisor.chain.run import MEASURED
from advisor.diagnose import Advisor
from advisor.errors import AdvisorError, CaseError
from advisor.observer.bike_view import view, views
from advisor.observer.complaint import UNASKED
from advisor.observer.senses import sensed
from advisor.observer.severity import shows
from advisor.places import shipped
from advisor.plan.cost import RETEST
from advisor.rulebase import Rulebase
from advisor.scoring.draw import Hidden, draw, set_around
from advisor.scoring.resolved import read_accounts
from advisor.scoring.score import Row, Task, batch, place_of, play, score, tasks
from advisor.scoring.stand import OPENING, SET_AGAIN, Stand, sheet
from advisor.show.score import frame, interval, scores
from advisor.sides import BOTH, Side, Sided, other
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, ODD_SIDE, ONE_SIDED, plant
from advisor.virtual_bike.not_shown import NOT_SHOWN
from advisor.virtual_bike.operate import tune

RULES = shipped("rules")


@pytest.fixture(scope="module")
def rows() -> list[Row]:
    return [row for one in map(batch, tasks(6, 3, [RULES], planned=1)) for row in one]


def test_the_same_seed_gives_the_same_rows_however_they_are_batched(rows: list[Row]) -> None:
    one = Task(0, 1, 3, (str(RULES),), planned=1)
    rest = Task(1, 5, 3, (str(RULES),), planned=1)
    assert [*batch(one), *batch(rest)] == rows


def test_two_processes_give_what_one_gives(rows: list[Row]) -> None:
    found = [row for one in score(tasks(6, 3, [RULES], planned=1), jobs=2) for row in one]
    assert found == rows


def test_figures_of_a_row_are_what_they_say(rows: list[Row]) -> None:
    for row in rows:
        assert row.fault in CAUSES
        assert row.place >= 1
        assert not row.hit or row.chance == row.first_chance
        assert 0 < row.said <= 1
        assert row.weight > 0
        assert 0 <= row.chance <= row.first_chance <= 1
        assert row.brier >= (1 - row.chance) ** 2
        assert row.log_score >= -math.log2(row.chance) - 1e-9
        assert row.played == (row.number < 1)
        assert row.played or (row.minutes, row.acted) == (0, "")


def test_places_are_those_of_the_ranking() -> None:
    chances: dict[Sided, float] = {("a", None): 0.5, ("b", None): 0.2, ("c", None): 0.2, ("d", None): 0.1}
    assert [place_of(chances, one) for one in chances] == [1, 2, 2, 4]
    sides: dict[Sided, float] = {
        ("a", "left"): 0.1,
        ("a", "right"): 0.5,
        ("b", None): 0.2,
        ("c", None): 0.05,
    }
    assert [place_of(sides, one) for one in sides] == [1, 1, 2, 3]


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
    after = set_around(bikes, [rng] * 8)
    moved = [one for one, was in zip(after, bikes, strict=True) if one.bike != was.bike]
    assert 0 < len(moved) < 8
    for one, was in zip(after, bikes, strict=True):
        assert one.faults == was.faults
        assert one.bike.left.joint_leak_mm2 == was.bike.left.joint_leak_mm2


def test_a_clear_fault_is_found_and_cured_and_the_trouble_is_then_gone(advisor: Advisor) -> None:
    fault: tuple[str, Side, float] = ("intake-joint-leak", "left", 0.9)
    hidden = Hidden(plant(Bike(), *fault), (fault,))
    stand = Stand(advisor, hidden, view(hidden.bike), np.random.default_rng(4), slips=0.0)
    stand.complain()
    stand.measure(dict.fromkeys(OPENING, 1.0))
    moves = play(stand)
    assert [(one.name, one.side) for one in moves if one.kind == "fix"] == [("intake-joint-leak", "left")]
    assert not stand.left
    assert stand.minutes >= advisor.base.causes["intake-joint-leak"].minutes
    assert stand.view.bike.left.joint_leak_mm2 == 0.0
    assert sum(one.minutes for one in moves) == pytest.approx(stand.minutes)


def test_left_and_right_exchanged_score_alike(advisor: Advisor) -> None:
    chances = []
    for side in BOTH:
        bike = plant(Bike(), "plug-dead", side, 0.9)
        hidden = Hidden(bike, (("plug-dead", side, 0.9),))
        stand = Stand(advisor, hidden, view(bike), np.random.default_rng(5), slips=0.0)
        stand.do("listen-at-each-exhaust", None)  # nothing is read there: readings scatter on either side by themselves
        chances.append(stand.chances())
    mirrored = {(cause, other(side)): chance for (cause, side), chance in chances[1].items()}
    assert chances[0] == pytest.approx(mirrored, abs=1e-9)


def test_words_follow_from_the_figures_read_with_them(advisor: Advisor) -> None:
    """Two columns 0.2 kPa apart are level, whatever an eye might make of them; a check of one side reads one side."""
    base = advisor.base
    for seed in range(6):
        hidden = draw(np.random.default_rng(seed), evenly=True)
        stand = Stand(advisor, hidden, view(hidden.bike), np.random.default_rng(seed), slips=0.5)
        for check in (
            "compare-columns-at-idle",
            "short-each-plug-at-idle",
            "feel-the-cables",
            "measure-the-compression",
        ):
            found = stand.do(check, None)
            read = {one.reading for one in stand.case.measured if one.reading in base.checks[check].takes}
            by_figures = advisor.chained(
                replace(stand.case, seen=(), measured=tuple(one for one in stand.case.measured if one.reading in read))
            )
            states = {(one.id, one.side): one.state == "seen" for one in by_figures.signs if one.how == MEASURED}
            assert {key: states[key] for key in found.findings if key in states} == {
                key: seen for key, seen in found.findings.items() if key in states
            }
        one_sided = stand.do("test-the-spark", "left").readings
        assert one_sided
        assert not any(taken.at("right") for taken in one_sided.values())


def test_what_was_set_around_a_fault_is_set_anew_once_it_is_gone(advisor: Advisor) -> None:
    for cause in ("intake-joint-leak", "mixture-out", "set-too-cold", "out-of-adjustment"):
        fault: tuple[str, Side, float] = (cause, "left", 0.9)
        hidden = Hidden(tune(plant(Bike(), *fault)), (fault,))
        stand = Stand(advisor, hidden, view(hidden.bike), np.random.default_rng(1))
        before = stand.minutes
        assert stand.put_right(*hidden.causes[0])
        assert stand.view.bike == Bike()
        assert stand.minutes == before + advisor.base.causes[cause].minutes + RETEST + SET_AGAIN
        assert not any(sensed(stand.view, UNASKED).values())


def test_the_virtual_bikes_sheet_is_read_in_the_rules_units(base: Rulebase) -> None:
    assert sheet(base)["idle-speed"] == pytest.approx((1000.0, 1100.0))
    assert set(sheet(base)) <= set(base.figures)


def test_wilsons_interval_against_printed_values() -> None:
    """10 of 20: 0.299 to 0.701; 0 of 10: 0 to 0.278 (Newcombe, Statistics in Medicine 17 (1998), 857; from memory)."""
    assert interval(10, 20) == pytest.approx((0.299, 0.701), abs=0.001)
    assert interval(0, 10) == pytest.approx((0.0, 0.278), abs=0.001)


def test_the_report_says_what_was_found(rows: list[Row]) -> None:
    from rich.console import Console

    screen = Console(width=80, record=True, file=io.StringIO())
    for part in scores(frame(rows), {"driveline-worn": "no wheel"}):
        screen.print(part)
    said = screen.export_text()
    assert "AFTER THE OPENING READINGS" in said
    assert "driveline-worn" in said
    assert max(map(len, said.splitlines())) <= 80
    assert list(frame(rows).columns) == list(Row.__struct_fields__)
    assert isinstance(frame(rows), pd.DataFrame)


def test_accounts_name_what_is_wrong_with_them(base: Rulebase, tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="no resolved case is here"):
        read_accounts(tmp_path, base)
    (tmp_path / "a.yaml").write_text("cause: [plug-deaf]\nconfidence: high\nfirst: {}\nsecond: {}\n")
    (tmp_path / "b.yaml").write_text("cause: [plug-dead]\nfirst: {}\n")
    with pytest.raises(CaseError) as caught:
        read_accounts(tmp_path, base)
    assert "a.yaml:1: no cause is called 'plug-deaf'" in str(caught.value)
    assert "b.yaml" in str(caught.value)


def test_views_are_one_a_bike() -> None:
    assert [one.bike == Bike() for one in views([Bike(), plant(Bike(), "plug-dead", "left", 1.0)])] == [True, False]
    assert views([]) == []


def test_no_stand_without_a_known_check(advisor: Advisor) -> None:
    hidden = Hidden(Bike(), ())
    stand = Stand(advisor, hidden, view(Bike()), np.random.default_rng(1))
    with pytest.raises((AdvisorError, KeyError)):
        stand.do("no-such-check", None)


def test_rows_can_be_kept(rows: list[Row]) -> None:
    assert msgspec.json.decode(msgspec.json.encode(rows), type=list[Row]) == rows


def test_a_new_pair_of_plugs_cures_either_side(advisor: Advisor) -> None:
    def stand(cause: str) -> Stand:
        bike = plant(Bike(), cause, "right", 0.9)
        return Stand(advisor, Hidden(bike, ((cause, "right", 0.9),)), view(bike), np.random.default_rng(1))

    assert stand("plug-dead").put_right("plug-dead", "left")
    assert not stand("cap-or-lead-failing").put_right("cap-or-lead-failing", "left")
    assert stand("cap-or-lead-failing").put_right("cap-or-lead-failing", "right")


def test_what_is_read_is_drawn_and_only_that_can_show_the_fault() -> None:
    bikes = [row for one in map(batch, tasks(24, 5, [RULES], planned=0)) for row in one]
    assert {row.read == len(OPENING) for row in bikes} == {True, False}
    dead = view(plant(Bike(), "plug-dead", "left", 0.9))
    apart = view(plant(Bike(), "cable-slack-unequal", "left", 0.9))
    assert shows(dead, ["drop-idle"])
    assert not shows(apart, ["idle-speed", "drop-idle", "column-idle"])
    assert shows(apart, ["column-off-idle"])
    assert shows(apart) == shows(apart, OPENING)
    assert not shows(apart, ())


@pytest.mark.slow
def test_its_probabilities_can_be_believed() -> None:
    """What is ranked first on 1,500 bikes, each counted as often as its faults are met: nowhere claimed too much.

    Claimed too little is by up to 12 points in a band of this seed, 8 where two seeds are taken together. The number
    of faults believed to be there is held too: it is 1.18 where 1.15 are.
    """
    rows = [row for one in score(tasks(1500, 3, [RULES], planned=0), jobs=2) for row in one]
    said, true, weight = (np.array([getattr(row, name) for row in rows], float) for name in ("said", "true", "weight"))
    for low, high in itertools.pairwise((0.05, 0.1, 0.2, 0.35, 0.5, 0.7, 1.0)):
        band = (said > low) & (said <= high)
        assert band.sum() >= 30
        more = np.average(true[band], weights=weight[band]) - np.average(said[band], weights=weight[band])
        assert -0.06 <= more <= 0.16, (low, high, more)
    assert np.average(true, weights=weight) - np.average(said, weights=weight) == pytest.approx(0.03, abs=0.04)
