"""A case written out reads back to the same report."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from advisor.case import Case
from advisor.diagnose import Advisor
from advisor.intake.casefile import parse_case, read_case
from advisor.intake.caseout import case_text
from advisor.places import shipped
from advisor.yaml_nodes import read_text
from tests.cases import random_cases


@settings(max_examples=20, deadline=None)
@given(data=st.data())
def test_a_case_written_out_reads_back_to_the_same_report(advisor: Advisor, data: st.DataObject) -> None:
    told: Case = data.draw(random_cases(advisor.base))
    told = replace(told, title="written", complaint="it will not settle", not_again=(("wet-the-joint", "left"),))
    problems: list[object] = []
    root = read_text(case_text(told, advisor.base), "case.yaml", problems)  # type: ignore[arg-type]
    again = parse_case(root, advisor.base) if root else None
    assert not problems
    assert again is not None
    assert advisor.diagnose(again) == advisor.diagnose(told)


@pytest.mark.parametrize("path", sorted(shipped("cases_demo").glob("*.yaml")), ids=lambda path: path.stem)
def test_the_demo_cases_written_out_read_back(advisor: Advisor, path: Path, tmp_path: Path) -> None:
    case = read_case(path, advisor.base)
    out = tmp_path / "out.yaml"
    out.write_text(case_text(case, advisor.base), encoding="utf-8")
    assert advisor.diagnose(read_case(out, advisor.base)) == advisor.diagnose(case)
