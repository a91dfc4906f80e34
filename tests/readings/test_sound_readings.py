"""A recording in a case is readings like any others; what it cannot tell is said, with what to do."""

from pathlib import Path

import numpy as np
import pytest
from msgspec.structs import replace

from advisor.case import LogFile
from advisor.diagnose import Advisor
from advisor.errors import CaseError
from advisor.intake.casefile import read_case
from advisor.intake.caseout import case_text
from advisor.readings import sound_readings
from advisor.readings.sound_readings import cautions, picture, readings_of, sound_of
from advisor.rulebase import Rulebase
from advisor.sides import Side
from advisor.virtual_bike.sound import Running
from tests.conftest import CaseFile
from tests.sounds import NO_ENGINE, blipped, made, shorting, steady, written

DROPS = (220.0, 310.0, 210.0, 300.0)
IN_TURN: tuple[Side, ...] = ("left", "right", "left", "right")


def log(folder: Path, how: Running, **more: object) -> LogFile:
    path = written(folder / "idle.wav", made(how))
    return replace(LogFile(kind="sound", path=str(path), starts="warm", how="measured"), **more)


def said(one: LogFile, base: Rulebase) -> str:
    return " ".join(picture(sound_of(one), one, base))


def test_an_idle_is_the_readings_of_an_idle_log(tmp_path: Path) -> None:
    found = {one.reading: one for one in readings_of(log(tmp_path, blipped(80, 1.5)))}
    assert set(found) == {"idle-speed", "idle-swing", "idle-step", "hang-time"}
    assert found["idle-speed"].values[0] == pytest.approx(1013, abs=5)  # the blips' slow falls among them
    assert found["idle-speed"].give >= 20
    assert found["hang-time"].values[0] == pytest.approx(1.5 * np.log(9), abs=0.6)
    assert all("(idle.wav)" in one.given for one in found.values())


def test_half_a_minute_too_short_still_has_its_speed(tmp_path: Path, base: Rulebase) -> None:
    one = log(tmp_path, steady(950, 12))
    (found,) = readings_of(one)
    assert found.reading == "idle-speed"
    assert found.values[0] == pytest.approx(950, abs=8)
    assert "30 s are needed" in said(one, base)
    assert readings_of(replace(one, starts="")) == []  # nobody said that it was warm
    assert readings_of(log(tmp_path, steady(2600, 12))) == []  # and that is no idle


def test_drops_belong_to_the_sides_that_were_named(tmp_path: Path, base: Rulebase) -> None:
    one = log(tmp_path, shorting(DROPS), shorted=IN_TURN)
    left, right = (each for each in readings_of(one) if each.reading == "drop-idle")
    assert (left.side, right.side) == ("left", "right")
    assert left.values == pytest.approx((220, 210), abs=12)
    assert right.values == pytest.approx((310, 300), abs=12)
    assert left.give >= 10
    assert "advisor measure drop-idle left 2" in said(one, base)
    exchanged = replace(one, shorted=tuple(reversed(IN_TURN)))
    assert {each.side: each.values for each in readings_of(exchanged) if each.side} == {
        "right": left.values,
        "left": right.values,
    }


def test_drops_from_2500_rpm_are_their_own_reading(tmp_path: Path) -> None:
    one = log(tmp_path, shorting((500.0, 380.0), 2500.0), shorted=("left", "right"))
    assert {each.reading for each in readings_of(one) if each.side} == {"drop-off-idle"}


def test_drops_of_unknown_sides_are_asked_for(tmp_path: Path, base: Rulebase) -> None:
    one = log(tmp_path, shorting(DROPS))
    assert "--shorted 'left right left right'" in said(one, base)
    assert not any(each.side for each in readings_of(one))


def test_more_or_fewer_drops_than_were_told_are_refused(tmp_path: Path, base: Rulebase) -> None:
    one = log(tmp_path, shorting(DROPS), shorted=("left", "right", "left"))
    assert "3 plugs are said to have been shorted, and 4 are heard" in said(one, base)
    with pytest.raises(CaseError, match="4 are heard"):
        readings_of(one)


def test_what_cannot_be_told_is_one_message_in_a_case(tmp_path: Path, base: Rulebase) -> None:
    make, _ = NO_ENGINE["wind"]
    path = written(tmp_path / "wind.wav", make(np.random.default_rng(1)))
    one = LogFile(kind="sound", path=str(path), how="measured")
    assert "out of the wind" in said(one, base)
    with pytest.raises(CaseError, match="cannot tell the revs") as caught:
        readings_of(one)
    assert caught.value.problems[0].file == str(path)


