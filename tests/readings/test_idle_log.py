"""An idle log gives back what was put into it; the robust slope is the library's own."""

import tracemalloc
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
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


def steps_of(found: IdleLog) -> tuple[tuple[float, float], ...]:
    assert found.steps is not None
    return found.steps


def test_a_steady_idle_has_nothing_to_say() -> None:
    found = reduced()
    assert found.warm is not None
    assert found.warm.drift is not None
    assert found.warm.level == pytest.approx(1000, abs=3)
    assert abs(found.warm.drift.value) < 0.5
    assert found.period is None
    assert found.steps == ()
    assert found.cold is None
    assert found.swing is not None
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
    ((at, size),) = steps_of(found)
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
    longest=60.0,
    moved=(),
    cut=0,
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
        ({"warm": replace(WARM, drift=Slope(-3, -5, 0.0))}, ()),
        ({"warm": replace(WARM, drift=Slope(-3, -5, 0.5))}, ()),
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


def test_a_log_in_a_case_becomes_readings(tmp_path: Path) -> None:
    from advisor.case import LogFile
    from advisor.readings.logs import readings_of

    one = log(drift=20, hang=3)
    rows = zip(one.columns["time"], one.columns["revs"], strict=True)
    path = tmp_path / "idle.csv"
    path.write_text("time s,revs rpm\n" + "".join(f"{t:.1f},{n:.0f}\n" for t, n in rows), encoding="utf-8")
    found = {m.reading: m for m in readings_of(LogFile(kind="idle", path=str(path), starts="warm", how="measured"))}
    assert set(found) == {"idle-speed", "idle-drift", "idle-swing", "idle-step", "hang-time"}
    assert found["idle-drift"].values[0] == pytest.approx(20, abs=0.5)
    assert len(found["hang-time"].values) == 3


# Logs drawn without noise: what was put in comes back to the last digit.


def drawn(seconds: float, revs: Any, *, rate: float = 10.0, temperature: Any = None) -> Log:
    """Return a log of a curve; `revs` and `temperature` are functions of the time in s."""
    time = np.arange(0, seconds, 1 / rate)
    columns = {"time": time, "revs": np.asarray(revs(time), dtype=float) + np.zeros(time.size)}
    if temperature is not None:
        columns["temperature"] = np.asarray(temperature(time), dtype=float) + np.zeros(time.size)
    return Log(file="drawn.csv", columns=columns, repairs=())


def flat(_: Any) -> float:
    return 1000.0


def warm_of(found: IdleLog) -> Span:
    assert found.warm is not None
    return found.warm


def test_a_flat_line_is_its_own_level() -> None:
    found = reduce_idle(drawn(120, flat), "warm")
    warm = warm_of(found)
    assert (warm.level, warm.level_within, warm.start) == (1000.0, 0.0, 0.0)
    assert warm.end == pytest.approx(119.9)
    assert warm.drift == Slope(0.0, 0.0, 0.0)
    assert (found.swing, found.period, found.steps, found.hangs, found.gaps, found.cold) == (
        0.0,
        None,
        (),
        (),
        (),
        None,
    )
    assert (found.rows, found.stands) == (1200, False)
    assert found.rate == pytest.approx(10.0)


@pytest.mark.parametrize("slope", [-60.0, 6.0, 60.0])
def test_a_straight_line_drifts_by_its_slope(slope: float) -> None:
    found = reduce_idle(drawn(120, lambda time: 1000 + slope * time / 60), "warm")
    drift = warm_of(found).drift
    assert drift is not None
    assert drift.value == pytest.approx(slope, rel=1e-6)
    assert (drift.low, drift.high) == pytest.approx((slope, slope), rel=1e-6)
    assert warm_of(found).level == pytest.approx(1000 + slope * 119.9 / 120, rel=1e-6)
    assert found.steps == ()


@pytest.mark.parametrize("seconds", [29.9, 30.2])
def test_half_a_minute_is_the_least_that_says_anything(seconds: float) -> None:
    """Thirty seconds: judgement, written here once more."""
    log_ = drawn(seconds, flat)
    if seconds > 30:
        assert warm_of(reduce_idle(log_, "warm")).level == 1000.0
        return
    with pytest.raises(CaseError) as caught:
        reduce_idle(log_, "warm")
    (problem,) = caught.value.problems
    assert (problem.file, problem.line) == ("drawn.csv", 0)
    assert problem.text == "is too short (30 s); an idle log needs 30 s or more"


