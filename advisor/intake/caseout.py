"""Writes a `Case` as a case file that reads back as the same case."""

from collections.abc import Iterable

import yaml

from advisor.case import Bike, Case, LogFile, Measured, ShakeReport, SignReport
from advisor.intake.figures import GOES, STALLS, STOPS
from advisor.quantities import KMH
from advisor.rulebase.model import Rulebase
from advisor.sides import Sided
from advisor.visible import as_said


def case_text(case: Case, base: Rulebase) -> str:
    """Return the case file's text."""
    told = {
        "case": as_said(case.title),
        "bike": _bike(case.bike, base),
        "complaint": as_said(case.complaint),
        "seen": _seen(case.seen),
        "measured": _readings(case.measured, base),
        "last time": _readings(case.before, base),
        "shakes": [_shake(one) for one in case.shakes],
        "logs": {one.kind: _log(one) for one in case.logs},
        "put right": _on_sides(case.put_right),
        "ruled out": _on_sides(case.ruled_out),
        "not again": _on_sides(case.not_again),
        "opened": _on_sides(case.opened),
        "at hand": _at_hand(case),
    }
    hows = [shake.how for shake in case.shakes] + [log.how for log in case.logs]
    told |= {"told by": hows[0]} if hows else {}
    return yaml.safe_dump(
        {name: one for name, one in told.items() if one}, sort_keys=False, allow_unicode=True, width=100
    )


def _at_hand(case: Case) -> dict[str, object]:
    means = case.means
    found: dict[str, object] = {"person": means.person, "tools": "all" if means.tools is None else sorted(means.tools)}
    return found | ({"engine": means.engine} if means.engine else {})


def _bike(bike: Bike, base: Rulebase) -> dict[str, object]:
    figures = {name: f"{low!r} to {high!r} {base.figures[name].unit}" for name, (low, high) in bike.figures.items()}
    told = {
        "name": as_said(bike.name),
        "parts": bike.parts,
        "figures": figures,
        "gears": [repr(one) for one in bike.gears],
        "tyre": bike.tyre,
    }
    return {name: one for name, one in told.items() if one}


def _seen(reports: Iterable[SignReport]) -> dict[str, object]:
    found: dict[str, object] = {}
    for one in reports:
        said = {"is": "yes" if one.seen else "no", "how": one.how}
        if one.side:
            sides = found.setdefault(one.sign, {})
            assert isinstance(sides, dict)  # noqa: S101 - a sided sign is told by sides only
            sides[one.side] = said
        else:
            found[one.sign] = said
    return found


def _readings(measured: Iterable[Measured], base: Rulebase) -> dict[str, object]:
    found: dict[str, object] = {}
    for one in measured:
        if one.side and base.readings[one.reading].sided:
            sides = found.setdefault(one.reading, {})
            assert isinstance(sides, dict)  # noqa: S101 - as above
            sides[f"{one.side} more by" if one.over_other else one.side] = _figures(one, base)
        else:
            found[one.reading] = _figures(one, base)
    return found


def _figures(one: Measured, base: Rulebase) -> object:
    """Return a reading as written: one figure, repeats, or a pair of gauges."""
    written = list(one.written) or _written(one, base.readings[one.reading].unit)
    if one.bounds:
        return dict(zip((GOES, STOPS), written, strict=True))
    return written if len(written) > 1 else written[0]


def _written(one: Measured, unit: str) -> list[str]:
    """Return the figures of a reading without its written form (computed, or from an older session), in its unit."""
    if one.bounds:
        return [f"{figure!r} {unit}" for figure in one.bounds]
    return [f"{figure!r} +/- {one.give!r} {unit}" for figure in one.values] + [STALLS] * one.stalls


def _shake(one: ShakeReport) -> dict[str, object]:
    told = {
        "speed": f"{one.speed * KMH!r} km/h" if one.speed else "",
        "revs": f"{one.revs!r} rpm" if one.revs else "",
        "gear": str(one.gear) if one.gear else "",
        "clutch": "in" if one.clutch_in else "",
        "throttle": one.throttle,
        "shakes": "yes" if one.shakes else "no",
    }
    return {name: text for name, text in told.items() if text}


def _log(one: LogFile) -> dict[str, object]:
    told: dict[str, object] = {
        "file": one.path,
        "starts": one.starts,
        "speed": f"{one.speed * KMH!r} km/h" if one.speed else "",
        "gear": str(one.gear) if one.gear else "",
        "near": f"{one.near!r} rpm" if one.near else "",
        "shorted": list(one.shorted),
    }
    return {name: said for name, said in told.items() if said}


def _on_sides(given: Iterable[Sided]) -> list[object]:
    """Return each thing once: a session may have come to it twice."""
    return [{name: side} if side else name for name, side in dict.fromkeys(given)]
