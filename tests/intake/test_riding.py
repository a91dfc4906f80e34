"""Shakes and logs in a case file, and the bike's own sheet."""

import subprocess
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.errors import CaseError
from advisor.intake.bike_sheet import read_sheet
from advisor.intake.casefile import read_case
from advisor.places import shipped
from advisor.rulebase import Rulebase
from tests.conftest import CaseFile

SHEET = shipped("cases_demo") / "bikes" / "mail-bike.yaml"


def wrong(case_file: CaseFile, base: Rulebase, text: str) -> list[tuple[int, str]]:
    with pytest.raises(CaseError) as caught:
        read_case(case_file(text), base)
    return [(one.line, one.text) for one in caught.value.problems]


def test_shakes_become_signs(case_file: CaseFile, base: Rulebase, advisor: Advisor) -> None:
    path = case_file("""
bike: {gears: [15, 10, 7.5, 6, 5], tyre: 4.00-18}
told by: told
seen: {cruise-vibration: yes}
shakes:
  - {speed: 90 km/h, gear: 5}
  - {speed: 56 mph, gear: 4}
  - {speed: 90 km/h, clutch: in}
""")
    case = advisor.in_full(read_case(path, base))
    told = {one.sign: one.seen for one in case.seen}
    assert told["shake-follows-road-speed"] is True
    assert told["shake-follows-engine"] is False
    assert case.shakes == ()
    assert advisor.in_full(case) == case


def test_what_was_told_outright_goes_before(case_file: CaseFile, base: Rulebase, advisor: Advisor) -> None:
    path = case_file("""
bike: {gears: [15, 10, 7.5, 6, 5], tyre: 4.00-18}
seen: {shake-follows-road-speed: no}
shakes: [{speed: 90 km/h, gear: 5}, {speed: 90 km/h, gear: 4}]
""")
    case = advisor.in_full(read_case(path, base))
    assert [(one.sign, one.seen) for one in case.seen if one.sign == "shake-follows-road-speed"] == [
        ("shake-follows-road-speed", False)
    ]


def test_mistakes_in_shakes_and_logs(case_file: CaseFile, base: Rulebase) -> None:
    found = wrong(
        case_file,
        base,
        """shakes:
  - {gear: 5}
  - {speed: 90}
  - {speed: 90 km/h, gear: 9}
  - {speed: 90 km/h, throttle: open}
  - {speed: -90 km/h, clutch: out}
logs:
  idle: idle.csv
  shake: {file: nowhere.csv}
  cold: {file: x}
""",
    )
    lines = [line for line, _ in found]
    assert set(lines) >= {2, 3, 4, 5, 6, 8, 9, 10}
    assert any("there is no log 'nowhere.csv'" in text for _, text in found)


def test_the_shipped_sheet_is_read(base: Rulebase) -> None:
    bike = read_sheet(SHEET, base)
    assert set(bike.figures) == set(base.figures)
    assert bike.figures["clearance-inlet"] == pytest.approx((0.12, 0.18))
    assert bike.figures["rocker-end-float"] == pytest.approx((1.0, 3.0))
    assert bike.figures["timing-idle"] == (4.0, 8.0)
    assert len(bike.gears) == 5


def test_a_case_says_more_than_its_sheet(case_file: CaseFile, base: Rulebase) -> None:
    path = case_file(f"bike: {{sheet: '{SHEET}', name: nine, figures: {{idle-speed: 1100 to 1200 rpm}}}}\n")
    bike = read_case(path, base, [SHEET.parent]).bike
    assert bike.name == "nine"
    assert bike.figures["idle-speed"] == (1100.0, 1200.0)
    assert bike.figures["plug-gap"] == pytest.approx((0.6, 0.7))
    assert bike.parts["caps"] == "resistor"


def test_the_bikes_own_figure_decides_and_a_default_is_marked(
    case_file: CaseFile, base: Rulebase, advisor: Advisor
) -> None:
    told = "measured: {idle-speed: 1150 rpm}\n"
    plain = advisor.diagnose(read_case(case_file(told), base))
    assert any("Idle speed" in one for one in plain.default_figures)
    assert any(sign.id == "idle-too-high" and sign.state == "seen" for sign in plain.signs)
    own = advisor.diagnose(read_case(case_file("bike: {figures: {idle-speed: 1100 to 1250 rpm}}\n" + told), base))
    assert own.default_figures == ()
    assert not any(sign.id == "idle-too-high" and sign.state == "seen" for sign in own.signs)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("bike: {tyre: wide}", "not a tyre size"),
        ("bike: {gears: [5, 10]}", "first gear first"),
        ("bike: {figures: {idle-sped: 900 rpm}}", "did you mean 'idle-speed'"),
        ("bike: {figures: {idle-speed: 900}}", "has no unit"),
        ("bike: {sheet: nowhere.yaml}", "cannot be read"),
        ("bike: {parts: {caps: copper}}", "copper"),
    ],
)
def test_mistakes_in_a_bike(case_file: CaseFile, base: Rulebase, text: str, says: str) -> None:
    assert says in " ".join(one for _, one in wrong(case_file, base, text + "\n"))


def test_an_instruments_zero_is_taken_off(case_file: CaseFile, base: Rulebase, advisor: Advisor) -> None:
    """A leg that stands 20 mmHg high at rest makes no difference between the carburettors."""
    columns = "measured: {column-idle: {left: 240 mmHg, right: 220 mmHg}%s}\n"
    plain = advisor.diagnose(read_case(case_file(columns % ""), base))
    zeroed = advisor.diagnose(read_case(case_file(columns % ", column-at-rest: {left: 20 mmHg, right: 0 mmHg}"), base))

    def higher(report: object) -> bool:
        return any(s.id == "column-higher-idle" and s.state == "seen" for s in report.signs)  # type: ignore[attr-defined]

    assert higher(plain)
    assert not higher(zeroed)


def test_a_case_without_a_log_needs_no_numpy() -> None:
    code = """
import sys
from advisor.cli import cli
cli(["diagnose", sys.argv[1]], standalone_mode=False)
print([name for name in ("numpy", "scipy", "pandas", "matplotlib") if name in sys.modules], file=sys.stderr)
"""

    def heavy(case: str) -> str:
        path = shipped("cases_demo") / f"{case}.yaml"
        done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=True)
        return done.stderr.strip()

    assert heavy("mail-4-shakes-at-cruise") == "[]"
    assert "numpy" in heavy("mail-8-recorded-idle")


def test_a_log_counts_unless_measured_by_hand(base: Rulebase, advisor: Advisor) -> None:
    case = read_case(shipped("cases_demo") / "mail-8-recorded-idle.yaml", base)
    full = advisor.in_full(case)
    assert {"idle-speed", "hang-time", "idle-swing"} <= {one.reading for one in full.measured}
    by_hand = replace(case, measured=(*case.measured, *(one for one in full.measured if one.reading == "hang-time")))
    assert [one.reading for one in advisor.in_full(by_hand).measured].count("hang-time") == 1


def test_a_bad_log_is_one_message(case_file: CaseFile, base: Rulebase, advisor: Advisor, tmp_path: Path) -> None:
    (tmp_path / "idle.csv").write_text("when,what\n1,2\n", encoding="utf-8")
    case = read_case(case_file("logs: {idle: {file: idle.csv}}\n"), base)
    with pytest.raises(CaseError, match="no column 'time s'"):
        advisor.diagnose(case)
