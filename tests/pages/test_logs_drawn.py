"""A recorded idle and a shake, drawn with their figures in words."""

from pathlib import Path

from advisor.case import Bike, LogFile
from advisor.diagnose import Advisor
from advisor.pages.logs_drawn import CUT, idle_picture, shake_picture, shook_picture, sound_picture
from advisor.readings.shake_reports import Ride
from advisor.rulebase import Rulebase
from advisor.session.job import Shook
from advisor.session.job_logs import idle_drawn, shake_drawn, sound_drawn
from tests.pages.jobs import DEMO, demo, shake_csv
from tests.pages.markup import svg_of
from tests.sounds import made, steady, written


def test_an_idle_has_its_level_and_trend_in_words(advisor: Advisor) -> None:
    case = demo(DEMO[-1], advisor)
    one = idle_drawn(case.logs[0], case.bike, advisor.base)
    found = idle_picture(one, "idle")
    warm = one.found.warm
    assert warm is not None
    assert warm.drift is not None
    assert any(line.startswith(f"Warm: {warm.level:.0f} rpm") for line in found.lines)
    assert any(line.startswith(f"Drift: {warm.drift.value:+.1f} rpm a minute") for line in found.lines)
    assert CUT in found.lines  # this log has blips
    assert one.says[0] == found.lines[0]
    heights = [float(at.get("y", "0")) for at in svg_of(found.svg).iter("text")]
    assert max(heights) <= 2.9 * 72


def test_a_shake_by_orders_and_against_the_revs(base: Rulebase, tmp_path: Path) -> None:
    log = LogFile(kind="shake", path=str(shake_csv(tmp_path / "shake.csv")), how="measured")
    one = shake_drawn(log, Bike(), base)
    orders, revs = shake_picture(one, "shake")
    strongest = one.found.orders[0]
    assert strongest.order == 1.0
    assert any(f"{strongest.amplitude:.2f} m/s2 at {strongest.rate:.1f} Hz" in line for line in orders.lines)
    assert revs.lines[0].startswith("From 2525 to 44")


def test_steady_revs_make_one_picture(base: Rulebase, tmp_path: Path) -> None:
    log = LogFile(kind="shake", path=str(shake_csv(tmp_path / "shake.csv", 3500, 3500)), how="measured")
    assert len(list(shake_picture(shake_drawn(log, Bike(), base), "shake"))) == 1


def test_a_ride_is_said_in_both_units_of_speed() -> None:
    rides = (Ride(80 / 3.6, 3900.0, False, "part", True), Ride(80 / 3.6, None, True, "", False))
    found = shook_picture(Shook(rides=rides, do="Do this."), "shook")
    assert found.lines == (
        "Do this.",
        "80 km/h (50 mph), 3900 rpm, throttle part: it shook.",
        "80 km/h (50 mph), clutch in: it did not shake.",
    )


def test_a_recording_of_the_exhaust_is_drawn_as_an_idle_is(base: Rulebase, tmp_path: Path) -> None:
    path = written(tmp_path / "a.wav", made(steady(1000.0, 40.0)))
    one = sound_drawn(LogFile(kind="sound", path=str(path), starts="warm", how="measured"), Bike(), base)
    found = sound_picture(one, "sound")
    assert one.found.level is not None
    assert any(line.startswith(f"Revs: {one.found.level:.0f} rpm") for line in found.lines)
    assert set(one.says) <= set(found.lines)
    low, high = one.wanted
    assert f"The band is the idle it should have: {low:.0f} to {high:.0f} rpm." in found.lines
