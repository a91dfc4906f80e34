"""A screw goes as far as its thread, and its play is lost whenever it is turned the other way."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.sides import BOTH, Side
from advisor.virtual_bike import operate
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.thread import SCREWS, turned

TURNS = st.lists(st.floats(-3.0, 3.0), min_size=1, max_size=12)
KIND, SIDE = st.sampled_from(sorted(SCREWS)), st.sampled_from(BOTH)


def test_a_turn_in_does_what_the_trade_says() -> None:
    """In opens the butterfly, leans the mixture, gives the cable slack; 3 degrees and 1 mm a turn: from memory."""
    bike, full = Bike(), {name: screw.backlash for name, screw in SCREWS.items()}
    assert turned(bike, "left", SCREWS["idle stop"], 0.5, full["idle stop"]).bike == operate.turn_stop(
        bike, "left", 1.5
    )
    assert turned(bike, "left", SCREWS["mixture screw"], 0.5, full["mixture screw"]).bike.left.screw_turns == 0.5
    slack = turned(bike, "right", SCREWS["cable adjuster"], 0.5, full["cable adjuster"]).bike.right.adjuster_mm
    assert slack == pytest.approx(bike.right.adjuster_mm + 0.5)


def test_the_mixture_screw_has_the_least_play() -> None:
    """Its spring holds it: common practice, no source. None is more than a twentieth of a turn."""
    assert 0 < SCREWS["mixture screw"].backlash < SCREWS["idle stop"].backlash <= 0.05


@settings(max_examples=200, deadline=None)
@given(KIND, SIDE, TURNS)
def test_the_screw_is_never_further_from_its_head_than_its_play(kind: str, side: Side, by: list[float]) -> None:
    screw, bike, head = SCREWS[kind], Bike(), 0.0
    play = screw.backlash
    start = screw.stands(bike.side(side))
    for turns in by:
        went = turned(bike, side, screw, turns, play)
        assert abs(went.turns) <= abs(turns) + 1e-9
        assert went.turns * turns >= -1e-9
        bike, play, head = went.bike, went.play, head + went.turns
        lost = head - (screw.stands(bike.side(side)) - start)
        assert lost == pytest.approx(play - screw.backlash, abs=1e-7)
        assert -1e-9 <= play <= screw.backlash + 1e-9


@settings(max_examples=100, deadline=None)
@given(KIND, SIDE, st.floats(0.1, 0.6))
def test_there_and_back_loses_the_play_once(kind: str, side: Side, turns: float) -> None:
    screw, bike = SCREWS[kind], Bike()
    inward = turned(bike, side, screw, turns, screw.backlash)
    assert screw.stands(inward.bike.side(side)) == pytest.approx(screw.stands(bike.side(side)) + turns)
    back = turned(inward.bike, side, screw, -turns, inward.play)
    off = screw.stands(back.bike.side(side)) - screw.stands(bike.side(side))
    assert off == pytest.approx(screw.backlash)
    again = turned(back.bike, side, screw, turns, back.play)
    assert screw.stands(again.bike.side(side)) == pytest.approx(screw.stands(inward.bike.side(side)))


@pytest.mark.parametrize("kind", SCREWS)
@pytest.mark.parametrize("way", [1.0, -1.0])
def test_the_head_stops_where_the_thread_ends(kind: str, way: float) -> None:
    screw = SCREWS[kind]
    first = turned(Bike(), "left", screw, way * 50, screw.backlash)
    assert 0 < way * first.turns < 50
    more = turned(first.bike, "left", screw, way * 50, first.play)
    assert more.turns == pytest.approx(0.0, abs=1e-9)
    assert more.bike == first.bike
    free = turned(first.bike, "left", screw, -way * screw.backlash / 2, first.play)
    assert free.bike == first.bike


def test_a_seated_mixture_screw_is_at_nought() -> None:
    screw = SCREWS["mixture screw"]
    seated = turned(Bike(), "left", screw, 10.0, screw.backlash)
    assert seated.bike.left.screw_turns == 0
    assert seated.turns == pytest.approx(1.0)
