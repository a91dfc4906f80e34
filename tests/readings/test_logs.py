"""A case's logs as readings and signs, and an idle log in words."""

from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from advisor.case import Bike, LogFile, Measured, SignReport
from advisor.errors import CaseError
from advisor.places import shipped
from advisor.readings.idle_log import Slope
from advisor.readings.logs import (
    NEVER_WARM,
    NOTHING_ODD,
    STANDS,
    hangs_said,
    idle_of,
    idle_picture,
    readings_of,
    shake_of,
    signs_of,
)
from advisor.readings.shake_reports import ENGINE, ROAD
from advisor.rulebase import Rulebase
from tests.readings.test_idle_log import STEADY, WARM, log

BIKE = Bike(gears=(15.0, 10.0, 7.0, 5.0), tyre="120/90-18")


def test_a_log_in_a_case_becomes_readings(tmp_path: Path) -> None:
    one = log(drift=20, hang=3)
    rows = zip(one.columns["time"], one.columns["revs"], strict=True)
    path = tmp_path / "idle.csv"
    path.write_text("time s,revs rpm\n" + "".join(f"{t:.1f},{n:.0f}\n" for t, n in rows), encoding="utf-8")
    found = {m.reading: m for m in readings_of(LogFile(kind="idle", path=str(path), starts="warm", how="measured"))}
    assert set(found) == {"idle-speed", "idle-drift", "idle-swing", "idle-step", "hang-time"}
    assert found["idle-drift"].values[0] == pytest.approx(20, abs=0.5)
    assert len(found["hang-time"].values) == 3


def test_an_idle_in_words_is_what_the_pages_of_its_readings_say(base: Rulebase) -> None:
    odd = replace(STEADY, warm=replace(WARM, drift=Slope(3, 1, 5)), hangs=(9.0,))
    drift, hang = base.readings["idle-drift"].in_a_log, base.readings["hang-time"].in_a_log
    assert idle_picture(odd, base) == [drift["climbs"], hang["hangs"]]
    assert idle_picture(STEADY, base) == [NOTHING_ODD]
    assert idle_picture(replace(odd, warm=None), base) == [NEVER_WARM]
    assert idle_picture(replace(odd, stands=True), base) == [STANDS]


def test_a_shops_own_words_and_its_own_limit_for_hanging_revs(base: Rulebase) -> None:
    ours = replace(base.readings["hang-time"], in_a_log={"hangs": "Ours."})
    base = replace(base, readings=base.readings | {"hang-time": ours})
    hangs = replace(STEADY, hangs=(2.0,))
    assert idle_picture(hangs, base) == ["Ours."]
    later = replace(base.limits["hang-most"], value=2500.0, unit="ms")
    assert idle_picture(hangs, replace(base, limits=base.limits | {"hang-most": later})) == [NOTHING_ODD]


@pytest.mark.parametrize("reading", ["idle-drift", "idle-step"])
def test_what_no_page_says_is_not_called_nothing_odd(base: Rulebase, reading: str) -> None:
    silent = replace(base, readings=base.readings | {reading: replace(base.readings[reading], in_a_log={})})
    odd = replace(STEADY, warm=replace(WARM, drift=Slope(3, 1, 5)), steps=((9.0, 300.0),))
    assert len(idle_picture(odd, silent)) == 1


def written(folder: Path, columns: dict[str, np.ndarray]) -> LogFile:
    """Return a log file of these columns, by their names with units."""
    path = folder / "ours.csv"
    rows = [",".join(columns)]
    rows += [",".join(f"{value:.4f}" for value in row) for row in zip(*columns.values(), strict=True)]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return LogFile(kind="idle", path=str(path), starts="warm", how="measured", line=7)


def idle(folder: Path, *, minutes: float = 4.0, hang: float = 0.0, drift: float = 0.0, step: float = 0.0) -> LogFile:
    """Return the log of an idle at 1,000 rpm; with `hang` three blips near the end that take so long to fall."""
    rng = np.random.default_rng(5)
    time = np.arange(0, minutes * 60, 0.1)
    revs = 1000 + drift * time / 60 + step * (time > 60) + rng.normal(0, 8, time.size)
    for start in (minutes * 60 - 90, minutes * 60 - 60, minutes * 60 - 30) if hang else ():
        after = time - start
        rise = 2000 * np.clip(after / 0.3, 0, 1) * np.exp(-np.clip(after - 1, 0, None) / (hang / np.log(9)))
        revs += np.where(after >= 0, rise, 0)
    return written(folder, {"time s": time, "revs rpm": revs})