def test_an_empty_log_says_its_rows() -> None:
    with pytest.raises(CaseError) as caught:
        reduce_idle(Log(file="x", columns={"time": np.array([5.0]), "revs": np.array([1000.0])}, repairs=()))
    assert caught.value.problems[0].text == "is too short (1 row); an idle log needs 30 s or more"


@pytest.mark.parametrize(("rate", "kept"), [(10.0, 10.0), (39.0, 39.0), (40.0, 20.0), (100.0, 20.0), (400.0, 20.0)])
def test_a_log_quicker_than_any_idle_is_thinned_to_means(rate: float, kept: float) -> None:
    """A twentieth of a second: nothing that an idle does is quicker."""
    found = reduce_idle(drawn(60, flat, rate=rate), "warm")
    assert found.rate == pytest.approx(kept, rel=1e-6)
    assert found.rows == round(60 * rate)
    buzz = reduce_idle(
        drawn(60, lambda time: 1000 + 20 * np.sign(np.sin(2 * np.pi * 100 * time + 0.5)), rate=400.0), "warm"
    )
    assert warm_of(buzz).level == pytest.approx(1000.0)
    assert buzz.swing == pytest.approx(0.0, abs=1e-6)


def test_a_thinned_temperature_keeps_beside_the_revs() -> None:
    found = reduce_idle(drawn(400, flat, rate=100.0, temperature=lambda time: np.minimum(20 + 0.4 * time, 100)))
    assert warm_of(found).start == pytest.approx((0.85 * 80) / 0.4, abs=3)


def test_warm_is_from_most_of_the_rise_on() -> None:
    """85 hundredths of it: judgement, written here once more. From 20 to 100 degrees that is 88."""
    rising = drawn(600, flat, temperature=lambda time: np.clip(20 + 0.4 * (time - 100), 20, 100))
    found = reduce_idle(rising)
    assert warm_of(found).start == pytest.approx(100 + 68 / 0.4, abs=0.3)
    assert found.cold is not None
    assert found.cold.end == pytest.approx(100 + 68 / 0.4 - 0.1, abs=0.3)
    assert found.cold.start == 0.0
    for starts in ("warm", "cold"):
        assert reduce_idle(rising, starts) == found  # the temperature goes before what is told
    told = reduce_idle(rising, warm_at=50.0)
    assert warm_of(told).start == pytest.approx(175.0, abs=0.15)


@pytest.mark.parametrize(("starts", "warm"), [("warm", True), ("", True), ("cold", False)])
@pytest.mark.parametrize("rise", [0.0, 9.9])
def test_a_temperature_that_hardly_rises_leaves_it_to_what_is_told(starts: str, warm: bool, rise: float) -> None:
    """Ten degrees: judgement, written here once more."""
    found = reduce_idle(drawn(120, flat, temperature=lambda time: 80 + (time > 60) * rise), starts)
    assert (found.warm is not None) is warm
    assert (found.cold is None) is warm
    assert found.warm is None or found.warm.start == 0.0


def test_a_temperature_that_rises_by_ten_degrees_is_followed() -> None:
    found = reduce_idle(drawn(120, flat, temperature=lambda time: 80 + (time > 60) * 10.0), "warm")
    assert warm_of(found).start == pytest.approx(60.1)


def test_without_a_temperature_it_is_warm_after_five_minutes() -> None:
    found = reduce_idle(drawn(400, flat))
    assert warm_of(found).start == pytest.approx(300.0)
    assert found.cold is not None
    assert (found.cold.start, found.cold.end) == pytest.approx((0.0, 299.9))
    assert reduce_idle(drawn(200, flat)).warm is None
    late = drawn(400, flat)
    shifted = Log(file="x", columns={**late.columns, "time": late.columns["time"] + 1000}, repairs=())
    assert warm_of(reduce_idle(shifted)).start == pytest.approx(1300.0)
    assert warm_of(reduce_idle(shifted, "warm")).start == pytest.approx(1000.0)


