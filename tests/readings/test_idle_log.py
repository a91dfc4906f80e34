"""An idle log gives back what was put into it; the robust slope is the library's own."""

from typing import Any

import numpy as np
import pytest
from msgspec.structs import replace
from scipy import stats

from advisor.errors import CaseError
from advisor.intake.logfile import Log
from advisor.readings.idle_log import MOST_STEPS, IdleLog, Slope, Span, _slope, oddities, reduce_idle

RATE = 10.0


def log(  # noqa: PLR0913 - an idle has so many faults
    *,
    drift: float = 0.0,
    hunt: float = 0.0,
    period: float = 3.0,
    step: float = 0.0,
    hang: float = 0.5,
    minutes: float = 10,
    seed: int = 1,
    temperature: bool = False,
) -> Log:
    """Return an idle at 1,000 rpm with what is asked for; three blips near the end, each falling in `hang` seconds."""
    rng = np.random.default_rng(seed)
    time = np.arange(0, minutes * 60, 1 / RATE)
    revs = 1000 + drift * time / 60 + hunt / 2 * np.sin(2 * np.pi * time / period) + rng.normal(0, 12, time.size)
    revs += step * (time > minutes * 40)
    for start in (minutes * 60 - 90, minutes * 60 - 60, minutes * 60 - 30):
        after = time - start
        rise = 2000 * np.clip(after / 0.3, 0, 1) * np.exp(-np.clip(after - 1, 0, None) / (hang / np.log(9)))
        revs += np.where(after >= 0, rise, 0)
    columns = {"time": time, "revs": revs}
    if temperature:
        columns["temperature"] = 20 + 80 * (1 - np.exp(-time / 120))
    return Log(file="idle.csv", columns=columns, repairs=())


def reduced(**kwargs: float) -> IdleLog:
    return reduce_idle(log(**kwargs), "warm")  # type: ignore[arg-type]


def test_a_steady_idle_has_nothing_to_say() -> None:
    found = reduced()
    assert found.warm is not None
    assert found.warm.drift is not None
    assert found.warm.level == pytest.approx(1000, abs=3)
    assert abs(found.warm.drift.value) < 0.5
    assert found.period is None
    assert found.steps == ()
    assert found.cold is None
    assert found.swing < 40


@pytest.mark.parametrize("drift", [-30.0, -12.0, 12.0, 30.0])
def test_drift_comes_back(drift: float) -> None:
    found = reduced(drift=drift)
    assert found.warm is not None
    assert found.warm.drift is not None
    assert found.warm.drift.value == pytest.approx(drift, abs=0.5)
    assert found.warm.drift.low < found.warm.drift.value < found.warm.drift.high


@pytest.mark.parametrize(("hunt", "period"), [(200.0, 3.0), (300.0, 1.5), (150.0, 8.0)])
def test_hunting_comes_back(hunt: float, period: float) -> None:
    found = reduced(hunt=hunt, period=period)
    assert found.period == pytest.approx(period, rel=0.1)
    assert found.swing == pytest.approx(hunt, rel=0.2)
    assert found.steps == ()


@pytest.mark.parametrize("hang", [0.5, 1.5, 4.0])
def test_hanging_comes_back(hang: float) -> None:
    found = reduced(hang=hang)
    assert len(found.hangs) == 3
    assert np.median(found.hangs) == pytest.approx(hang, abs=0.25)


@pytest.mark.parametrize("step", [-200.0, 120.0])
def test_a_step_comes_back_and_is_no_drift(step: float) -> None:
    found = reduced(step=step)
    assert len(found.steps) == 1
    at, size = found.steps[0]
    assert at == pytest.approx(400, abs=6)
    assert size == pytest.approx(step, abs=15)
    assert found.warm is not None
    assert found.warm.drift is not None
    assert abs(found.warm.drift.value) < 1


def test_more_drift_in_more_drift_out() -> None:
    slopes = []
    for drift in (-20.0, -5.0, 5.0, 20.0):
        warm = reduced(drift=drift).warm
        assert warm is not None
        assert warm.drift is not None
        slopes.append(warm.drift.value)
    assert slopes == sorted(slopes)


def test_cold_and_warm_are_kept_apart_by_temperature_or_by_time() -> None:
    by_heat = reduce_idle(log(drift=20, temperature=True))
    assert by_heat.cold is not None
    assert by_heat.warm is not None
    assert by_heat.warm.start == pytest.approx(120 * np.log(1 / 0.15), abs=15)  # 85 % of the rise
    assert by_heat.cold.by_temperature is not None
    assert by_heat.cold.by_temperature.value > 0
    told = reduce_idle(log(temperature=True), warm_at=60.0)
    assert told.warm is not None
    assert told.warm.start == pytest.approx(120 * np.log(2), abs=2)
    by_time = reduce_idle(log(), "cold")
    assert by_time.warm is not None
    assert by_time.warm.start == pytest.approx(300, abs=1)
    never = reduce_idle(log(temperature=True), warm_at=150.0)
    assert never.warm is None