def by_reading(one: LogFile) -> dict[str, Measured]:
    return {made.reading: made for made in readings_of(one)}


def test_an_idle_log_gives_its_readings_with_the_file_they_came_from(tmp_path: Path) -> None:
    found = by_reading(idle(tmp_path))
    assert set(found) == {"idle-speed", "idle-swing", "idle-drift", "idle-step"}
    assert found["idle-speed"].values[0] == pytest.approx(1000, abs=5)
    assert found["idle-speed"].given.endswith("rpm (ours.csv)")
    assert {(one.side, one.line) for one in found.values()} == {(None, 7)}
    assert {name: one.unit for name, one in found.items()} == {
        "idle-speed": "rpm",
        "idle-swing": "rpm",
        "idle-drift": "rpm/min",
        "idle-step": "rpm",
    }
    assert found["idle-step"].values == (0.0,)


def test_a_figure_of_a_log_is_trusted_no_further_than_a_tachometer(tmp_path: Path) -> None:
    """20 rpm for a level and a step, 5 rpm for the swing: judgement, written here once more."""
    found = by_reading(idle(tmp_path))
    assert found["idle-speed"].give == 20.0
    assert found["idle-step"].give == 20.0
    assert found["idle-swing"].give == max(0.1 * found["idle-swing"].values[0], 5.0)


def test_a_drift_is_trusted_by_its_own_interval(tmp_path: Path) -> None:
    one = idle(tmp_path, drift=20.0)
    drift = by_reading(one)["idle-drift"]
    assert drift.values[0] == pytest.approx(20, abs=2)
    warm = idle_of(one)[1].warm
    assert warm is not None
    assert warm.drift is not None
    assert drift.give == max(warm.drift.high - warm.drift.value, warm.drift.value - warm.drift.low)


@pytest.mark.parametrize("step", [-200.0, 200.0])
def test_a_step_is_told_by_its_size(tmp_path: Path, step: float) -> None:
    assert by_reading(idle(tmp_path, step=step))["idle-step"].values[0] == pytest.approx(200, abs=25)


def test_each_reading_is_said_with_its_unit(tmp_path: Path) -> None:
    said = {name: one.given for name, one in by_reading(idle(tmp_path, drift=20.0)).items()}
    assert said["idle-step"] == "0 rpm (ours.csv)"
    assert said["idle-drift"].endswith(" rpm/min (ours.csv)")
    assert said["idle-swing"].endswith(" rpm (ours.csv)")
    assert len(said["idle-drift"].split()) == len(said["idle-swing"].split()) == 3


def test_a_temperature_in_the_log_says_when_it_is_warm(tmp_path: Path) -> None:
    time = np.arange(0, 240, 0.1)
    columns = {"time s": time, "revs rpm": 1000 + 0 * time, "temperature C": np.minimum(20 + 0.8 * time, 100)}
    warm = idle_of(replace(written(tmp_path, columns), starts=""))[1].warm
    assert warm is not None
    assert warm.start == pytest.approx(68 / 0.8, abs=0.5)


def test_where_no_rule_asks_after_hanging_revs_none_hang(base: Rulebase) -> None:
    assert idle_picture(replace(STEADY, hangs=(60.0,)), replace(base, rules={})) == [NOTHING_ODD]


def test_each_blip_is_a_repeat_of_how_long_it_hangs(tmp_path: Path) -> None:
    found = by_reading(idle(tmp_path, hang=3.0))["hang-time"]
    assert len(found.values) == 3
    assert found.values == pytest.approx([3.0] * 3, abs=0.4)
    assert found.give == pytest.approx(0.2)  # two rows of a log at ten rows a second
    assert found.unit == "s"
    assert found.given == "3.1 s, 3.1 s, 3.1 s (ours.csv)"
    assert "hang-time" not in by_reading(idle(tmp_path))


def test_a_regular_hunt_tells_its_period(tmp_path: Path) -> None:
    time = np.arange(0, 120, 0.1)
    one = written(tmp_path, {"time s": time, "revs rpm": 1000 + 150 * np.sin(2 * np.pi * time / 4)})
    swing = by_reading(one)["idle-swing"]
    assert swing.given.endswith(" rpm every 4 s (ours.csv)")
    assert swing.values[0] == pytest.approx(300, rel=0.2)
    assert swing.give == pytest.approx(0.1 * swing.values[0])
    assert " every " not in by_reading(idle(tmp_path))["idle-swing"].given