def test_what_it_means_is_said(tmp_path: Path, base: Rulebase) -> None:
    assert "Both sides sound alike" in said(log(tmp_path, steady(1000, 40)), base)
    assert "One side sounds" in said(log(tmp_path, steady(1000, 40, sides=(1.0, 0.45))), base)
    assert "Only one side is heard" in said(log(tmp_path, steady(1000, 40, sides=(1.0, 0.03))), base)
    assert "--starts warm" in said(log(tmp_path, steady(1000, 40), starts=""), base)
    assert "revs hang after a blip" in said(log(tmp_path, blipped(80, 2.5)), base)
    loud = LogFile(
        kind="sound", path=str(written(tmp_path / "loud.wav", 10 * made(steady(1000, 20)))), starts="warm", how="told"
    )
    assert "Go further away" in said(loud, base)


def test_cautions_are_pages_and_fit_what_is_done(tmp_path: Path, base: Rulebase) -> None:
    named = {
        *sound_readings.WHILE_IT_RUNS,
        *sound_readings.SHORTING,
        *sound_readings.BLIPPED,
    }
    assert named <= set(base.cautions)
    plain = cautions(sound_of(log(tmp_path, steady(1000, 35))))
    assert {"carbon-monoxide", "hot-parts", "moving-parts"} <= set(plain)
    assert "high-tension" not in plain
    assert "high-tension" in cautions(sound_of(log(tmp_path, shorting((200.0, 250.0)))))
    assert "stuck-throttle" in cautions(sound_of(log(tmp_path, blipped(60, 0.6))))


def test_a_case_file_names_a_recording(case_file: CaseFile, base: Rulebase, advisor: Advisor) -> None:
    path = case_file("""
told by: measured
logs: {sound: {file: idle.wav, starts: warm, near: 1000 rpm, shorted: [left, right, left, right]}}
""")
    written(path.parent / "idle.wav", made(shorting((120.0, 310.0, 110.0, 300.0))))
    case = read_case(path, base)
    assert case.logs[0].near == 1000
    assert case.logs[0].shorted == IN_TURN
    again = path.with_name("again.yaml")
    again.write_text(case_text(case, base).replace(str(path.parent) + "/", ""), encoding="utf-8")
    assert replace(read_case(again, base).logs[0], line=0) == replace(case.logs[0], line=0)
    whole = advisor.in_full(case)
    assert whole.logs == ()
    assert {one.side for one in whole.measured if one.reading == "drop-idle"} == {"left", "right"}
    told = {(one.sign, one.side): one.seen for one in advisor.chained(whole).evidence}
    assert told["drop-half-idle", "left"] is True
    by_hand = case_file("""
told by: measured
measured: {drop-idle: {left: 300 rpm, right: 300 rpm}}
logs: {sound: {file: idle.wav, starts: warm, shorted: [left, right, left, right]}}
""")
    mine = [one for one in advisor.in_full(read_case(by_hand, base)).measured if one.reading == "drop-idle"]
    assert [one.values for one in mine] == [(300.0,), (300.0,)]


@pytest.mark.parametrize(
    ("logs", "says"),
    [
        ("{sound: idle.wav}", "write it like '{file: idle.wav}'"),
        ("{sound: {file: nowhere.wav}}", "there is no log 'nowhere.wav'"),
        ("{sound: {file: idle.wav, near: 1000}}", "unit"),
        ("{sound: {file: idle.wav, near: -5 rpm}}", "cannot be right"),
        ("{sound: {file: idle.wav, shorted: [left, up]}}", "up"),
        ("{sound: {file: idle.wav, gear: 5}}", "gear"),
        ("{idle: {file: idle.wav, near: 1000 rpm}}", "near"),
    ],
)
def test_mistakes_in_a_case_are_said_with_their_line(case_file: CaseFile, base: Rulebase, logs: str, says: str) -> None:
    path = case_file(f"logs: {logs}\n")
    (path.parent / "idle.wav").write_bytes(b"")
    with pytest.raises(CaseError) as caught:
        read_case(path, base)
    assert any(says in one.text and one.line == 1 for one in caught.value.problems)


def test_a_case_from_a_program_is_checked(
    tmp_path: Path, base: Rulebase, advisor: Advisor, case_file: CaseFile
) -> None:
    case = read_case(case_file("complaint: none\n"), base)
    one = log(tmp_path, steady(1000, 5))
    for wrong, says in (({"near": -1.0}, "near"), ({"near": float("inf")}, "near"), ({"shorted": (None,)}, "shorted")):
        with pytest.raises(CaseError, match=says):
            advisor.diagnose(replace(case, logs=(replace(one, **wrong),)))
