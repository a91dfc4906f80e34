"""`advisor measure`: any one reduction on its own, with the picture in words."""

import json
import math
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.cli import cli
from advisor.cli.measure import example, measure
from advisor.places import shipped
from advisor.readings.manometer import TUBE
from advisor.rulebase import Rulebase

SHEET = str(shipped("cases_demo") / "bikes" / "mail-bike.yaml")
LOG = shlex.quote(str(shipped("cases_demo") / "logs" / "mail-8-idle.csv"))


def run(words: str, *more: str) -> Result:
    return CliRunner().invoke(cli, ["measure", *shlex.split(words), *more])


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("column-idle left 240 mmHg right 205 mmHg", "Open the left idle stop a little"),
        ("column-idle left 205 mmHg right 240 mmHg", "Open the right idle stop a little"),
        ("column-idle left more by 35 mmHg", "Open the left idle stop a little"),
        ("column-idle left 221 mmHg right 222 mmHg", "Leave the stops"),
        ("column-off-idle left 150 mmHg right 190 mmHg", "Take up the right cable"),
        ("drop-idle left 200 rpm, 215 rpm, 205 rpm right 290 rpm, 280 rpm, 285 rpm", "left is the weaker"),
        ("drop-idle left 300 rpm right 90 rpm", "The right side is the weaker at idle"),
        ("drop-idle left 200 rpm, 215 rpm right 250 rpm, 290 rpm", "more trials a side would decide it"),
        (
            "clearance-inlet left goes 0.006 in stops 0.007 in right goes 0.001 in stops 0.002 in",
            "right valve clearance is tight",
        ),
        ("clearance-exhaust left goes 0.008 in, does not go 0.009 in right 0.2 mm", "within"),
        ("rocker-end-float left 2 thou right 1/16 in", "end float"),
        ("cap-resistance left 5 kohm right 5.2 kohm", "kohm"),
        ("compression left 9.5 bar right 7.0 bar", "Check its valve clearances first"),
        ("idle-speed 1300 rpm", "Idle too fast"),
        ("altitude 1500 m", "lambda times 0.929"),
        ("speed 100 km/h --tyre 120/90-18 --ratio 4.5", "3546 rpm"),
        ("tube", "tablespoons"),
        (f"log {LOG} --starts warm", "every 4.29 s"),
        ("readings", "drop-off-idle"),
        ("column-idle left 240 mmHg right 205", "left more by 35 mmHg"),
        ("column idle L 240 mmHg R 205 mmHg", "left more by 35 mmHg"),
        ("drop-idle l: 200, 210 r: 280", "trusted from 190 to 220 rpm"),
        ("drop-idle left stall, 400 right 200", "right is the weaker"),
        ("idle speed 1050", "1050 rpm, trusted from 1030 to 1070"),
        ("idle-speed 1,050 rpm", "1050 rpm, trusted from 1030 to 1070"),
        ("stop-turns left 1 1/2 turns right 1-1/4 turns", "left more by 0.25 turns"),
        ("stop-turns left 1 turns right 1 turns", "left 1 turn, trusted"),
        ("column-swing 20-30 mmHg", "25 mmHg (3.33 kPa)"),
        ("clearance-inlet left goes 0.006 stops 0.007 in", "trusted from 0.006 to 0.007 in"),
        ("altitude 1,500 m --set-at 1,200 m", "if it was set at 1200 m"),
        ("altitude 1500 m --set-at 300 m", "if it was set at 300 m"),
        ("altitude --set-at 300 m 1500 m", "if it was set at 300 m"),
        ("altitude 1500 m --set-at 300", "if it was set at 300 m"),
        ("altitude -100 m", "as rich as where they were set"),
        ("altitude 0 m", "as rich as where they were set"),
        ("speed 100 km/h --tyre 120/90-18 --ratio 4.5", "Ride this speed in another gear"),
        ("feel 'gear 5 90 km/h shakes'", "This leaves open where it comes from"),
        ("drop-idle left 180 rpm, 215 rpm right 250 rpm, 290 rpm", "by the scatter of the trials (Welch's test)"),
        ("column-idle --help", "advisor measure column-idle left 30 kPa right 30 kPa"),
    ],
)
def test_says_which_side_which_screw_which_way(words: str, says: str) -> None:
    result = run(words)
    assert result.exit_code == 0, result.output
    assert says in " ".join(result.output.split())
    assert all(len(line) <= 80 for line in result.output.splitlines())