def test_the_idle_follows_the_temperature_by_so_much_a_degree() -> None:
    rising = drawn(
        400, lambda time: 900 + 2 * np.minimum(0.2 * time, 60), temperature=lambda time: 20 + np.minimum(0.2 * time, 60)
    )
    found = reduce_idle(rising)
    assert found.cold is not None
    assert found.cold.by_temperature is not None
    assert found.cold.by_temperature.value == pytest.approx(2.0, rel=1e-6)
    assert warm_of(found).by_temperature is None  # it hardly rises any more
    assert warm_of(reduce_idle(drawn(120, flat), "warm")).by_temperature is None


@pytest.mark.parametrize("size", [-150.0, -70.0, 70.0, 300.0])
def test_a_sharp_step_comes_back_at_its_moment(size: float) -> None:
    found = reduce_idle(drawn(300, lambda time: 1000 + size * (time >= 150)), "warm")
    ((at, moved),) = steps_of(found)
    assert at == pytest.approx(150, abs=4)
    assert moved == pytest.approx(size)
    drift = warm_of(found).drift
    assert drift is not None
    assert drift.value == pytest.approx(0.0, abs=1e-9)
    assert found.swing == pytest.approx(0.0, abs=abs(size) / 20)


def test_what_is_no_step() -> None:
    """Less than 60 rpm, or back within half a minute: judgement, written here once more."""
    assert reduce_idle(drawn(300, lambda time: 1000 + 59 * (time >= 150)), "warm").steps == ()
    back = reduce_idle(drawn(300, lambda time: 1000 + 150 * ((time >= 150) & (time < 162))), "warm")
    assert back.steps == ()
    slope = reduce_idle(drawn(300, lambda time: 1000 + time), "warm")
    assert slope.steps == ()


def test_two_steps_come_in_their_order() -> None:
    found = reduce_idle(drawn(400, lambda time: 1000 + 100 * (time >= 120) + 200 * (time >= 280)), "warm")
    assert [round(size) for _, size in steps_of(found)] == [100, 200]
    assert [at for at, _ in steps_of(found)] == pytest.approx([120, 280], abs=4)


def _blip(start: float, fall: float, peak: float = 3000.0, hold: float = 1.0) -> Any:
    """Return a blip from 1,000 rpm that is held for a second and falls in a straight line."""

    def revs(time: np.ndarray) -> np.ndarray:
        high = peak - 1000
        shape = np.interp(time, [start, start + 0.2, start + hold, start + hold + fall], [0, 1, 1, 0])
        return np.asarray(1000 + high * shape)

    return revs


@pytest.mark.parametrize("fall", [0.5, 2.0, 5.0])
def test_a_fall_in_a_straight_line_takes_four_fifths_of_its_time(fall: float) -> None:
    """From nine tenths of the rise to one tenth of it."""
    found = reduce_idle(drawn(120, _blip(60, fall)), "warm")
    assert found.hangs == pytest.approx((0.8 * fall,), abs=0.11)
    assert warm_of(found).level == 1000.0
    assert found.swing == pytest.approx(0.0, abs=1e-6)  # two seconds around it are not idle
    assert found.steps == ()


def test_each_blip_hangs_by_itself() -> None:
    one, two = _blip(60, 1.0), _blip(100, 4.0)
    found = reduce_idle(drawn(180, lambda time: one(time) + two(time) - 1000), "warm")
    assert found.hangs == pytest.approx((0.8, 3.2), abs=0.11)


def test_what_is_no_blip() -> None:
    """It rises by 300 rpm at least, after an idle, and falls within fifteen seconds: judgement, written once more."""
    assert reduce_idle(drawn(120, _blip(60, 2.0, peak=1290)), "warm").hangs == ()
    assert len(reduce_idle(drawn(120, _blip(60, 2.0, peak=1310)), "warm").hangs) == 1
    assert reduce_idle(drawn(120, _blip(0.2, 2.0)), "warm").hangs == ()  # no idle before it
    assert reduce_idle(drawn(120, _blip(60, 40.0)), "warm").hangs == ()


def test_a_blip_without_an_idle_before_it_hides_no_later_one() -> None:
    early, late = _blip(0.2, 2.0), _blip(60, 2.0)
    found = reduce_idle(drawn(120, lambda time: early(time) + late(time) - 1000), "warm")
    assert found.hangs == pytest.approx((1.6,), abs=0.11)


