"""A recorded shake by its orders: what was put in comes back."""

import numpy as np
import pytest
from scipy import signal

from advisor.errors import CaseError
from advisor.intake.logfile import Log
from advisor.readings.orders import Shake
from advisor.readings.orders import reduce_shake as reduced_by
from advisor.rulebase.table_records import ShakeOrder

WHEEL = "rear wheel"
ENGINE_ORDERS = {"half order": 0.5, "first order": 1.0, "second order": 2.0}
KNOWN = {
    name: ShakeOrder(id=name, file="", line=0, called=name, turns=turns, shows="", do="")
    for name, turns in {WHEEL: None, **ENGINE_ORDERS}.items()
}


def reduce_shake(log: Log, revs: float | None = None, ratio: float | None = None) -> Shake:
    return reduced_by(log, KNOWN, revs, ratio)


def shaken(amplitudes: dict[float, float], revs: float = 3500.0, seconds: float = 20, *, sweep: float = 0.0) -> Log:
    """Return a shake with sines at these orders; `sweep` makes the engine's speed wander by this share."""
    rng = np.random.default_rng(3)
    time = np.arange(0, seconds, 1 / 800)
    speed = revs * (1 + sweep * np.sin(2 * np.pi * time / seconds))
    turns = np.concatenate([[0], np.cumsum((speed[1:] + speed[:-1]) / 120 / 800)])
    shake = sum(
        (a * np.sin(2 * np.pi * order * turns) for order, a in amplitudes.items()), rng.normal(0, 0.2, time.size)
    )
    return Log(file="shake.csv", columns={"time": time, "acceleration": shake, "revs": speed}, repairs=())


@pytest.mark.parametrize("order", [0.5, 1.0, 2.0])
@pytest.mark.parametrize("sweep", [0.0, 0.15])
def test_orders_come_back_even_from_a_wandering_engine(order: float, sweep: float) -> None:
    found = reduce_shake(shaken({order: 3.0}, sweep=sweep), ratio=5.0)
    name = next(name for name, one in ENGINE_ORDERS.items() if one == order)
    assert found.owner == name
    assert found.orders[0].amplitude == pytest.approx(3.0, rel=0.1)
    assert found.revs == pytest.approx(3500, rel=0.01)
    assert found.whole == pytest.approx(3 / 2**0.5, rel=0.08)  # of a sine: its amplitude over root 2
    amplitudes = [one.amplitude for one in found.orders]
    assert amplitudes == sorted(amplitudes, reverse=True)
    assert amplitudes[1] < 0.5


def test_the_wheel_is_told_from_the_engine() -> None:
    found = reduce_shake(shaken({1 / 5.0: 4.0, 1.0: 1.0}), ratio=5.0)
    assert found.owner == WHEEL
    assert found.orders[0].rate == pytest.approx(3500 / 60 / 5, rel=1e-6)


def test_the_wheel_is_told_from_the_half_order_next_to_it() -> None:
    """At 2.2 turns of the engine for one of the wheel they lie 0.045 apart; a window of 128 turns parts 0.016."""
    found = {one.name: one for one in reduce_shake(shaken({1 / 2.2: 4.0}), ratio=2.2).orders}
    assert found[WHEEL].amplitude == pytest.approx(4.0, rel=0.1)
    assert max(one.amplitude for name, one in found.items() if name != WHEEL) < 0.4


def test_even_firing_of_the_twin() -> None:
    """Arithmetic: an evenly firing four-stroke twin fires rpm / 60 times a second, each side rpm / 120."""
    found = reduce_shake(shaken({1.0: 3.0, 0.5: 1.0}, revs=3600))
    rates = {one.order: one.rate for one in found.orders}
    assert rates[1.0] == pytest.approx(60.0)
    assert rates[0.5] == pytest.approx(30.0)


def test_two_alike_are_not_called() -> None:
    """Twice as strong as the next: judgement, written here once more."""
    assert reduce_shake(shaken({0.5: 2.0, 1.0: 2.2})).owner == ""
    assert reduce_shake(shaken({0.5: 2.0, 1.0: 3.8})).owner == ""
    assert reduce_shake(shaken({0.5: 2.0, 1.0: 4.2})).owner == "first order"


def test_a_steady_shift_is_no_shake() -> None:
    """A sensor that hangs askew shows a part of gravity all the time."""
    plain = shaken({1.0: 3.0})
    askew = Log(file="x", columns=plain.columns | {"acceleration": plain.columns["acceleration"] + 9.81}, repairs=())
    one, two = reduce_shake(plain, ratio=5.0), reduce_shake(askew, ratio=5.0)
    assert two.whole == pytest.approx(one.whole)
    assert [order.amplitude for order in two.orders] == pytest.approx([order.amplitude for order in one.orders])


@pytest.mark.parametrize("revs", [2500.0, 6000.0])
def test_a_steady_speed_told_stands_in_for_that_of_the_log(revs: float) -> None:
    log = shaken({1.0: 3.0}, revs=revs)
    without = Log(file="x", columns={name: log.columns[name] for name in ("time", "acceleration")}, repairs=())
    one, two = reduce_shake(log), reduce_shake(without, revs=revs)
    assert two.revs == pytest.approx(revs)
    assert two.owner == one.owner
    assert two.orders[0].rate == pytest.approx(revs / 60)
    assert two.orders[0].amplitude == pytest.approx(one.orders[0].amplitude)
    assert reduce_shake(log, revs=99.0) == one  # what the log says goes before