def test_a_thin_fluid_in_a_wide_tube_swings() -> None:
    assert "swings past its mark" in run("tube", "--viscosity", "1/2 cSt", "--bore", "8 mm").output
    assert "'0 mm' cannot be right; it lies between 1 mm and 100 mm" in run("tube", "--bore", "0 mm").stderr


def test_what_a_shake_belongs_to() -> None:
    words = ["gear 5 90 km/h shakes", "gear 4 90 km/h shakes", "clutch in 90 km/h shakes"]
    result = run("feel", *words, "--bike", SHEET)
    assert "yes           The shake belongs to the road speed" in result.output


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("colum-idle left 3 mmHg", "did you mean 'column-idle'"),
        ("column-idle 240 mmHg", "is measured on a side"),
        ("column-idle up 240 mmHg", "measured on a side"),
        ("column-idle left 240 right 205", "has no unit"),
        ("column-idle left 32,5 kPa right 30 kPa", "use a point, like 32.5"),
        ("idle-speed 200,210 rpm", "separated by a comma and a space"),
        ("cable-slack left 3,125 mm right 3 mm", "use a point, like 3.125"),
        ("idle-speed 1000 rpm 1010 rpm", "separate repeats with commas, like '1000 rpm, 1010 rpm'"),
        ("drop-idle left 200 210 right 250", "separate repeats with commas, like '200, 210'"),
        ("column left 3 mmHg", "did you mean 'column-idle' or"),
        ("balance left 3 mmHg", "did you mean 'column-idle' or 'drop-idle'"),
        ("valves left 3 mmHg", "did you mean 'clearance-exhaust' or 'clearance-inlet'"),
        ("idle left 3 mmHg", "did you mean 'idle-speed' or 'column-idle' or 'drop-idle'"),
        ("Volts 3 mmHg", "did you mean 'battery-rest' or 'charging-volts'"),
        ("xylophone 3 mm", "is called 'xylophone'; list them"),
        ("xylophone --help", "is called 'xylophone'; list them"),
        ("column-idle", "write it like: advisor measure column-idle left 30 kPa right 30 kPa"),
        ("altitude", "write it like: advisor measure altitude"),
        ("speed", "write it like: advisor measure speed"),
        ("feel", "write it like: advisor measure feel"),
        ("speed 100 km/h --tyre 120-90-18", "'120-90-18' is not a tyre size"),
        ("column-idle x left 3 mmHg right 4 mmHg", "stands before any side"),
        ("column-idle left 3 mmHg left 4 mmHg", "is given twice"),
        ("idle-speed left 900 rpm", "has no sides"),
        ("idle-speed 90000 rpm", "cannot be right"),
        ("altitude 90000 m", "between -500 m and 11000 m"),
        ("altitude 1,5 m", "no thousands mark"),
        ("altitude high", "not a figure with a unit"),
        ("speed 100 km/h", "the tyre is needed"),
        ("speed 100 km/h --tyre 4.00-18", "the gearing is needed"),
        ("feel nonsense", "is not a moment"),
        ("log nowhere.csv", "cannot be read"),
        ("shake nowhere.csv", "cannot be read"),
        (f"shake {LOG}", "no column 'acceleration m/s2'"),
    ],
)
def test_a_mistake_is_one_message(words: str, says: str) -> None:
    result = run(words)
    assert result.exit_code == 1
    assert says in result.stderr
    assert "Traceback" not in result.output


@pytest.mark.parametrize(
    "words", ["column-idle left 240 mmHg right 205 mmHg", "altitude 900 m", "tube", f"log {LOG} --starts warm"]
)
def test_json(words: str) -> None:
    assert json.loads(run(words, "--format", "json").output)


@pytest.mark.parametrize(("pieces", "rows"), [(3, ["pause"] * 2), (9, ["pauses"])])
def test_an_idle_log_with_pauses_says_what_it_cannot_tell(tmp_path: Path, pieces: int, rows: list[str]) -> None:
    lines = (f"{20 * piece + row / 10},1000" for piece in range(pieces) for row in range(120))
    (tmp_path / "idle.csv").write_text("time s,rpm\n" + "\n".join(lines), encoding="utf-8")
    result = run("log", str(tmp_path / "idle.csv"), "--starts", "warm")
    assert result.exit_code == 0
    assert "its longest stretch of warm idle lasts 12 s; 30 s are needed." in " ".join(result.output.split())
    assert "Nothing odd" not in result.output
    assert "wander not known" in " ".join(result.output.split())
    assert [line.split()[0] for line in result.output.splitlines() if line.startswith("  pause")] == rows