def test_a_gap_is_told_and_spoils_nothing() -> None:
    whole = log(drift=20)
    keep = (whole.columns["time"] < 200) | (whole.columns["time"] > 260)
    found = reduce_idle(Log(file="x", columns={k: c[keep] for k, c in whole.columns.items()}, repairs=()), "warm")
    assert [round(end - start) for start, end in found.gaps] == [60]
    assert found.warm is not None
    assert found.warm.drift is not None
    assert found.warm.drift.value == pytest.approx(20, abs=0.5)


WARM = Span(start=0, end=60, level=1000, level_within=5, drift=Slope(0, -1, 1), by_temperature=None)
STEADY = IdleLog(
    rows=9,
    rate=10.0,
    stands=False,
    warm=WARM,
    cold=None,
    swing=20.0,
    period=None,
    hangs=(0.5, 0.6),
    steps=(),
    gaps=(),
)


def _steps(count: int) -> tuple[tuple[float, float], ...]:
    return tuple((float(at), 100.0) for at in range(count))


@pytest.mark.parametrize(
    ("changes", "odd"),
    [
        ({}, ()),
        ({"warm": None}, ()),
        ({"warm": replace(WARM, drift=None)}, ()),
        ({"warm": replace(WARM, drift=Slope(3, 0.1, 5))}, ("climbs",)),
        ({"warm": replace(WARM, drift=Slope(3, 0.0, 5))}, ()),
        ({"warm": replace(WARM, drift=Slope(-3, -5, -0.1))}, ("drops",)),
        ({"period": 4.0}, ("hunts",)),
        ({"steps": _steps(1)}, ("jumped",)),
        ({"steps": _steps(MOST_STEPS)}, ("jumped",)),
        ({"steps": _steps(MOST_STEPS + 1)}, ("in steps",)),
        ({"steps": _steps(MOST_STEPS + 1), "period": 4.0}, ("hunts",)),
        ({"steps": _steps(1), "period": 4.0}, ("hunts", "jumped")),
        ({"hangs": (0.5, 3.0)}, ("hangs",)),
        ({"hangs": (0.5, 0.5, 3.0)}, ()),
        ({"hangs": (1.5, 1.5)}, ()),
        ({"hangs": ()}, ()),
    ],
)
def test_what_an_idle_does_that_it_should_not(changes: dict[str, Any], odd: tuple[str, ...]) -> None:
    assert oddities(replace(STEADY, **changes), hang_most=1.5) == odd


@pytest.mark.parametrize("rows", [0, 1, 2, 200])
def test_too_short_a_log_is_refused(rows: int) -> None:
    whole = log()
    with pytest.raises(CaseError, match="too short"):
        reduce_idle(Log(file="x", columns={k: c[:rows] for k, c in whole.columns.items()}, repairs=()))


def test_the_robust_slope_is_theil_and_sens() -> None:
    """Sen's own example and the library's: scipy.stats.theilslopes, checked against the median of all pairwise slopes.

    Sen, Journal of the American Statistical Association 63 (1968), 1379: the slope is that median.
    """
    rng = np.random.default_rng(7)
    x = np.sort(rng.uniform(0, 10, 40))
    y = 3 * x + rng.standard_t(2, 40)
    pairs = [(y[j] - y[i]) / (x[j] - x[i]) for i in range(40) for j in range(i + 1, 40)]
    found = _slope(y, x)
    assert found is not None
    assert found.value == pytest.approx(float(np.median(pairs)))
    assert (found.low, found.high) == pytest.approx(tuple(stats.theilslopes(y, x, 0.95)[2:]))


def test_the_robust_slope_against_a_certified_data_set() -> None:
    """NIST Statistical Reference Datasets, linear regression, 'Norris' (lower level): certified slope 1.00211681802045.

    A robust slope of data without outliers lies beside the certified least-squares one (the set's first
    twelve rows, from memory, which lie on the same line).
    """
    x = np.array([0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4])
    y = np.array([0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3])
    found = _slope(y, x)
    assert found is not None
    assert found.value == pytest.approx(1.00211681802045, abs=0.003)
    assert found.low < 1.00211681802045 < found.high
