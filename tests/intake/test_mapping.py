"""A case from plain Python values is the case that the same file tells, and its mistakes name their keys."""

import contextlib
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Case
from advisor.errors import CaseError
from advisor.intake.casefile import read_case
from advisor.intake.mapping import case_from
from advisor.intake.valid import refuse_invalid
from advisor.places import shipped
from advisor.rulebase import Rulebase

DEMO = sorted(shipped("cases_demo").glob("*.yaml"))


def _plain(found: Case) -> Case:
    """Return a case without the lines of its file."""
    parts = {name: tuple(replace(one, line=0) for one in getattr(found, name)) for name in ("seen", "measured")}
    parts |= {
        name: tuple(replace(one, line=0) for one in getattr(found, name)) for name in ("before", "shakes", "logs")
    }
    return replace(found, **parts)


def _as_python(value: Any) -> Any:
    """Return what YAML's own reading makes of a page: True for yes, 15.4 for 15.4."""
    return yaml.safe_load(yaml.safe_dump(value))


@pytest.mark.parametrize("path", DEMO, ids=lambda path: path.stem)
def test_it_is_the_case_of_the_same_file(path: Path, base: Rulebase, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(path.parent)  # a log and a sheet are looked for from here
    mapping = yaml.safe_load(path.read_text(encoding="utf-8"))
    from_file = _plain(read_case(Path(path.name), base))
    assert _plain(case_from(mapping, base)) == from_file


def _said(mapping: Any, base: Rulebase) -> list[str]:
    with pytest.raises(CaseError) as refused:
        case_from(mapping, base)
    return [str(one) for one in refused.value.problems]


def test_every_mistake_names_its_key(base: Rulebase) -> None:
    wrong = {
        "sen": {},
        "seen": {"idle-hang": True, "plug-wet": True, "idle-hangs": {"how": "sure"}},
        "not seen": ["plug-wett"],
        "measured": {"drop-idle": {"left": 210, "right": ["200 rpm", "1 mile"]}},
        "bike": {"parts": {"plugs": "golden"}, "gears": [1, 2]},
        "put right": [{"plug-dead": "both"}],
        "at hand": {"person": "owner"},
    }
    said = _said(wrong, base)
    assert [one.partition(": ")[0] for one in said] == [
        "at hand.person",
        "bike.gears",
        "bike.parts.plugs",
        "measured.drop-idle.left",
        "measured.drop-idle.right[1]",
        "not seen[0]",
        "put right[0].plug-dead",
        "seen",
        "seen.idle-hangs",
        "seen.idle-hangs.how",
        "seen.plug-wet",
        "the case",
    ]
    assert "the case: a case has no 'sen' (did you mean 'seen'?)" in said
    assert "measured.drop-idle.left: '210' has no unit; write it like '12 rpm'" in said


@pytest.mark.parametrize(
    ("given_so", "values"),
    [
        ("210 rpm", (210.0,)),
        ((210, "rpm"), (210.0,)),
        ([210.5, "rpm"], (210.5,)),
        ({"value": 210.0, "unit": "rpm"}, (210.0,)),
        (["210 rpm", (200, "rpm"), {"value": 220, "unit": "rpm"}], (210.0, 200.0, 220.0)),
        (("210 rpm", "200 rpm"), (210.0, 200.0)),
        ((0.00001, "rpm"), (0.00001,)),  # without an exponent
    ],
)
def test_a_figure_may_be_given_in_each_of_these_ways(given_so: object, values: object, base: Rulebase) -> None:
    told = {"measured": {"drop-idle": {"left": given_so, "right": "280 rpm"}}}
    assert case_from(told, base).measured[0].values == values


def test_numpy_and_paths_are_plain_values_too(base: Rulebase, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    import numpy as np

    (tmp_path / "idle.csv").write_text("time s,revs rpm\n0,1000\n", encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    told = {
        "seen": {"idle-hangs": np.bool_(True), "idle-hunts": np.bool_(False)},
        "measured": {"idle-speed": (np.float32(1000.0), "rpm")},
        "logs": {"idle": {"file": Path("idle.csv")}},
        "at hand": {"tools": frozenset({"feeler-gauges"} & base.tools.keys())},
        "complaint": None,
    }
    found = case_from(told, base)
    assert [one.seen for one in found.seen] == [True, False]
    assert found.measured[0].values == (1000.0,)
    assert found.logs[0].path == "idle.csv"
    assert found.complaint == ""


def test_what_is_both_seen_and_not_is_refused_without_a_line(base: Rulebase) -> None:
    said = _said({"seen": {"idle-hangs": True}, "not seen": ["idle-hangs"]}, base)
    assert said == ["the case: 'idle-hangs' is both seen and not seen; keep the one that holds"]


@pytest.mark.parametrize("mapping", [None, [], "a case", 3, {1: 2}, {"seen": {("a", "b"): True}}, {"seen": object()}])
def test_what_is_no_mapping_of_a_case_is_refused(mapping: Any, base: Rulebase) -> None:
    assert _said(mapping, base)


def test_a_mapping_that_holds_itself_is_refused(base: Rulebase) -> None:
    ring: dict[str, Any] = {}
    ring["seen"] = ring
    assert any("lies too deep" in one for one in _said(ring, base))


KEYS = st.sampled_from(["seen", "not seen", "measured", "bike", "at hand", "shakes", "left", "idle-hangs", "is", "how"])
ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8) | st.binary(max_size=2),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=3) | st.tuples(inner, inner),
    max_leaves=8,
)


@settings(max_examples=150, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(mapping=st.dictionaries(KEYS, ANYTHING, max_size=4))
def test_whatever_is_handed_in_is_a_valid_case_or_refused(mapping: dict[str, Any], base: Rulebase) -> None:
    with contextlib.suppress(CaseError):
        refuse_invalid(case_from(mapping, base), base)
