"""Shakes at a speed and recorded logs in a case."""

import math
from collections.abc import Sequence
from pathlib import Path

from advisor.case import LogFile, ShakeReport
from advisor.intake.beside import beside
from advisor.intake.bike_sheet import MOST_GEARS
from advisor.quantities import KMH
from advisor.rulebase.grammar import one_figure
from advisor.rulebase.model import Rulebase
from advisor.sides import BOTH, Side
from advisor.yaml_nodes import Node

THROTTLES = ("shut", "part", "wide")
STARTS = ("cold", "warm")
IDLE, SHAKE, SOUND = "idle", "shake", "sound"
OF_A_LOG = {IDLE: ("starts",), SHAKE: ("speed", "gear"), SOUND: ("starts", "near", "shorted")}
ANSWERS = {"yes": True, "no": False}
REPORT = ("speed", "gear", "revs", "clutch", "throttle", "shakes")


def parse_shakes(node: Node, how: str, base: Rulebase) -> list[ShakeReport]:
    """Return the moments a rider reports: when it shook, and when it did not."""
    return [one for item in node.items() if (one := _moment(item, how, base)) is not None]


def _moment(node: Node, how: str, base: Rulebase) -> ShakeReport | None:
    fields = node.fields(may=REPORT, what="a moment when it shook or not")
    if not isinstance(node.value, dict):
        return None
    if not {"speed", "revs"} & set(fields):
        node.wrong("say at which road speed or at which revs, like '{speed: 100 km/h, gear: 5}' or '{revs: 3500 rpm}'")
        return None
    if "clutch" in fields:
        fields["clutch"].word(("in",), "state of the clutch")
    shakes = fields["shakes"].word(ANSWERS, "answer") if "shakes" in fields else "yes"
    return ShakeReport(
        shakes=ANSWERS.get(shakes, True),
        speed=_speed(fields["speed"], base) if "speed" in fields else None,
        revs=_figure(fields["revs"], "rpm", base) if "revs" in fields else None,
        gear=_gear(fields["gear"]) if "gear" in fields else 0,
        clutch_in="clutch" in fields,
        throttle=fields["throttle"].word(THROTTLES, "opening of the throttle") if "throttle" in fields else "",
        how=how,
        line=node.line,
    )


def parse_logs(node: Node, how: str, base: Rulebase, files_from: Sequence[Path] = ()) -> list[LogFile]:
    """Return the logs that a case names; paths are relative to the case file's folder (see `beside`)."""
    fields = node.fields(may=tuple(OF_A_LOG), what="logs")
    found = []
    for kind, may in OF_A_LOG.items():
        if kind in fields:
            log = _log(kind, fields[kind], may, how, base, files_from)
            found += [log] if log else []
    return found


def _log(
    kind: str, node: Node, may: tuple[str, ...], how: str, base: Rulebase, files_from: Sequence[Path]
) -> LogFile | None:
    if isinstance(node.value, str):
        node.wrong(f"write it like '{{file: {node.value or 'idle.csv'}}}'")
        return None
    fields = node.fields(need=("file",), may=may, what=f"the {kind} log")
    path = beside(fields["file"], files_from) if "file" in fields else None
    if path is not None and not path.is_file():
        fields["file"].wrong(f"there is no log '{fields['file'].anything()}' beside the case file")
        path = None
    if path is None:
        return None
    return LogFile(
        kind=kind,
        path=str(path),
        starts=fields["starts"].word(STARTS, "start of the log") if "starts" in fields else "",
        speed=_speed(fields["speed"], base) if "speed" in fields else None,
        gear=_gear(fields["gear"]) if "gear" in fields else 0,
        near=_figure(fields["near"], "rpm", base) if "near" in fields else None,
        shorted=_sides(fields["shorted"]) if "shorted" in fields else (),
        how=how,
        line=node.line,
    )


def _sides(node: Node) -> tuple[Side, ...]:
    """Return the sides whose plugs were shorted, in their order."""
    said = [one.word(BOTH, "side") for one in node.items()]
    return tuple(side for one in said for side in BOTH if one == side)


def _gear(node: Node) -> int:
    gear = node.number()
    if gear not in range(1, MOST_GEARS + 1):
        node.wrong(f"write the gear as a whole number from 1 to {MOST_GEARS}")
        return 0
    return int(gear)


def _speed(node: Node, base: Rulebase) -> float | None:
    figure = _figure(node, "km/h", base)
    return None if figure is None else figure / KMH


def _figure(node: Node, unit: str, base: Rulebase) -> float | None:
    figure = one_figure(node, base.units, unit)
    if figure is not None and not 0 < figure < math.inf:
        node.wrong(f"'{node.text()}' cannot be right; it is more than 0, and no more than a bike can do")
        return None
    return figure