@pytest.mark.parametrize(
    ("rate", "seconds", "named"), [(10.0, 3.5, True), (10.0, 2.9, False), (1.0, 10.5, True), (1.0, 9.5, False)]
)
def test_a_gap_is_three_seconds_or_ten_rows(rate: float, seconds: float, named: bool) -> None:
    whole = drawn(200, flat, rate=rate)
    late = whole.columns["time"] + (whole.columns["time"] > 100) * (seconds - 1 / rate)
    found = reduce_idle(Log(file="x", columns={**whole.columns, "time": late}, repairs=()), "warm")
    assert bool(found.gaps) is named


def test_a_warm_idle_that_follows_the_temperature() -> None:
    rising = drawn(400, lambda time: 900 + 0.5 * time, temperature=lambda time: 20 + 0.25 * time)
    warm = warm_of(reduce_idle(rising, warm_at=40.0))
    assert warm.start == pytest.approx(80.0, abs=0.11)
    assert warm.by_temperature is not None
    assert warm.by_temperature.value == pytest.approx(2.0, rel=1e-6)


def test_a_hunting_idle_has_its_level_by_whole_hunts() -> None:
    """Bins of two periods see none of the hunt, so that it takes nothing of the trust in the level."""
    found = reduce_idle(drawn(280, lambda time: 1000 + 150 * np.sin(2 * np.pi * time / 7)), "warm")
    assert found.period == pytest.approx(7, rel=0.06)
    assert warm_of(found).level_within < 10  # in bins of two seconds it would be 21


@pytest.mark.parametrize("gap", [1.5, 2.5])
def test_a_blip_right_after_a_short_gap_is_not_timed_either(gap: float) -> None:
    whole = drawn(120, _blip(60, 2.0))
    time = whole.columns["time"]
    keep = (time < 60.1 - gap) | (time >= 60.1)
    cut = Log(file="x", columns={name: column[keep] for name, column in whole.columns.items()}, repairs=())
    assert reduce_idle(cut, "warm").hangs == ()


def test_a_blip_after_a_gap_is_not_timed() -> None:
    whole = drawn(120, _blip(60, 2.0))
    keep = (whole.columns["time"] < 58.0) | (whole.columns["time"] >= 60.1)
    cut = Log(file="x", columns={name: column[keep] for name, column in whole.columns.items()}, repairs=())
    assert reduce_idle(cut, "warm").hangs == ()


def test_gaps_are_told_from_where_to_where() -> None:
    whole = drawn(200, flat)
    time = whole.columns["time"]
    keep = ~(((time > 50) & (time < 52)) | ((time > 100) & (time < 110)))
    cut = Log(file="x", columns={name: column[keep] for name, column in whole.columns.items()}, repairs=())
    ((start, end),) = reduce_idle(cut, "warm").gaps  # two seconds are no gap worth naming
    assert (start, end) == pytest.approx((100.0, 110.0))


def test_an_engine_that_dies_at_the_end_of_its_log() -> None:
    found = reduce_idle(drawn(120, lambda time: np.where(time > 110, 0.0, 1000.0)), "warm")
    assert found.stands is False
    assert warm_of(found).level == 1000.0
    assert found.hangs == ()


@pytest.mark.parametrize(("share", "stands"), [(0.89, False), (0.92, True)])
def test_an_engine_that_hardly_ever_runs_stands(share: float, stands: bool) -> None:
    """Nine tenths of the log below 200 rpm: judgement, written here once more."""
    found = reduce_idle(drawn(200, lambda time: np.where(time < share * 200, 0.0, 1000.0)), "warm")
    assert found.stands is stands


@pytest.mark.parametrize(("swing", "period"), [(100.0, 2.0), (300.0, 5.0), (200.0, 10.0)])
def test_a_pure_sine_hunts_at_its_period(swing: float, period: float) -> None:
    """From its 5th to its 95th percentile a sine spans sin(0.45 pi) of it, less what half a second evens out."""
    found = reduce_idle(drawn(240, lambda time: 1000 + swing / 2 * np.sin(2 * np.pi * time / period)), "warm")
    assert found.period == pytest.approx(period, rel=0.03)
    evened = np.sin(np.pi * 0.5 / period) / (np.pi * 0.5 / period)
    assert found.swing == pytest.approx(0.988 * evened * swing, rel=0.03)


