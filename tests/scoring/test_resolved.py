"""Resolved cases: their mistakes are all named, and the place of their cause is that of its sides together."""

import os
from pathlib import Path

import pytest

from advisor.diagnose import Advisor
from advisor.errors import CaseError
from advisor.rulebase import Rulebase
from advisor.scoring.resolved import ALONE, CODINGS, STAGES, place, read_accounts, share
from tests.test_resolved import FOLDER


def test_accounts_name_what_is_wrong_with_them(base: Rulebase, tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="no resolved case is here"):
        read_accounts(tmp_path, base)
    (tmp_path / "a.yaml").write_text("cause: [plug-deaf]\nconfidence: high\nfirst: {}\nsecond: {}\n")
    (tmp_path / "b.yaml").write_text("cause: [plug-dead]\nfirst: {}\n")
    with pytest.raises(CaseError) as caught:
        read_accounts(tmp_path, base)
    assert "a.yaml:1: no cause is called 'plug-deaf'" in str(caught.value)
    assert "b.yaml" in str(caught.value)


def test_a_pipe_among_the_accounts_and_what_nobody_reads_are_mistakes(base: Rulebase, tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "a.yaml")
    plain = "cause: [plug-dead left]\nconfidence: high\nfirst: {}\nsecond: {}\n"
    (tmp_path / "b.yaml").write_text(plain.replace("left", "left or so"), encoding="utf-8")
    (tmp_path / "c.yaml").write_text(plain.replace("high", "[high]"), encoding="utf-8")
    (tmp_path / "d.yaml").write_text(plain, encoding="utf-8")
    with pytest.raises(CaseError) as caught:
        read_accounts(tmp_path, base)
    assert [(Path(one.file).name, one.text) for one in caught.value.problems] == [
        ("a.yaml", "this is not a plain file but a pipe or a device; a YAML file is needed"),
        ("b.yaml", "'left or so' is not a side; write left or right after the name, or nothing"),
        ("c.yaml", "some text is needed here"),
    ]


def test_an_account_has_its_stages_and_what_it_tells_of_checks(base: Rulebase) -> None:
    found = read_accounts(FOLDER, base)
    assert [one.name for one in found] == sorted(path.stem for path in FOLDER.glob("*.yaml"))
    for one in found:
        assert set(STAGES) <= set(one.stages) <= set(CODINGS)
        assert set(one.tells) <= set(base.checks)
    assert any(f"first, {ALONE}" in one.stages for one in found)


def test_both_sides_of_a_cause_are_one_place(advisor: Advisor) -> None:
    account = next(one for one in read_accounts(FOLDER, advisor.base) if one.name.startswith("16-"))
    causes = advisor.diagnose(account.stages["second"]).causes
    own = sum(one.probability for one in causes if one.id == "diaphragm-torn")
    assert max(one.probability for one in causes if one.id == "diaphragm-torn") < own
    assert place(account, "second", advisor) == 1


def test_a_share_counts_the_first_places() -> None:
    assert share([1, 1, 3, 9], within=1) == 0.5
    assert share([1, 1, 3, 9], within=3) == 0.75
