"""The one game: when it ends, when something is put right, and that every policy plays the virtual bike too."""

import numpy as np
import pytest

from advisor.diagnose import Advisor
from advisor.observer.bike_view import view
from advisor.plan.candidates import Scene
from advisor.plan.cost import RETEST, Opened
from advisor.rank.ranking import Ranking
from advisor.rulebase import Rulebase
from advisor.scoring.game import Answers, Choice, Move, play
from advisor.scoring.hidden_bikes import Hidden, planted
from advisor.scoring.policies import POLICIES
from advisor.scoring.stand import OPENING, Stand
from advisor.sides import BOTH, Side, Sided
from advisor.virtual_bike.serviced import serviced
from tests.scoring.bikes import stand_with

PLUG: Sided = ("plug-dead", "left")
LOOK = 7.0  # minutes of any check here
SLACK_MM = (0.28, 0.9)  # between the cables, from what just shows to what a finger feels
WITHIN_MIN, CURED, BIKES, SEEDS = 60.0, 0.9, 40, (1, 2, 3)


class _Scripted(Answers):
    """Confirms one fault, takes the same minutes for every look, and is over once that fault is put right."""

    def __init__(self, base: Rulebase, fault: Sided = PLUG) -> None:
        super().__init__(base)
        self.fault, self.fixed, self.asked = fault, False, 0

    @property
    def over(self) -> bool:
        return self.fixed

    @property
    def opened(self) -> Opened:
        return ()

    def known(self) -> tuple[Ranking, Scene]:
        pytest.fail("the policies of these tests know what they want")

    def done_with(self) -> set[Sided]:
        return set()

    def do(self, check: str, side: Side) -> str:  # noqa: ARG002 - every check is alike here
        self.asked += 1
        self.minutes += LOOK
        return "it answers"

    def settle(self, cause: str, side: Side, *, seen: bool = False) -> bool:  # noqa: ARG002 - it always looks
        self.minutes += LOOK
        return (cause, side) == self.fault

    def repair(self, cause: str, side: Side) -> bool:
        self._spend_on_repair(cause)
        self.fixed = (cause, side) == self.fault
        return self.fixed


class _OneLook(_Scripted):
    one_look = True


def test_what_is_proven_is_looked_at_and_put_right(base: Rulebase) -> None:
    moves = play(_Scripted(base), lambda _: Choice(goes_for=PLUG, proven=True))
    repair = base.causes["plug-dead"].minutes + RETEST
    assert moves == (Move("settle", *PLUG, True, LOOK), Move("fix", *PLUG, True, repair))


def test_one_look_is_enough_only_where_the_answers_say_so(base: Rulebase) -> None:
    def choose(_: Answers) -> Choice:
        return Choice(goes_for=PLUG)

    assert [one.kind for one in play(_OneLook(base), choose)] == ["settle", "fix"]
    assert {one.kind for one in play(_Scripted(base), choose, most_moves=4)} == {"settle"}


def test_what_is_not_confirmed_is_not_put_right(base: Rulebase) -> None:
    game = _OneLook(base, fault=("plug-dead", "right"))
    moves = play(game, lambda _: Choice(goes_for=PLUG, proven=True), most_moves=3)
    assert [(one.kind, one.right) for one in moves] == [("settle", False)] * 3
    assert not game.over


def test_it_ends_when_the_policy_gives_up(base: Rulebase) -> None:
    game = _Scripted(base)
    moves = play(game, lambda now: Choice(check=("seal-the-joint", "left")) if now.minutes < 20 else None)
    assert moves == (Move("check", "seal-the-joint", "left", False, LOOK),) * 3
    assert game.asked == 3