def test_a_log_that_starts_cold_has_no_warm_idle_to_judge(tmp_path: Path) -> None:
    one = idle(tmp_path, minutes=3.0)
    cold = LogFile(kind="idle", path=one.path, starts="cold", how="measured")
    assert readings_of(cold) == []
    assert idle_of(cold)[1].cold is not None


def shake(folder: Path, order: float, *, revs: float = 3500.0, with_revs: bool = True) -> Path:
    time = np.arange(0, 20, 1 / 800)
    rng = np.random.default_rng(3)
    columns = {"time s": time, "acceleration m/s2": 3 * np.sin(2 * np.pi * order * revs / 60 * time)}
    columns["acceleration m/s2"] = columns["acceleration m/s2"] + rng.normal(0, 0.1, time.size)
    if with_revs:
        columns["revs rpm"] = np.full(time.size, revs)
    return Path(written(folder, columns).path)


def ridden(path: Path, *, speed: float | None = None, gear: int = 0) -> LogFile:
    return LogFile(kind="shake", path=str(path), speed=speed, gear=gear, how="measured", line=4)


def never(_: str) -> bool:
    return False


@pytest.mark.parametrize(("order", "road"), [(1 / 5.0, True), (0.5, False), (1.0, False), (2.0, False)])
def test_a_shake_belongs_to_the_wheel_or_to_the_engine(
    base: Rulebase, tmp_path: Path, order: float, road: bool
) -> None:
    found = signs_of(ridden(shake(tmp_path, order), gear=4), BIKE, base, never)
    assert found == [
        SignReport(sign=ROAD, side=None, seen=road, how="measured", line=4),
        SignReport(sign=ENGINE, side=None, seen=not road, how="measured", line=4),
    ]


def test_what_was_told_outright_goes_before_the_log(base: Rulebase, tmp_path: Path) -> None:
    found = signs_of(ridden(shake(tmp_path, 1.0), gear=4), BIKE, base, lambda name: name == ROAD)
    assert [one.sign for one in found] == [ENGINE]


def test_where_nothing_stands_out_no_sign_is_settled(base: Rulebase, tmp_path: Path) -> None:
    time = np.arange(0, 20, 1 / 800)
    both = np.sin(2 * np.pi * 3500 / 60 * time) + np.sin(np.pi * 3500 / 60 * time)
    columns = {"time s": time, "acceleration m/s2": both, "revs rpm": np.full(time.size, 3500.0)}
    assert signs_of(ridden(Path(written(tmp_path, columns).path)), BIKE, base, never) == []


def test_without_gears_the_wheel_is_not_looked_for(base: Rulebase, tmp_path: Path) -> None:
    path = shake(tmp_path, 1 / 5.0)
    wheel = base.shakes["rear-wheel"].called

    def names(gear: int, bike: Bike) -> set[str]:
        return {one.name for one in shake_of(ridden(path, gear=gear), bike, base)[1].orders}

    assert wheel in names(4, BIKE)
    assert wheel in names(1, BIKE)
    assert wheel not in names(0, BIKE)
    assert wheel not in names(5, BIKE)
    assert wheel not in names(4, Bike(tyre="120/90-18"))


def test_speed_gear_and_tyre_stand_in_for_the_revs(base: Rulebase, tmp_path: Path) -> None:
    """100 km/h in a gear of 5.0 turns on a 120/90-18: 3,940 rpm (673.2 mm: ISO 5751-1)."""
    path = shake(tmp_path, 1.0, revs=3940.0, with_revs=False)
    _, found = shake_of(ridden(path, speed=100 / 3.6, gear=4), BIKE, base)
    assert found.revs == pytest.approx(3940, abs=1)
    assert found.owner == "first order"