def test_what_to_do_stands_first_and_what_is_right_last() -> None:
    lines = run("column-idle left 240 mmHg right 205 mmHg").output.splitlines()
    marks = [line.split()[0] for line in lines[1:] if line.strip() and not line.startswith("    ")]
    assert marks == ["→", "sign", "left", "right", "left", "held", "within"]


def test_every_readings_own_example_is_taken(base: Rulebase) -> None:
    for reading in (one for one in base.readings.values() if one.id not in measure.commands):
        helped = run(f"{reading.id} --help")
        assert helped.exit_code == 0
        shown = " ".join(helped.output.split()).partition(" Options:")[0].rpartition("advisor measure ")[2]
        assert shown == f"{reading.id} {example(reading)}"
        assert run(shown).exit_code == 0, shown


def test_a_log_of_an_engine_that_stands(tmp_path: Path) -> None:
    path = tmp_path / "stands.csv"
    path.write_text("time s,revs rpm\n" + "\n".join(f"{n},0" for n in range(200)), encoding="utf-8")
    words = " ".join(run(f"log {shlex.quote(str(path))}").output.split())
    assert "The engine does not run in this log" in words
    assert "never got warm" not in words


def test_many_steps_are_one_line(tmp_path: Path) -> None:
    """The demo's log, its times ten times as long: 45 steps of a hunt that lasts longer than a step must."""
    head, *rows = (shipped("cases_demo") / "logs" / "mail-8-idle.csv").read_text(encoding="utf-8").splitlines()
    slow = [f"{10 * float(row.partition(',')[0]):g},{row.partition(',')[2]}" for row in rows]
    path = tmp_path / "slow.csv"
    path.write_text("\n".join([head, *slow]), encoding="utf-8")
    lines = run(f"log {shlex.quote(str(path))} --starts warm").output.splitlines()
    assert [line.split()[0] for line in lines if line.strip()].count("steps") == 1
    assert "something let go" not in " ".join(lines)


def test_every_reading_can_be_worked_out(base: Rulebase) -> None:
    for reading in base.readings.values():
        middle = f"{reading.lowest + 0.3 * (reading.highest - reading.lowest):g} {reading.unit}"
        words = f"left {middle} right {middle}" if reading.sided else middle
        result = run(f"{reading.id} {words}")
        assert result.exit_code == 0, result.output


def test_a_shake_log(tmp_path: Path) -> None:
    import math

    rows = [f"{n / 500},{3 * math.sin(2 * math.pi * 3600 / 60 * n / 500):.3f}" for n in range(5000)]
    path = tmp_path / "shake.csv"
    path.write_text("time s,acceleration m/s2\n" + "\n".join(rows), encoding="utf-8")
    assert "once a turn" in " ".join(run(f"shake {shlex.quote(str(path))}", "--revs", "3600 rpm").output.split())
    refused = run(f"shake {shlex.quote(str(path))}")
    assert refused.exit_code == 1
    assert "gear" in refused.stderr


@settings(max_examples=60, deadline=None)
@given(words=st.lists(st.text(max_size=12).filter(lambda one: not one.startswith("-")), min_size=1, max_size=5))
def test_no_words_yield_a_traceback(words: list[str]) -> None:
    result = CliRunner().invoke(cli, ["measure", "drop-idle", *words])
    assert result.exit_code in {0, 1}
    assert result.exception is None or isinstance(result.exception, SystemExit)


LONG = "9" * 5_000