def test_without_a_ratio_the_wheel_is_not_looked_at() -> None:
    log = shaken({1.0: 3.0})
    assert [one.name for one in reduce_shake(log).orders if one.name == WHEEL] == []
    wheel = {one.name: one for one in reduce_shake(log, ratio=4.0).orders}[WHEEL]
    assert wheel.order == 0.25
    assert wheel.rate == pytest.approx(3500 / 60 / 4, rel=1e-6)


def _turns(seconds: float, rows: int) -> Log:
    time = np.linspace(0, seconds, rows)
    return Log(file="ours.csv", columns={"time": time, "acceleration": np.sin(time)}, repairs=())


def test_the_least_that_tells_an_order() -> None:
    """64 turns of the engine, and five rows a turn: four for the second order, and a little more."""
    assert reduce_shake(_turns(1.3, 400), revs=3000).revs == pytest.approx(3000)
    with pytest.raises(CaseError) as caught:
        reduce_shake(_turns(1.26, 400), revs=3000)
    (problem,) = caught.value.problems
    assert (problem.file, problem.line) == ("ours.csv", 0)
    assert problem.text == "covers 63 turns of the engine; 64 or more are needed"
    assert reduce_shake(_turns(1.3, 326), revs=3000).revs == pytest.approx(3000)
    with pytest.raises(CaseError) as caught:
        reduce_shake(_turns(1.3, 324), revs=3000)
    assert caught.value.problems[0].text == "has 5.0 rows a turn of the engine; 5 or more are needed"
    with pytest.raises(CaseError) as caught:
        reduce_shake(_turns(10, 1), revs=3000)
    assert caught.value.problems[0].text == "holds 1 row; a shake needs some seconds"
    with pytest.raises(CaseError) as caught:
        reduce_shake(_turns(10, 400))
    wanted = "has no engine speed; add a column 'revs rpm', or say gear and speed, or the revs"
    assert caught.value.problems[0].text == wanted


def test_a_spectrum_keeps_the_mean_square() -> None:
    """As the library documents scipy.signal.welch: with scaling 'spectrum' the peak of a sine is its mean square."""
    time = np.arange(100_000) / 10_000
    _, power = signal.welch(2 * np.sin(2 * np.pi * 1250 * time), 10_000, nperseg=1024, scaling="spectrum")
    assert power.max() == pytest.approx(2.0, rel=0.01)


@pytest.mark.parametrize(
    ("log", "says"),
    [
        (shaken({1.0: 1.0}, seconds=0.5), "turns of the engine"),
        (
            Log(file="x", columns={"time": np.arange(100) / 50, "acceleration": np.zeros(100)}, repairs=()),
            "no engine speed",
        ),
        (
            Log(
                file="x",
                columns={"time": np.array([0.0]), "acceleration": np.array([0.0]), "revs": np.array([3000.0])},
                repairs=(),
            ),
            "1 row",
        ),
    ],
)
def test_what_cannot_be_told_is_refused(log: Log, says: str) -> None:
    with pytest.raises(CaseError, match=says):
        reduce_shake(log)


def test_too_coarse_a_log_is_refused() -> None:
    time = np.arange(0, 60, 0.02)
    log = Log(file="x", columns={"time": time, "acceleration": np.zeros(time.size)}, repairs=())
    with pytest.raises(CaseError, match="rows a turn"):
        reduce_shake(log, revs=3000)


def paused(log: Log, *cuts: tuple[float, float], later: float) -> Log:
    """Return a shake without the rows between the `cuts` (s); what follows each is `later`."""
    time = log.columns["time"]
    keep, moved = np.ones(time.size, bool), np.zeros(time.size)
    for start, end in cuts:
        keep &= (time < start) | (time >= end)
        moved += later * (time >= end)
    columns = log.columns | {"time": time + moved}
    return Log(file="ours.csv", columns={name: one[keep] for name, one in columns.items()}, repairs=())


@pytest.mark.parametrize("later", [0.0, 5.0, 1e7])
@pytest.mark.parametrize("order", [0.2, 0.5, 1.0])
def test_a_pause_takes_nothing_off_a_shake(order: float, later: float) -> None:
    """The rows before and after it are worked out apart; nothing is drawn across."""
    whole = shaken({order: 3.0})
    found = reduce_shake(paused(whole, (5.0, 7.0), (15.0, 18.0), later=later), ratio=5.0)
    before = reduce_shake(whole, ratio=5.0)
    assert found.owner == before.owner
    assert found.orders[0].amplitude == pytest.approx(before.orders[0].amplitude, rel=0.03)
    assert found.whole == pytest.approx(before.whole, rel=0.03)
    assert found.revs == pytest.approx(before.revs, rel=0.01)


def test_a_stray_row_changes_nothing_of_a_shake() -> None:
    whole = shaken({1.0: 3.0})
    stray = {"time": 9_000.0, "acceleration": 900.0, "revs": 0.0}
    columns = {name: np.append(one, stray[name]) for name, one in whole.columns.items()}
    assert reduce_shake(Log(file="x", columns=columns, repairs=())) == reduce_shake(whole)


def test_pieces_too_short_to_tell_an_order_are_refused() -> None:
    log = paused(shaken({1.0: 3.0}, seconds=3.0), (1.0, 1.1), (2.0, 2.1), later=0.0)
    with pytest.raises(CaseError) as caught:
        reduce_shake(log)
    assert caught.value.problems[0].text == (
        "pauses; its longest piece covers 58 turns of the engine; 64 or more are needed"
    )
    shorter = paused(shaken({1.0: 3.0}, seconds=3.0), (1.5, 1.6), later=0.0)  # 87 turns: the longest one alone
    assert reduce_shake(shorter).owner == "first order"