@pytest.mark.parametrize(
    ("speed", "gear", "bike"),
    [
        (None, 4, BIKE),
        (27.0, 0, BIKE),
        (27.0, 5, BIKE),
        (27.0, 4, Bike(gears=BIKE.gears)),
        (27.0, 4, Bike(tyre=BIKE.tyre)),
    ],
)
def test_without_them_it_is_refused_by_one_sentence(
    base: Rulebase, tmp_path: Path, speed: float | None, gear: int, bike: Bike
) -> None:
    path = shake(tmp_path, 1.0, with_revs=False)
    with pytest.raises(CaseError) as caught:
        shake_of(ridden(path, speed=speed, gear=gear), bike, base)
    (problem,) = caught.value.problems
    assert (problem.file, problem.line) == (str(path), 0)
    assert problem.text == (
        "the log has no column 'revs rpm', so its speed, gear, and the bike's gears and tyre must be told"
    )


def broken(folder: Path, lasts: float, *, pause: float = 8.0, again: int = 10) -> LogFile:
    """Return the log of an idle that hunts, in pieces that last so long."""
    part = np.arange(0, lasts + 0.05, 0.1)
    time = np.concatenate([part + number * (lasts + pause) for number in range(again)])
    return written(folder, {"time s": time, "revs rpm": 1000 + 100 * np.sin(2 * np.pi * time / 3)})


def test_of_what_a_log_cannot_tell_there_is_no_reading(base: Rulebase, tmp_path: Path) -> None:
    """Not 0: that would say that it does not hunt."""
    one = broken(tmp_path, 12.0)
    assert set(by_reading(one)) == {"idle-speed"}
    (said,) = idle_picture(idle_of(one)[1], base)
    assert said == (
        "Whether it hunts, drifts or moves in steps cannot be told: the log pauses, and its longest stretch of warm "
        "idle lasts 12 s; 30 s are needed."
    )
    assert {"idle-swing", "idle-drift", "idle-step"} <= set(by_reading(broken(tmp_path, 40.0)))


def test_what_only_a_longer_piece_could_tell_says_how_long(base: Rulebase) -> None:
    """A hunt of nine seconds is evened out in five bins of eighteen."""
    slow = replace(STEADY, period=9.0, swing=200.0, warm=replace(WARM, drift=None), gaps=((60.0, 80.0),))
    *_, said = idle_picture(slow, base)
    assert said == (
        "Whether it drifts cannot be told: the log pauses, and its longest stretch of warm idle lasts 60 s; "
        "90 s are needed."
    )
    whole = idle_picture(replace(slow, gaps=()), base)[-1]
    assert whole == "Whether it drifts cannot be told: its longest stretch of warm idle lasts 60 s; 90 s are needed."
    short = replace(STEADY, steps=None, swing=None, warm=None, longest=14.0)
    assert len(idle_picture(short, base)) == 1
    assert idle_picture(replace(short, longest=0.0), base) == [NEVER_WARM]


def test_an_idle_that_is_another_one_after_a_pause_says_so(base: Rulebase) -> None:
    moved = replace(STEADY, moved=((80.0, -300.0),) * 9, steps=None, warm=replace(WARM, drift=None), hangs=(), cut=1)
    said = idle_picture(moved, base)
    assert said == [
        *["Over the pause before 80 s the idle went down by 300 rpm; whether it drifted or jumped cannot be told."] * 3,
        "How the revs fall after a blip cannot be told: a pause cuts off each blip.",
    ]
    assert idle_picture(replace(STEADY, cut=1), base) == [NOTHING_ODD]  # another blip was timed


def test_a_stray_row_at_the_end_leaves_every_reading_as_it_was(tmp_path: Path) -> None:
    """The demo log, and one row of an hour later: it hunts as before."""
    text = (shipped("cases_demo") / "logs" / "mail-8-idle.csv").read_text(encoding="utf-8")
    path = tmp_path / "idle.csv"
    one = LogFile(kind="idle", path=str(path), starts="warm", how="measured")
    path.write_text(text, encoding="utf-8")
    before = readings_of(one)
    assert {made.reading: made.values[0] for made in before}["idle-swing"] == pytest.approx(167, abs=1)
    for row in ("9000,1173,98.0", "1e7,1173,98.0", "1700000000,1173,98.0", "9000,20000,98.0"):
        path.write_text(f"{text}{row}\n", encoding="utf-8")
        assert readings_of(one) == before


def test_many_falls_are_told_by_their_range() -> None:
    assert hangs_said((0.5, 1.25)) == "0.5 s, 1.25 s"
    assert hangs_said((0.5,) * 9).count("0.5 s") == 9
    assert hangs_said((0.5, 3.0) * 5) == "0.5 s to 3 s in 10 blips"
