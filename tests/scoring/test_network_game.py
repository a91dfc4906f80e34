"""A bike of the rule base's own network as a game: whoever looks finds it, and a repair opens what it had shown."""

import random

import pytest

from advisor.plan.cost import RETEST
from advisor.rank.network import Network, build
from advisor.rulebase import Rulebase
from advisor.scoring.network_bikes import OF_ITSELF, NetworkBike, draw
from advisor.scoring.network_game import NetworkGame, floor, played
from advisor.scoring.policies import POLICIES
from advisor.sides import Sided

PLUG: Sided = ("plug-dead", "left")
SHOWS = 0.5  # strength from which the planted fault shows a sign
DROPS: Sided = ("drop-small-idle", "left")
WETTED: Sided = ("joint-wetting-moves-idle", "left")


@pytest.fixture
def network(base: Rulebase) -> Network:
    return build(base)


def _game(base: Rulebase, network: Network, of_itself: frozenset[Sided] = frozenset()) -> NetworkGame:
    """Return the game of a bike with a dead plug that shows all it nearly always shows, and some signs of itself."""
    fault = network.causes.index(PLUG)
    shown = {
        key: frozenset({fault} if one.strengths.get(fault, 0.0) >= SHOWS else set())
        | frozenset({OF_ITSELF} if key in of_itself else set())
        for key, one in network.signs.items()
    }
    past = frozenset(sign.id for sign in base.signs.values() if sign.past)
    bike = NetworkBike(frozenset({fault}), shown, network.kinds, past)
    return NetworkGame(base, network, bike, random.Random(1))


def test_the_same_seed_plays_the_same_game(base: Rulebase, network: Network) -> None:
    bike = draw(base, network, random.Random(3))
    assert played(POLICIES["ours"], base, network, bike, 4) == played(POLICIES["ours"], base, network, bike, 4)


def test_whoever_looks_finds_what_is_there_and_nothing_else(base: Rulebase, network: Network) -> None:
    game = _game(base, network)
    assert not game.settle("intake-joint-leak", "left")
    assert not game.settle("plug-dead", "right")
    assert game.settle(*PLUG)
    assert set(game.done_with()) == {("intake-joint-leak", "left"), ("plug-dead", "right"), PLUG}


def test_what_a_check_has_shown_is_not_looked_at_again(base: Rulebase, network: Network) -> None:
    game = _game(base, network)
    assert game.settle(*PLUG)
    clock = game.minutes
    assert clock > 0
    assert game.settle(*PLUG, seen=True)
    assert game.minutes == clock


def test_a_repair_costs_its_minutes_and_shuts_what_was_open(base: Rulebase, network: Network) -> None:
    game = _game(base, network)
    game.do("compare-columns-at-idle", None)
    assert set(game.opened) == {("gauge-on", None)}
    clock = game.minutes
    assert game.repair(*PLUG)
    assert game.minutes == clock + base.causes["plug-dead"].minutes + RETEST
    assert not game.opened
    assert game.over


def test_a_repair_opens_what_the_fault_had_shown_but_not_what_the_rider_told(base: Rulebase, network: Network) -> None:
    game = _game(base, network, frozenset({("idle-too-low", None)}))
    assert len(game.told) == 3
    assert all(game.findings[key] for key in game.told)
    game.findings |= {DROPS: True, WETTED: True}
    game.told = [("side-dead", "left"), ("idle-too-low", None)]
    game.findings |= dict.fromkeys(game.told, True)
    game.repair(*PLUG)
    assert DROPS not in game.findings
    assert game.findings["side-dead", "left"] is False  # the trial run says that it is gone
    assert game.findings["idle-too-low", None] is True  # that is there without the fault too
    assert game.findings[WETTED] is True  # no sign of that fault


def test_a_check_tells_the_signs_as_they_are(base: Rulebase, network: Network) -> None:
    game = _game(base, network)
    game.do("short-each-plug-at-idle", None)
    assert game.findings[DROPS]
    assert all(game.findings[key] == game.signs[key] for key in game.findings)
    assert game.minutes == base.checks["short-each-plug-at-idle"].minutes


def test_perfect_information_is_one_look_one_repair_and_one_ride(base: Rulebase, network: Network) -> None:
    page = base.causes["plug-dead"]
    assert floor(base, network, _game(base, network).bike) == (
        base.checks[page.settled_by].minutes + page.minutes + RETEST
    )
