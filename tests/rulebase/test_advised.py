"""What pages say to do next: said by something, and of a side where they name one."""

from typing import Any

import pytest
from msgspec.structs import replace

from advisor.rulebase import Rulebase
from advisor.rulebase.advised import problems


def _told(base: Rulebase) -> list[str]:
    return [str(problem) for problem in problems(base)]


def _limit(base: Rulebase, name: str, do: str) -> Rulebase:
    return replace(base, limits=base.limits | {name: replace(base.limits[name], do=do)})


def test_the_shipped_pages_say_all_that_they_say(base: Rulebase) -> None:
    assert problems(base) == []


@pytest.mark.parametrize(
    ("limit", "do", "says"),
    [
        ("drop-apart", "Look.", "'drop-apart': its 'do' is never said, for 'picture' says what to do about drop-idle"),
        ("idle-fastest", "See to the {side}.", "'idle-fastest': its 'do' says {side}, and 'idle-speed' has none"),
        ("instrument-apart", "The {side} leg.", "its 'do' says {side}, and 'column-exchanged' has none"),
    ],
)
def test_a_limits_sentence_is_said_and_of_a_side(base: Rulebase, limit: str, do: str, says: str) -> None:
    (told,) = _told(_limit(base, limit, do))
    assert says in told
    assert f"limits.yaml:{base.limits[limit].line}" in told


def test_what_an_idle_does_in_a_log_is_said_by_one_reading(base: Rulebase) -> None:
    drift, swing = base.readings["idle-drift"], base.readings["idle-swing"]
    twice = replace(swing, in_a_log=swing.in_a_log | {"drops": "It drops."})
    (told,) = _told(replace(base, readings=base.readings | {swing.id: twice}))
    assert "'idle-swing': 'drops' is told in a log by 'idle-drift' already" in told
    less = replace(drift, in_a_log={"climbs": "It climbs."})
    (told,) = _told(replace(base, readings=base.readings | {drift.id: less}))
    assert "no reading says what it means that an idle drops" in told


@pytest.mark.parametrize(
    ("reading", "changes", "says"),
    [
        ("idle-speed", {"picture": {"higher": "a", "level": "b"}}, "'idle-speed' has no sides, and so no picture"),
        ("idle-speed", {"take_again": "Again."}, "'idle-speed': 'take again' is never said without a 'picture'"),
        ("drop-off-idle", {"nothing_below": "drop-none"}, "no rule asks whether it is below 'drop-none'"),
        ("drop-idle", {"picture": {"higher": "a", "level": "b"}}, "'nothing below' needs 'neither' in its 'picture'"),
    ],
)
def test_a_readings_sentences_are_said(base: Rulebase, reading: str, changes: dict[str, Any], says: str) -> None:
    page = replace(base.readings[reading], **changes)
    (told,) = _told(replace(base, readings=base.readings | {reading: page}))
    assert says in told


@pytest.mark.parametrize("other", ["plug-dead", "points-burnt"])
def test_a_repair_also_cures_another_cause_sided_alike(base: Rulebase, other: str) -> None:
    page = replace(base.causes["plug-dead"], also_cures=(other,))
    (told,) = _told(replace(base, causes=base.causes | {page.id: page}))
    assert f"'plug-dead' cannot also cure '{other}': it takes another cause, sided alike" in told