def test_a_small_or_a_slow_wander_is_no_hunt() -> None:
    """Less than 30 rpm, or slower than a swing in twenty seconds: judgement, written here once more."""
    assert reduce_idle(drawn(240, lambda time: 1000 + 14 * np.sin(2 * np.pi * time / 3)), "warm").period is None
    assert reduce_idle(drawn(240, lambda time: 1000 + 18 * np.sin(2 * np.pi * time / 3)), "warm").period is not None
    rng = np.random.default_rng(2)
    wander = np.repeat(rng.normal(0, 60, 240), 10)
    assert reduce_idle(drawn(240, lambda _: 1000 + wander), "warm").period is None


def test_a_level_is_trusted_by_the_scatter_of_its_bins() -> None:
    """A median's standard error is 1.2533 of a mean's (normal scatter): twice that, over bins of two seconds."""
    rng = np.random.default_rng(4)
    bins = rng.normal(0, 4, 120)
    found = reduce_idle(drawn(240, lambda _: 1000 + np.repeat(bins, 20)), "warm")
    assert warm_of(found).level_within == pytest.approx(2 * 1.2533 * np.std(bins) / 120**0.5, rel=0.02)


def test_a_slope_that_ties_leave_no_interval_is_no_slope() -> None:
    """Revs and degrees that stand still for most of a log say nothing of each other, and nobody is warned."""
    found = reduce_idle(drawn(400, flat, temperature=lambda time: 20 + 30 * (time > 320)), warm_at=99.0)
    assert found.cold is not None
    assert found.cold.by_temperature is None


def test_the_slope_of_four_points_is_no_slope() -> None:
    x = np.arange(5.0)
    assert _slope(2 * x[:4], x[:4]) is None
    assert _slope(2 * x, x) == Slope(2.0, 2.0, 2.0)


# A pause of the recorder: nothing is worked out across it, and what it hides is not known.


def joined(*parts: Log, pause: float) -> Log:
    """Return logs one after another, each `pause` seconds after the one before."""
    columns: dict[str, list[np.ndarray]] = {name: [] for name in parts[0].columns}
    start = 0.0
    for one in parts:
        for name, column in one.columns.items():
            columns[name].append(column + start - one.columns["time"][0] if name == "time" else column)
        start = float(columns["time"][-1][-1]) + pause
    return Log(file="x", columns={name: np.concatenate(all_) for name, all_ in columns.items()}, repairs=())


def between(log_: Log, start: float, end: float) -> Log:
    keep = (log_.columns["time"] >= start) & (log_.columns["time"] < end)
    return Log(file="x", columns={name: column[keep] for name, column in log_.columns.items()}, repairs=())


FAULTY = {
    "hunts": log(hunt=200, period=4),
    "climbs": log(drift=30),
    "drops": log(drift=-30),
    "hangs": drawn(600, lambda time: sum(_blip(at, 4.0)(time) - 1000 for at in range(25, 600, 40)) + 1000),
    "steps": drawn(600, lambda time: 1000 + 200 * (time % 100 > 50)),
}


def faults(found: IdleLog) -> set[str]:
    return {"steps" if name in {"in steps", "jumped"} else name for name in oddities(found, 1.5)}


def test_a_step_is_where_the_revs_change_and_leaves_no_wander_behind() -> None:
    found = reduce_idle(FAULTY["steps"], "warm")
    assert [at for at, _ in steps_of(found)] == pytest.approx(range(50, 600, 50), abs=2)
    assert found.period is None
    assert found.swing == pytest.approx(0, abs=1)
    short = reduce_idle(joined(between(FAULTY["steps"], 0, 60), between(FAULTY["steps"], 96, 600), pause=1.0), "warm")
    assert faults(short) == {"steps"}  # one of them is too short to be told; its ends are no hunt


@pytest.mark.parametrize("fault", FAULTY)
@settings(max_examples=15, deadline=None)
@given(
    cut=st.floats(60, 540),
    lost=st.floats(0, 60),
    pause=st.one_of(st.floats(0.1, 60), st.floats(60, 80_000), st.floats(1e5, 1e12)),
)
def test_a_pause_never_hides_a_fault_that_both_halves_show(fault: str, cut: float, lost: float, pause: float) -> None:
    """Rows are lost, or the clock jumps: by as much or as little as may be."""
    halves = [between(FAULTY[fault], 0, cut), between(FAULTY[fault], cut + lost, 600)]
    seen = [faults(reduce_idle(one, "warm")) if one.columns["time"].size > 301 else set() for one in halves]
    whole = reduce_idle(joined(*halves, pause=pause), "warm")
    assert seen[0] & seen[1] <= faults(whole)
    if fault in {"hunts", "climbs", "drops"} and 100 < cut < 400:
        assert fault in faults(whole)