@pytest.mark.parametrize(
    ("words", "says"),
    [
        ("speed 100 km/h --ratio 4.5 --tyre 000/00-00", "'000/00-00' is not a tyre size"),
        ("speed 100 km/h --ratio 4.5 --tyre 0.00-00", "'0.00-00' is not a tyre size"),
        (f"speed 100 km/h --ratio 4.5 --tyre {LONG}", "999...' is not a tyre size"),
        ("speed 0 km/h --ratio 4.5 --tyre 120/90-18", "'0 km/h' cannot be right; it lies between 1 km/h and 400 km/h"),
        (f"speed {LONG} km/h --ratio 4.5 --tyre 120/90-18", "is not a figure with a unit"),
        (
            "tube --leg '5000000 mm' --top '6000000 mm'",
            "--leg: '5000000 mm' cannot be right; it lies between 10 mm and",
        ),
        ("tube --loop='-1 mm'", "--loop: '-1 mm' cannot be right; it lies between 0 mm and 100000 mm"),
        ("tube --bore '1e300 mm'", "'e300 mm' is not a unit known here"),
        ("tube --bore nan --leg inf", "'nan' is not a figure with a unit"),
        (f"tube --density '{'9' * 80} kg/m3'", "cannot be right; no figure here is that large"),
        ("tube --viscosity '0.0000001 cSt'", "it lies between 0.05 cSt and 10000 cSt"),
        ("tube --leg '900 mm'", "the fluid's leg must be lower than the top of the tube"),
        ("altitude 12000 m", "height: '12000 m' cannot be right; it lies between -500 m and 11000 m"),
        (f"log {LOG} --warm-at '5000 C'", "--warm-at: '5000 C' cannot be right; it lies between -40 C and 400 C"),
        (
            "shake none.csv --revs='-3000 rpm'",
            "--revs: '-3000 rpm' cannot be right; it lies between 100 rpm and 20000 rpm",
        ),
        ("feel 'gear 5 5000 km/h shakes'", "cannot be right; it lies between 1 km/h and 400 km/h"),
        (f"feel 'gear 5 {LONG} km/h shakes'", "999...' is not a moment"),
        (f"idle-speed {LONG} rpm", "this is 5,004 signs long; the figures of one reading take 1,000 at most"),
        (f"stop-turns left {'9' * 400} 1/2 turns", "is more than one figure"),
        (f"cable-slack left {'9' * 90} mm", "no figure here is that large"),
        (f"cable-slack left {'9' * 400} mm", "is not a figure with a unit"),
        ("column-idle left 100 mm of 99999999 kg/m3", "is not a column of fluid"),
        (LONG, "no method or reading is called '99999"),
    ],
)
def test_no_extreme_yields_more_than_one_short_message(words: str, says: str) -> None:
    result = run(words)
    assert result.exit_code == 1, result.output
    assert says in result.stderr.replace("\n", " ")
    assert len(result.stderr) < 1_300
    assert not result.stdout


@pytest.mark.parametrize("ratio", ["nan", "inf", "0", "-4.5", "1e300", LONG])
def test_a_ratio_is_a_figure_that_gears_can_have(ratio: str) -> None:
    result = run(f"speed 100 km/h --tyre 120/90-18 --ratio={ratio}")
    assert result.exit_code == 2
    assert "Traceback" not in result.output
    assert "--ratio" in result.stderr


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_any_tube_within_its_bounds_has_figures(data: st.DataObject) -> None:
    given_ = {name: data.draw(st.floats(one.low, one.high), label=name) for name, one in TUBE.items()}
    options = [f"--{name}={figure:.6f} {TUBE[name].unit}" for name, figure in given_.items()]
    result = run("tube --format json", *options)
    if result.exit_code:
        assert "cannot be right" in result.stderr or "must be lower" in result.stderr
        return
    found = json.loads(result.stdout)
    assert all(math.isfinite(one) and one > 0 for one in found.values() if not isinstance(one, bool))


RULE = """
our-slack-differs:
  when: [{reading: cable-slack, side: this side, above: our-most}]
  shows: {cable-slack-off: this side}
  reason: More slack than this shop leaves.
  source: this shop
  examples:
    - {name: more, measured: {cable-slack: {left: 9 mm}}, fires: left}
    - {name: less, measured: {cable-slack: {left: 3 mm}}, quiet: yes}
"""


@pytest.mark.parametrize(
    ("do", "says"),
    [
        ("do: Screw the {side} adjuster out two turns.", "Screw the right adjuster out two turns."),
        ("", "Outside its limit (more than we leave), and no page says what to do about it."),
    ],
)
def test_a_shops_own_limit_says_its_own_sentence(tmp_path: Path, do: str, says: str) -> None:
    """Its rule takes the place of the shipped one, whose limit then goes by the shop's sentence."""
    limit = f"our-most:\n  value: 8 mm\n  meaning: more than we leave\n  source: this shop\n  {do}\n"
    shipped_most = "slack-most: {value: 24 mm, meaning: never here, source: this shop}\n"
    (tmp_path / "limits.yaml").write_text(limit + shipped_most, encoding="utf-8")
    (tmp_path / "cables").mkdir()
    (tmp_path / "cables" / "patterns.yaml").write_text(RULE, encoding="utf-8")
    result = run("cable-slack right 9 mm", "--rules", str(tmp_path))
    assert result.exit_code == 0, result.output
    assert says in " ".join(result.output.split())
