"""Jobs made in tests: the demo cases, a case with everything on it, and sessions."""

from pathlib import Path

import numpy as np

from advisor.case import Case
from advisor.diagnose import Advisor
from advisor.intake.casefile import read_case
from advisor.intake.mapping import case_from
from advisor.places import shipped

DEMO = sorted(shipped("cases_demo").glob("*.yaml"), key=lambda one: one.name)


def demo(name: Path, advisor: Advisor) -> Case:
    return read_case(name, advisor.base)


def shake_csv(path: Path, low: float = 2500, high: float = 4500) -> Path:
    """Write a shake of the first order, from one engine speed (1/min) to another in forty seconds."""
    time = np.arange(0.0, 40.0, 0.002)
    revs = low + (high - low) * time / 40
    turns = np.cumsum(revs / 60) * 0.002
    shake = 3 * np.sin(2 * np.pi * turns) + 0.3 * np.sin(4 * np.pi * turns)
    rows = zip(time, shake, revs, strict=True)
    lines = [f"{at:.3f},{one:.4f},{speed:.1f}\n" for at, one, speed in rows]
    path.write_text("time s,acceleration m/s2,revs rpm\n" + "".join(lines), encoding="utf-8")
    return path


def full(advisor: Advisor) -> Case:
    """Return a case with readings of every form, in both families of units, and rides on which it shook."""
    told = {
        "case": "Everything at once",
        "complaint": "It shakes, and will not settle",
        "bike": {"name": "a bike", "parts": {"vacuum-ports": "fitted"}, "tyre": "4.00-18", "gears": [15.0, 10.0, 7.0]},
        "seen": {"idle-hangs": True, "misfires-idle": "left", "balance-wont-hold": True},
        "measured": {
            "column-idle": {"left": "8.1 inHg", "right": "27 kPa"},
            "column-off-idle": {"left more by": "12 mmHg"},
            "drop-idle": {"left": ["250 rpm", "260 rpm", "255 rpm"], "right": ["stalls"]},
            "clearance-inlet": {"left": "6 thou", "right": "0.15 mm"},
            "idle-speed": "1050 rpm",
        },
        "shakes": [
            {"speed": "80 km/h", "gear": 3, "shakes": True},
            {"speed": "60 mph", "gear": 3, "shakes": False},
        ],
    }
    return case_from(told, advisor.base)
