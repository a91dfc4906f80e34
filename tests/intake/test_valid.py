"""A case built in a program is held to what a file may say, and refused with every mistake at once."""

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Bike, Case, LogFile, Means, Measured, ShakeReport, SignReport
from advisor.diagnose import Advisor
from advisor.errors import CaseError
from advisor.intake.casefile import read_case
from advisor.intake.valid import mistakes, refuse_invalid
from advisor.places import shipped
from advisor.rulebase import Rulebase
from tests.cases import case, figure, random_cases, report

NAN = float("nan")


def whole(base: Rulebase) -> Case:
    """Return a valid case that has something in every field."""
    log = next(shipped("cases_demo").glob("*.csv"), Path(__file__))
    return Case(
        title="a bike",
        bike=Bike(
            name="grey one",
            parts={"plugs": "plain"},
            figures={next(iter(base.figures)): (1.0, 2.0)},
            gears=(15.4, 10.0),
            tyre="120/90-18",
        ),
        complaint="it shakes",
        seen=(report("idle-hangs"), report("plug-wet", "left", seen=False)),
        measured=(
            figure("idle-speed", None, 1000.0, base),
            Measured(
                reading="clearance-inlet",
                side="left",
                values=(),
                bounds=(0.1, 0.15),
                give=0.0,
                given="0.1 mm goes, 0.15 mm does not",
                unit="mm",
            ),
        ),
        before=(figure("mixture-turns", "right", 2.0, base),),
        shakes=(ShakeReport(shakes=True, speed=25.0, gear=5, throttle="part", how="told"),),
        logs=(LogFile(kind="idle", path=str(log), starts="warm", how="measured"),),
        put_right=(("plug-dead", "left"),),
        ruled_out=(("out-of-adjustment", None),),
        not_again=((next(one.id for one in base.checks.values() if one.sided), "right"),),
        opened=((next(one.id for one in base.covers.values() if not one.each_side), None),),
        means=Means(person="workshop", tools=frozenset({next(iter(base.tools))}), engine="warm"),
    )


@dataclass
class Broken:
    """A field of a record, with values that it cannot have."""

    at: str
    values: tuple[Any, ...]


WRONG_TYPE = (None, object(), 3.5j)
BROKEN = [
    *(Broken(f"seen[1].{field}", ("no-such-thing", 7)) for field in ("sign", "side", "how")),
    Broken("seen[1].side", (None, "both")),
    Broken("seen[0].side", ("left",)),
    Broken("seen[1].seen", ("no", 0, "yes")),
    Broken("seen[1].line", ("8",)),
    Broken("measured[0].reading", ("idle-sped", "")),
    Broken("measured[0].side", ("left",)),
    Broken("measured[1].side", (None, "up")),
    Broken("measured[0].values", ((), (NAN,), (1e9,), (-5.0,), ("1000",), (float("inf"),))),
    Broken("measured[0].give", (-1.0, NAN, "1")),
    Broken("measured[0].given", (3,)),
    Broken("measured[0].written", ((7,), "900 rpm")),
    Broken("measured[0].unit", ("mm", "", "furlongs")),
    Broken("measured[0].stalls", (-1, 2, "1")),
    Broken("measured[0].over_other", (True, 1)),
    Broken("measured[1].bounds", ((0.15, 0.1), (0.1, 1e9), (NAN, 1.0), (0.1,))),
    Broken("before[0].reading", ("mixture-turn",)),
    Broken("before[0].side", (None,)),
    Broken("shakes[0].shakes", ("yes",)),
    Broken("shakes[0].speed", (-1.0, 0.0, NAN, "25 m/s")),
    Broken("shakes[0].revs", (-1.0, NAN)),
    Broken("shakes[0].gear", (-1, 9, "5")),
    Broken("shakes[0].clutch_in", ("in",)),
    Broken("shakes[0].throttle", ("open",)),
    Broken("shakes[0].how", ("sure", "")),
    Broken("logs[0].kind", ("idel", "")),
    Broken("logs[0].path", ("no-such-file.csv", "a\0b")),
    Broken("logs[0].starts", ("hot",)),
    Broken("logs[0].speed", (-1.0, NAN)),
    Broken("logs[0].gear", (7,)),
    Broken("logs[0].near", (-1.0, NAN)),
    Broken("logs[0].shorted", (("front",), (None,))),
    Broken("logs[0].how", ("sure",)),
    Broken("put_right[0]", (("plug-ded", "left"), ("plug-dead", None), ("plug-dead", "both"), "plug-dead")),
    Broken("ruled_out[0]", (("out-of-adjustment", "left"), ("", None))),
    Broken("not_again[0]", (("no-such-check", None),)),
    Broken("opened[0]", (("no-such-cover", None),)),
    Broken("means.person", ("owner", "")),
    Broken("means.tools", (frozenset({"no-such-tool"}), "all")),
    Broken("means.engine", ("hot",)),
    Broken("cools", (-1.0, NAN, float("inf"), "60")),
    Broken("bike.name", (7,)),
    Broken("bike.parts", ({"plug": "plain"}, {"plugs": "golden"}, ["plugs"])),
    Broken("bike.figures", ({"no-such-figure": (1.0, 2.0)}, {"": (1.0, 2.0)})),
    Broken("bike.gears", ((1.0, 2.0), (-1.0,), (NAN,), tuple(range(9, 0, -1)))),
    Broken("bike.tyre", ("wide",)),
    *(Broken(field, (7,)) for field in ("title", "complaint", "seen", "measured", "before", "shakes", "logs")),
    *(Broken(field, ("x",)) for field in ("put_right", "ruled_out", "not_again", "opened", "means", "bike")),
]


