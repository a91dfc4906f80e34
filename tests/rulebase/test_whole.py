"""The whole-set checks: each finds what it is for, and the shipped rule base is whole."""

from typing import Any

import msgspec
import pytest

from advisor.rulebase import Rulebase
from advisor.rulebase.model import Link
from advisor.rulebase.whole import problems


def _with(base: Rulebase, kind: str, name: str, **changes: Any) -> Rulebase:
    """Return the rule base with one record changed (or, without changes, taken out)."""
    records = dict(getattr(base, kind))
    if changes:
        records[name] = msgspec.structs.replace(records[name], **changes)
    else:
        del records[name]
    return msgspec.structs.replace(base, **{kind: records})


def test_the_shipped_rules_are_whole(base: Rulebase) -> None:
    assert problems(base) == []


def _holes(base: Rulebase) -> dict[str, Rulebase]:
    """Return rule bases with one hole each, by what must be said of it."""
    leak = base.causes["intake-joint-leak"]
    wet = base.checks["wet-the-joint"]
    weak = tuple(Link(sign=one.sign, bearing=one.bearing, shows="seldom") for one in leak.links)
    same_words = (wet.outcomes[0], msgspec.structs.replace(wet.outcomes[1], says=wet.outcomes[0].says))
    return {
        "no check reveals the sign 'enriching-helps-side'": _with(base, "checks", "palm-over-the-intake"),
        "no check takes the reading 'compression'": _with(base, "checks", "measure-the-compression", takes=()),
        "must say {side}": _with(base, "causes", "intake-joint-leak", title="Leak"),
        "has no side; {side} must go": _with(base, "causes", "gauge-at-fault", title="Gauge {side}"),
        "is not a place; one of:": _with(base, "checks", "wet-the-joint", place="garden"),
        "shows none of its signs at least usually": _with(base, "causes", "intake-joint-leak", links=weak),
        "can only be reached by one sign": _with(base, "causes", "intake-joint-leak", links=leak.links[-1:]),
        "fewer than two different outcomes": _with(base, "checks", "wet-the-joint", outcomes=wet.outcomes[:1]),
        "two outcomes in the same words": _with(base, "checks", "wet-the-joint", outcomes=same_words),
        "never goes with 'idle-too-hihg', which is not a sign": _with(
            base, "signs", "idle-too-low", never_with=("idle-too-hihg",)
        ),
        "cannot be set against 'plug-pale'": _with(base, "signs", "idle-too-low", never_with=("plug-pale",)),
        "no check tells 'intake-joint-leak left' from 'vacuum-port-leak left'": _with(
            base, "causes", "vacuum-port-leak", links=leak.links
        ),
        "'watch-the-idle' is no safe look": _with(base, "rules", "throttle-stayed-open", looks=("watch-the-idle",)),
        "and to open 'plugs-out' alone takes 6": _with(base, "checks", "look-at-the-plug", minutes=6.0),
        "includes 'fuel-vapuor', which is no caution": _with(base, "cautions", "fuel-leak", includes=("fuel-vapuor",)),
    }


@pytest.mark.parametrize("number", range(15))
def test_finds_each_kind_of_hole(base: Rulebase, number: int) -> None:
    holes = _holes(base)
    assert len(holes) == 15
    message, hole = list(holes.items())[number]
    told = [str(problem) for problem in problems(hole)]
    assert any(message in one for one in told), told


@pytest.mark.parametrize("kind", ["signs", "readings", "figures", "tools", "cautions", "limits", "parts"])
def test_finds_what_nothing_uses(base: Rulebase, kind: str) -> None:
    records = dict(getattr(base, kind))
    records["extra"] = msgspec.structs.replace(next(iter(records.values())), id="extra")
    told = [str(problem) for problem in problems(msgspec.structs.replace(base, **{kind: records}))]
    assert any("'extra'" in one for one in told)
