"""Figures in sentences: which are readings, of what, in which unit, on which side."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.intake.told_figures import told_readings
from advisor.intake.valid import mistakes
from advisor.rulebase.model import Rulebase
from tests.cases import case


def told(base: Rulebase, sentence: str) -> set[str]:
    """Return the readings of a sentence, each as `name:side figure unit`."""
    found = told_readings(sentence, base)
    return {f"{one.reading}:{one.side} {one.given}" if one.side else f"{one.reading} {one.given}" for one in found}


@pytest.mark.parametrize(
    ("sentence", "readings"),
    [
        ("idles at 1300", {"idle-speed 1300 rpm"}),
        ("it ticks over at eleven hundred", {"idle-speed 1100 rpm"}),
        ("idle 1.2k", {"idle-speed 1200 rpm"}),
        ("compression both 150", {"compression:left 150 psi", "compression:right 150 psi"}),
        ("compression test gave 150/120 left/right", {"compression:left 150 psi", "compression:right 120 psi"}),
        (
            "left column 205, right 240 at 1100 rpm",
            {"column-idle:left 205 mmHg", "column-idle:right 240 mmHg", "idle-speed 1100 rpm"},
        ),
        (
            "with the left cap off it loses 300, with the right off 80",
            {"drop-idle:left 300 rpm", "drop-idle:right 80 rpm"},
        ),
        ("left exhaust at 10 thou instead of 8", {"clearance-exhaust:left 10 thou"}),
        ("inlet 0.10 exhaust 0.15 on the left", {"clearance-inlet:left 0.10 mm", "clearance-exhaust:left 0.15 mm"}),
        ("left screw 1.5 out, right 2.25", {"mixture-turns:left 1.5 turns", "mixture-turns:right 2.25 turns"}),
        ("left stop screw is in one and a half turns", {"stop-turns:left 1.5 turns"}),
        ("left needle in the third notch", {"needle-notch:left 3 notches"}),
        ("points are 0.35, dwell 115", {"points-gap 0.35 mm", "points-dwell 115 deg"}),
        ("battery reads 12.6 volts, 14.1 at 3000", {"battery-rest 12.6 V", "charging-volts 14.1 V"}),
        ("right coil 3.1 ohms", {"coil-primary:right 3.1 ohm"}),
        ("tickover is about 1,050", {"idle-speed 1050 rpm"}),
        ("idle speed of eleven hundred", {"idle-speed 1100 rpm"}),
        ("it won't idle below 1600", {"idle-speed 1600 rpm"}),
        ("it climbs to 1800 as it warms", {"idle-speed 1800 rpm"}),
        ("it idles at a thousand", {"idle-speed 1000 rpm"}),
        ("hunts between 900 and 1300", {"idle-swing 400 rpm"}),
        ("the idle wanders 900-1300", {"idle-swing 400 rpm"}),
        ("left 240 right 205", {"column-idle:left 240 mmHg", "column-idle:right 205 mmHg"}),
        ("left 240 right 205 mmHg", {"column-idle:left 240 mmHg", "column-idle:right 205 mmHg"}),
        ("9 inHg on the left, 8 on the right", {"column-idle:left 9 inHg", "column-idle:right 8 inHg"}),
        ("gauge shows 22 left and 19 right", {"column-idle:left 22 cmHg", "column-idle:right 19 cmHg"}),
        ("nothing on the right on the gauge", {"column-idle:right 0 mmHg"}),
        ("compression 145 left and 100 right", {"compression:left 145 psi", "compression:right 100 psi"}),
        ("compression is 9 bar left, 8.5 right", {"compression:left 9 bar", "compression:right 8.5 bar"}),
        ("2 and a half turns out on the left", {"mixture-turns:left 2.5 turns"}),
        ("mixture screws at 1 1/2 turns", {"mixture-turns:left 1.5 turns", "mixture-turns:right 1.5 turns"}),
        ("14.2 volts running", {"charging-volts 14.2 V"}),
        ("battery 12.4 V", {"battery-rest 12.4 V"}),
        ("points gap 12 thou", {"points-gap 12 thou"}),
        ("plug gap 0.7mm on the right", {"plug-gap:right 0.7 mm"}),
        ("left plug cap measures 5k", {"cap-resistance:left 5 kohm"}),
        ("2.5 Mohm in the left cap", {"cap-resistance:left 2.5 Mohm"}),
        ("shorting the left plug drops 300, the right 150", {"drop-idle:left 300 rpm", "drop-idle:right 150 rpm"}),
        ("short the right plug, 1000 to 850", {"idle-speed 1000 rpm", "drop-idle:right 150 rpm"}),
        ("pull the left lead and nothing changes", {"drop-idle:left 0 rpm"}),
        ("2 mm of slack in the left cable", {"cable-slack:left 2 mm"}),
        ("the revs take 5 seconds to come down", {"hang-time 5 s"}),
        ("at 1800 m it runs badly", {"altitude 1800 m"}),
        ("inlet 6 thou on the left", {"clearance-inlet:left 6 thou"}),
        ("four inlet and six exhaust on the left", {"clearance-inlet:left 4 thou", "clearance-exhaust:left 6 thou"}),
        (
            "right exhaust tappet eight thou, inlet 6",
            {"clearance-exhaust:right 8 thou", "clearance-inlet:right 6 thou"},
        ),
        ("plugs sooty, gap 0.7 on both", {"plug-gap:left 0.7 mm", "plug-gap:right 0.7 mm"}),
        ("twelve point four volts at the battery, cranks slowly", {"battery-rest 12.4 V"}),
        (
            "the right makes 128 psi, the left 135, leak-down 8 and 11 percent",
            {"compression:left 135 psi", "compression:right 128 psi", "leak-down:right 8 %", "leak-down:left 11 %"},
        ),
        (
            "compression one forty left and one thirty-five right",
            {"compression:left 140 psi", "compression:right 135 psi"},
        ),
        ("idles at 1200 hot and 900 cold", {"idle-speed 1200 rpm"}),
        ("clearances 0.1/0.15 on the left", {"clearance-inlet:left 0.1 mm", "clearance-exhaust:left 0.15 mm"}),
        ("right plug gap point seven", {"plug-gap:right 0.7 mm"}),
        ("left needle second from the top", {"needle-notch:left 2 notches"}),
        ("it sits at 2k", {"idle-speed 2000 rpm"}),
        ("left mixture screw a turn and a quarter", {"mixture-turns:left 1.25 turns"}),
        ("the left cap is five kilohms", {"cap-resistance:left 5 kohm"}),
        ("it hangs for four or five seconds", {"hang-time 4 to 5 s"}),
        (
            "columns left 300 mm oil, right 250 mm oil",
            {"column-idle:left 300 mm of oil", "column-idle:right 250 mm of oil"},
        ),
        ("the left column stands 12 cm of oil high", {"column-idle:left 12 cm of oil"}),
        ("oil level fine, left column 240 mm Hg", {"column-idle:left 240 mmHg"}),
        ("idles at 1050, but hangs at 2000 after a blip", {"idle-speed 1050 rpm"}),
        ("idle is 1050, sometimes 1400", {"idle-speed 1050 rpm"}),
        ("idle 900-950, drop equal both sides on shorting", {"idle-speed 900 to 950 rpm"}),
        ("it just sits there at 950 purring", {"idle-speed 950 rpm"}),
        ("it ticks over at a thousand and fifty", {"idle-speed 1050 rpm"}),
        ("idle fine, maybe a touch high at 1100", {"idle-speed 1100 rpm"}),
        ("idle was 1000, now 1600", {"idle-speed 1600 rpm"}),
        ("compression 140ish on the left", {"compression:left 140 psi"}),
        (
            "compression hundred and thirty left, ninety-five right",
            {"compression:left 130 psi", "compression:right 95 psi"},
        ),
        ("compression left 140, the other side 120", {"compression:left 140 psi", "compression:right 120 psi"}),
        (
            "left lead sparks. That cap reads 30k, the other 5k",
            {"cap-resistance:left 30 kohm", "cap-resistance:right 5 kohm"},
        ),
        ("left and right gauges show 18 and 14", {"column-idle:left 18 cmHg", "column-idle:right 14 cmHg"}),
        ("columns read 220 and 200, left first", {"column-idle:left 220 mmHg", "column-idle:right 200 mmHg"}),
        ("LH 9.1 bar RH 8.8 bar compression", {"compression:left 9.1 bar", "compression:right 8.8 bar"}),
        ("slack 3mm L 1mm R", {"cable-slack:left 3 mm", "cable-slack:right 1 mm"}),
        ("the return to idle takes three, four seconds", {"hang-time 3 to 4 s"}),
        ("left cap measures 8,2 k, battery 12,4 V", {"cap-resistance:left 8.2 kohm", "battery-rest 12.4 V"}),
        ("kill left it stalls, kill right it drops 100", {"drop-idle:left stalls", "drop-idle:right 100 rpm"}),
        ("CO 3.5 left, 4.1 right", {"exhaust-co:left 3.5 %", "exhaust-co:right 4.1 %"}),
        ("12.6 standing and 14.2 at three thousand", {"battery-rest 12.6 V", "charging-volts 14.2 V"}),
    ],
)
def test_a_figure_is_taken(base: Rulebase, sentence: str, readings: set[str]) -> None:
    assert told(base, sentence) == readings


@pytest.mark.parametrize(
    "sentence",
    [
        "it shakes at 60 mph",
        "it misfires above 3000",
        "500 miles ago",
        "it chimes in at about 2000 rpm",
        "idle is 500 higher than it was",
        "35 mpg",
        "850 cold",
        "first gear at 30 it jerks",
        "after 20 minutes it dies",
        "a litre every 600 miles",
        "11 volts while cranking",
        "kill the right and it drops to 900",
        "the left column is 20 mm higher",
        "leak-down 8 and 11 percent",
        "one exhaust is cold",
        "left exhaust temperature 180, right 240",
        "it shakes between 55 and 65, gone by 70",
        "revs hang at about 1800",
        "it idles at 2200 only at the lights",
        "it sits at 2000 after a blip",
        "sometimes it idles at 1500",
        "135 psi one side, 95 the other",
        "on the gauges it was 18 and 14",
        "CO was 3.2 and 3.4",
        "the book says idle 1000",
        "it used to idle at 1000",
    ],
)
def test_what_could_be_anything_is_left_alone(base: Rulebase, sentence: str) -> None:
    assert told(base, sentence) == set()


PIECES = ["idle", "at", "left", "right", "1200", "0.15", "99999999", "mm", "psi", "to", "drops", "gauge", ",", "both"]


@given(st.one_of(st.text(max_size=50), st.lists(st.sampled_from(PIECES), max_size=12).map(" ".join)))
def test_every_reading_told_can_stand_in_a_case(base: Rulebase, sentence: str) -> None:
    for one in told_readings(sentence, base):
        assert next(mistakes(replace(case(), measured=(one,)), base), None) is None