@settings(max_examples=30, deadline=None)
@given(after=st.floats(3.1, 1e12), revs=st.floats(0, 20_000), fault=st.sampled_from(sorted(FAULTY)))
def test_a_stray_row_changes_nothing(after: float, revs: float, fault: str) -> None:
    one = FAULTY[fault].columns
    more = {"time": np.append(one["time"], one["time"][-1] + after), "revs": np.append(one["revs"], revs)}
    found, before = reduce_idle(Log(file="x", columns=more, repairs=()), "warm"), reduce_idle(FAULTY[fault], "warm")
    assert len(found.gaps) == 1
    assert replace(found, rows=before.rows, gaps=()) == before


@settings(max_examples=15, deadline=None)
@given(
    pieces=st.lists(
        st.tuples(st.sampled_from([35.0, 60.0, 90.0]), st.floats(-40, 40), st.floats(0, 300), st.floats(1, 9)),
        min_size=2,
        max_size=4,
    ),
    pause=st.floats(4, 800),
)
def test_the_whole_lies_between_its_pieces(pieces: list[tuple[float, float, float, float]], pause: float) -> None:
    parts = [
        drawn(
            lasts,
            lambda time, slope=slope, hunt=hunt, period=period: (
                1000 + slope * time / 60 + hunt / 2 * np.sin(2 * np.pi * time / period)
            ),
        )
        for lasts, slope, hunt, period in pieces
    ]
    alone = [reduce_idle(one, "warm") for one in parts]
    whole = reduce_idle(joined(*parts, pause=pause), "warm")
    swings = [one.swing for one in alone if one.swing is not None]
    assert whole.swing is not None
    assert 0.99 * min(swings) - 1e-6 <= whole.swing <= 1.01 * max(swings) + 1e-6
    levels = [warm_of(one).level for one in alone]
    assert min(levels) <= warm_of(whole).level <= max(levels)


@pytest.mark.parametrize("lasts", [5.0, 12.0, 29.0, 31.0])
def test_what_no_piece_is_long_enough_for_is_not_known(lasts: float) -> None:
    """Thirty seconds for a hunt, a drift or a step: judgement, written here once more."""
    part = drawn(lasts + 0.1, lambda time: 1000 + 100 * np.sin(2 * np.pi * time / 3))
    found = reduce_idle(joined(*[part] * 10, pause=8.0), "warm")
    assert len(found.gaps) == 9
    assert found.longest == pytest.approx(lasts)
    assert warm_of(found).level == pytest.approx(1000, abs=30)
    known = lasts > 30
    assert (found.swing is not None) is known
    assert (found.period is not None) is known
    assert (found.steps is not None) is known
    assert (warm_of(found).drift is not None) is known


def test_a_log_of_nothing_but_pauses_is_refused() -> None:
    with pytest.raises(CaseError) as caught:
        reduce_idle(joined(*[drawn(3.0, flat)] * 40, pause=8.0), "warm")
    assert caught.value.problems[0].text == (
        "is too short without its pauses (its pieces of 4 s or more last 0 s in all); an idle log needs 30 s or more"
    )


def test_half_a_day_is_no_idle_log() -> None:
    with pytest.raises(CaseError, match=r"lasts 14\.0 hours, and 12 at most are of use; are its times in seconds"):
        reduce_idle(drawn(14 * 3600, flat, rate=1.0), "warm")


@pytest.mark.parametrize("by", [-300.0, 300.0])
def test_another_idle_after_a_pause_is_neither_a_step_nor_none(by: float) -> None:
    parts = drawn(60, flat), drawn(60, lambda time: 1000 + by + 0 * time)
    found = reduce_idle(joined(*parts, pause=120), "warm")
    ((at, moved),) = found.moved
    assert at == pytest.approx(179.9)
    assert moved == by
    assert found.steps is None
    assert warm_of(found).drift is None
    same = reduce_idle(joined(parts[0], parts[0], pause=120), "warm")
    assert (same.moved, same.steps) == ((), ())
    assert warm_of(same).drift == Slope(0.0, 0.0, 0.0)