def test_it_ends_after_the_minutes_or_the_moves_that_are_allowed(base: Rulebase) -> None:
    def choose(_: Answers) -> Choice:
        return Choice(check=("seal-the-joint", "left"))

    assert len(play(_Scripted(base), choose, most_minutes=2 * LOOK)) == 2
    assert len(play(_Scripted(base), choose, most_minutes=2 * LOOK + 0.1)) == 3
    assert len(play(_Scripted(base), choose, most_moves=5)) == 5


def test_what_is_over_is_not_played(base: Rulebase) -> None:
    game = _Scripted(base)
    game.fixed = True
    assert play(game, lambda _: Choice(goes_for=PLUG)) == ()


def test_the_minutes_of_the_moves_are_those_of_the_game(advisor: Advisor) -> None:
    at = stand_with(advisor, ("intake-joint-leak", "left", 0.9))
    at.complain()
    at.measure(dict.fromkeys(OPENING, 1.0))
    moves = play(at)
    assert [(one.name, one.side) for one in moves if one.kind == "fix"] == [("intake-joint-leak", "left")]
    assert at.over
    assert at.view.bike.left.joint_leak_mm2 == 0.0
    assert sum(one.minutes for one in moves) == pytest.approx(at.minutes)
    assert at.minutes >= advisor.base.causes["intake-joint-leak"].minutes + RETEST


@pytest.mark.parametrize("name", sorted(set(POLICIES) - {"ours"}))
def test_simple_orders_play_the_virtual_bike_too(advisor: Advisor, name: str) -> None:
    at = stand_with(advisor, ("plug-dead", "left", 0.9))
    at.complain()
    moves = play(at, POLICIES[name], most_minutes=5000.0, most_moves=400)
    assert at.over, name
    assert moves[-1].kind == "fix"
    assert moves[-1].right


def test_the_planner_puts_right_only_what_a_look_has_just_confirmed(advisor: Advisor) -> None:
    at = stand_with(advisor, ("intake-joint-leak", "left", 0.9), ("plug-dead", "right", 0.9))
    at.complain()
    moves = play(at)
    fixes = [number for number, one in enumerate(moves) if one.kind == "fix"]
    assert at.over
    assert len(fixes) == 2
    for number in fixes:
        look = moves[number - 1]
        assert (look.kind, look.name, look.side, look.right) == ("settle", moves[number].name, moves[number].side, True)


def _misset(cause: str, seed: int, number: int) -> tuple[Hidden, np.random.Generator]:
    """Return a bike that is sound but for a setting, and the generator of what follows."""
    drawn = np.random.default_rng((seed, number))
    healthy = serviced([drawn.spawn(1)[0]])[0]
    side: Side = BOTH[int(drawn.integers(2))]
    if cause != "cable-slack-unequal":
        return planted([(cause, side, round(float(drawn.uniform(0.35, 1.0)), 3))], healthy), drawn
    slack = float(drawn.uniform(*SLACK_MM))
    full = (healthy.left.adjuster_mm if side == "left" else healthy.right.adjuster_mm) - slack
    hidden = planted([(cause, side, 1.0)], healthy)
    return Hidden(hidden.bike.change(side, adjuster_mm=full), hidden.faults, healthy), drawn


def _cured(advisor: Advisor, cause: str, seed: int, number: int) -> bool:
    """Whether the planner cures this bike in time, all opening readings taken."""
    hidden, drawn = _misset(cause, seed, number)
    at = Stand(advisor, hidden, view(hidden.bike), drawn)
    at.complain()
    at.measure(dict.fromkeys(OPENING, 1.0))
    play(at, most_minutes=WITHIN_MIN)
    return not at.left and at.minutes <= WITHIN_MIN


@pytest.mark.slow
@pytest.mark.parametrize("cause", ["cable-slack-unequal", "out-of-adjustment"])
def test_what_is_only_misset_is_cured_within_the_hour(cause: str, advisor: Advisor) -> None:
    cured = [_cured(advisor, cause, seed, number) for seed in SEEDS for number in range(BIKES)]
    assert np.mean(cured) >= CURED, (sum(cured), len(cured))
