"""A case's logs as readings and signs, and an idle log in words."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.case import LogFile
from advisor.readings.idle_log import Slope
from advisor.readings.logs import NEVER_WARM, NOTHING_ODD, STANDS, idle_picture, readings_of
from advisor.rulebase import Rulebase
from tests.readings.test_idle_log import STEADY, WARM, log


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