def test_a_drift_goes_on_in_a_pause() -> None:
    rising = drawn(300, lambda time: 1000 + time)
    cut = Log(file="x", columns={name: one[np.r_[:600, 2100:3000]] for name, one in rising.columns.items()}, repairs=())
    found = reduce_idle(cut, "warm")
    assert (found.moved, found.steps) == ((), ())
    drift = warm_of(found).drift
    assert drift is not None
    assert drift.value == pytest.approx(60.0)


def test_a_ride_between_two_idles_is_not_taken_for_a_steady_one() -> None:
    """Over the ride nothing hunts; it says nothing of the idle before and after."""
    hunting = drawn(
        300, lambda time: np.where((time > 60) & (time < 200), 3000, 1000 + 100 * np.sin(2 * np.pi * time / 4))
    )
    found = reduce_idle(hunting, "warm")
    assert found.swing == pytest.approx(190, rel=0.1)
    assert found.period == pytest.approx(4, rel=0.05)
    assert found.gaps == ()


@pytest.mark.parametrize("at", [59.9, 60.1, 60.5, 61.5, 62.5])
def test_a_pause_in_a_blip_hides_how_it_falls(at: float) -> None:
    whole = drawn(120, _blip(60, 2.0))
    found = reduce_idle(joined(between(whole, 0, at), between(whole, at, 120), pause=30), "warm")
    assert found.hangs == ()
    assert found.cut in {1, 2}
    assert warm_of(found).level == 1000.0
    assert found.swing == pytest.approx(0.0, abs=1e-6)
    assert found.steps == ()


@pytest.mark.parametrize("cut", [169.0, 170.0, 171.0])
def test_a_pause_where_it_gets_warm(cut: float) -> None:
    rising = drawn(400, lambda time: 1000 + time / 6, temperature=lambda time: np.minimum(20 + 0.4 * time, 100))
    halves = between(rising, 0, cut), between(rising, cut, 400)
    found, whole = reduce_idle(joined(*halves, pause=60)), reduce_idle(rising)
    for one, other in ((found.warm, whole.warm), (found.cold, whole.cold)):
        assert one is not None
        assert other is not None
        assert one.level == pytest.approx(other.level, abs=0.5)
        assert one.drift is not None
        assert one.drift.value == pytest.approx(10.0)


def test_the_cost_goes_by_the_rows_and_not_by_the_times() -> None:
    far = joined(FAULTY["hunts"], FAULTY["hunts"], pause=1e12)
    tracemalloc.start()
    try:
        reduce_idle(far, "warm")
        assert tracemalloc.get_traced_memory()[1] < 20e6
    finally:
        tracemalloc.stop()


STRETCH = st.tuples(
    st.sampled_from([0.3, 2.0, 8.0, 31.0]),  # s that it lasts
    st.sampled_from([0.0, 150.0, 900.0, 1000.0, 1250.0, 3000.0, 20_000.0]),  # rpm
    st.sampled_from([0.0, 0.5, 2.5, 20.0, 1_000.0]),  # s of pause after it
)


@settings(max_examples=60, deadline=None)
@given(
    stretches=st.lists(STRETCH, min_size=2, max_size=12),
    rate=st.sampled_from([0.5, 1.0, 5.0, 10.0, 100.0]),
    starts=st.sampled_from(["", "warm", "cold"]),
)
def test_whatever_the_engine_does_each_figure_is_one(
    stretches: list[tuple[float, float, float]], rate: float, starts: str
) -> None:
    """It dies, it races, the recorder pauses: a result with finite figures, or one sentence."""
    times, revs, at = [], [], 0.0
    for lasts, turning, pause in stretches:
        part = np.arange(0, lasts, 1 / rate)
        times.append(at + part)
        revs.append(np.full(part.size, turning))
        at += float(part[-1]) + 1 / rate + pause
    one = Log(file="x", columns={"time": np.concatenate(times), "revs": np.concatenate(revs)}, repairs=())
    try:
        found = reduce_idle(one, starts)
    except CaseError:
        return
    assert all(np.isfinite(span.level) for span in (found.warm, found.cold) if span)
    assert all(0 <= fall <= 16 for fall in found.hangs)
    assert found.swing is None or 0 <= found.swing <= 20_000
    assert found.rows == len(one.columns["time"])