def broken(one: Any, path: str, value: Any) -> Any:
    """Return a record with the value at a path of fields and places exchanged."""
    name, _, rest = path.partition(".")
    field, _, place = name.removesuffix("]").partition("[")
    inner = getattr(one, field)
    if place:
        items = list(inner)
        items[int(place)] = broken(items[int(place)], rest, value) if rest else value
        return replace(one, **{field: tuple(items)})
    return replace(one, **{field: broken(inner, rest, value) if rest else value})


@pytest.mark.parametrize("one", BROKEN, ids=lambda one: one.at)
def test_any_field_that_cannot_be_is_named(one: Broken, base: Rulebase) -> None:
    sound = whole(base)
    refuse_invalid(sound, base)
    for value in (*one.values, object(), 3.5j):
        with pytest.raises(CaseError) as refused:
            refuse_invalid(broken(sound, one.at, value), base)
        assert all(one.at.rstrip("]").split("[")[0] in problem.file for problem in refused.value.problems), value
        assert any(one.at in problem.file for problem in refused.value.problems), (value, str(refused.value))


def test_every_field_of_a_case_is_among_those_broken() -> None:
    asked = {one.at.replace("[0]", "").replace("[1]", "") for one in BROKEN}
    kinds = {"seen": SignReport, "measured": Measured, "shakes": ShakeReport, "logs": LogFile, "means": Means}
    every = {f"{name}.{field}" for name, kind in kinds.items() for field in kind.__struct_fields__}
    every |= {f"bike.{field}" for field in Bike.__struct_fields__} | set(Case.__struct_fields__)
    assert every - asked <= {"measured.line", "shakes.line", "logs.line"}, "as seen.line"


def test_all_mistakes_come_at_once(advisor: Advisor) -> None:
    told = case(report("idle-hang"), report("plug-wet"), report("idle-hangs", "left", how="sure"))
    told = replace(told, put_right=(("plug-ded", "left"),))
    for ask in (advisor.diagnose, advisor.rank, lambda one: advisor.explain(one, "plug-dead", "left")):
        with pytest.raises(CaseError) as refused:
            ask(told)
        assert [str(one) for one in refused.value.problems] == [
            "put_right[0]: no cause is called 'plug-ded' (did you mean 'plug-dead'?)",
            "seen[0].sign: no sign is called 'idle-hang' (did you mean 'idle-hangs'?)",
            "seen[1].side: 'plug-wet' is on a side; one of: left, right",
            "seen[2].how: 'sure' is not a valid word for how it is known; one of: "
            + ", ".join(advisor.base.words.trust),
            "seen[2].side: 'idle-hangs' has no sides; the side must be None",
        ]


def test_what_is_no_case_is_refused(advisor: Advisor) -> None:
    with pytest.raises(CaseError, match="dict is not a Case; make one with case_from or read_case"):
        advisor.diagnose({"seen": {}})  # type: ignore[arg-type]  # that is what is tested


@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_what_can_be_told_is_not_refused(base: Rulebase, data: Any) -> None:
    assert list(mistakes(data.draw(random_cases(base)), base)) == []


def test_no_case_file_is_refused(base: Rulebase) -> None:
    for path in shipped("cases_demo").glob("*.yaml"):
        refuse_invalid(read_case(path, base), base)


def test_numbers_of_another_library_are_numbers(base: Rulebase) -> None:
    import numpy as np

    one = replace(figure("idle-speed", None, 1000.0, base), values=(np.float64(1000.0), np.float32(990.0)))
    refuse_invalid(case(measured=(one,)), base)
    with pytest.raises(CaseError, match=r"measured\[0\].values\[1\]: nan cannot be right"):
        refuse_invalid(case(measured=(replace(one, values=(1000.0, np.float64(NAN))),)), base)
