"""The shipped rules as a mechanic reads them: each place whole, few files to follow a cause, the strongest first."""

from pathlib import Path
from statistics import median

import pytest

from advisor.places import shipped
from advisor.rulebase import Rulebase
from advisor.rulebase.source import FELT, place_of
from advisor.yaml_nodes import read_file

WHOLE = 0.9  # of the causes have all that decides them in their own place
MOST_FILES = 6  # to read all signs of a cause, at the median
TOLD = 100  # signs, and more, only a rider tells


def _place(file: str) -> str:
    return place_of(Path(file))


def test_what_decides_a_cause_lies_in_its_own_place(base: Rulebase) -> None:
    whole = 0
    for cause in base.causes.values():
        check = base.checks[cause.settled_by]
        shown = {base.signs[one.sign].file for outcome in check.outcomes for one in outcome.shows}
        whole += {_place(file) for file in (cause.file, check.file, *shown)} == {cause.place}
    assert whole >= WHOLE * len(base.causes)


def test_few_files_hold_the_signs_of_a_cause(base: Rulebase) -> None:
    files = [len({base.signs[link.sign].file for link in cause.links}) for cause in base.causes.values()]
    assert median(files) <= MOST_FILES


def test_what_a_rider_tells_lies_in_felt(base: Rulebase) -> None:
    felt = [sign for sign in base.signs.values() if _place(sign.file) == FELT]
    assert len(felt) > TOLD
    assert {sign.seen_by for sign in felt} == {base.persons[0]}
    assert len({sign.file for sign in felt}) <= 4
    decides = [base.checks[cause.settled_by] for cause in base.causes.values()]
    settled = {one.sign for check in decides for outcome in check.outcomes for one in outcome.shows}
    vague = {sign.kind_of for sign in base.signs.values() if sign.kind_of} - settled
    told = [base.signs[name] for name in vague if base.signs[name].seen_by == base.persons[0]]
    assert len(told) > 10
    assert [sign.id for sign in told if _place(sign.file) != FELT] == []


def test_only_a_felt_check_tells_its_stage(base: Rulebase) -> None:
    other = [check.id for check in base.checks.values() if _place(check.file) not in {FELT, check.place}]
    assert other == []


@pytest.mark.parametrize("path", sorted(shipped("rules").glob("*/causes/*.yaml")), ids=lambda path: path.stem)
def test_the_strongest_signs_stand_first(path: Path, base: Rulebase) -> None:
    page = read_file(path, [])
    assert page is not None
    order = list(page.pairs()["signs"].pairs())
    assert order == [word for word in base.words.shows if word in order]


def test_a_group_begins_with_the_sign_that_decides(base: Rulebase) -> None:
    for cause in base.causes.values():
        decides = {one.sign for outcome in base.checks[cause.settled_by].outcomes for one in outcome.shows}
        groups = read_file(Path(cause.file), [])
        assert groups is not None
        for sides in groups.pairs()["signs"].pairs().values():
            for signs in sides.pairs().values():
                _decisive_first([one.text() for one in signs.items()], decides)


def _decisive_first(names: list[str], decides: set[str]) -> None:
    kept = [name in decides for name in names]
    assert kept == sorted(kept, reverse=True), names
