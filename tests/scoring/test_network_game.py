"""The choice of checks against simpler orders, on bikes drawn from the rule base (scored with -m slow)."""

import random

from advisor.rank.network import build
from advisor.rulebase import Rulebase
from advisor.scoring.network_bikes import draw
from advisor.scoring.network_game import NetworkGame, played
from advisor.scoring.policies import POLICIES


def test_the_same_seed_plays_the_same_game(base: Rulebase) -> None:
    network = build(base)
    bench = draw(base, network, random.Random(3))
    assert played(POLICIES["ours"], base, network, bench, 4) == played(POLICIES["ours"], base, network, bench, 4)


def test_a_repair_opens_what_the_fault_had_shown(base: Rulebase) -> None:
    network = build(base)
    bench = draw(base, network, random.Random(5))
    game = NetworkGame(base, network, bench, random.Random(5))
    fault = next(iter(bench.faults))
    game.findings = {key: seen for key, seen in game.signs.items() if fault in network.signs[key].strengths}
    assert game.settle(*network.causes[fault])
    assert game.repair(*network.causes[fault])
    assert fault not in game.left
    for (sign, side), seen in game.findings.items():
        assert not seen or base.signs[sign].past or ((sign, side) in game.told and game.signs[sign, side])
