"""Scoring: the same seed gives the same rows, the figures are what they say, and accounts are read with care."""

import io
import itertools
import math

import msgspec
import numpy as np
import pandas as pd
import pytest

from advisor.observer.bike_view import view
from advisor.observer.severity import shows
from advisor.places import shipped
from advisor.scoring.rows import Row
from advisor.scoring.score import Task, batch, score, tasks
from advisor.scoring.stand import OPENING
from advisor.show.score import frame, scores
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.faults import CAUSES, plant

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


def test_rows_can_be_kept(rows: list[Row]) -> None:
    assert msgspec.json.decode(msgspec.json.encode(rows), type=list[Row]) == rows


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
