"""The readiness order as it is taught: each stage with its checks and care, on a bike that fails it."""

import pytest

from advisor.practice.lesson import Stage, stage
from advisor.rulebase.model import Rulebase


@pytest.fixture(scope="module")
def taught(base: Rulebase) -> list[Stage]:
    return [stage(place, base) for place in range(len(base.areas))]


def test_each_stage_is_shown_on_a_bike_that_fails_it(base: Rulebase, taught: list[Stage]) -> None:
    assert [one.title for one in taught] == [area.title for area in base.areas]
    assert all(area.before_next for area in base.areas)
    for one in taught:
        assert one.before
        assert one.cautions
        assert one.example is not None
        assert any(one.example.answer.findings.values())


def test_a_stage_looks_at_all_its_items_on_both_sides_where_they_have_two(base: Rulebase, taught: list[Stage]) -> None:
    for one, area in zip(taught, base.areas, strict=True):
        assert one.looked_at
        for looked, item in zip(one.looked_at, area.items, strict=bool(area.items)):
            page = base.checks[item.check]
            assert looked.title == item.title
            assert looked.minutes == page.minutes * (2 if page.sided else 1)


def test_the_same_lesson_every_time(base: Rulebase, taught: list[Stage]) -> None:
    assert stage(1, base) == taught[1]
