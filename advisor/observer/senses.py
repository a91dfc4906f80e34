"""Every sign that the virtual bike can show, and what a person judges it by: `SENSES`, `sense`."""

from collections.abc import Collection

import numpy as np

from advisor.observer.bike_view import View
from advisor.observer.not_sensed import NOT_SENSED
from advisor.observer.senses_balance import BALANCE, Sense
from advisor.observer.senses_fire import IGNITION, MECHANICAL
from advisor.observer.senses_idle import IDLE, dies, hard_cold, hard_hot, hunts, jumps
from advisor.observer.senses_parts import CABLES, CARBURETTOR, SUPPLY
from advisor.observer.senses_road import ROAD, late, mixture, rough_barely, smells, starves, stumbles, thirsty, weak
from advisor.observer.severity import overall, uneven
from advisor.observer.thresholds import NOTICED as N
from advisor.observer.turning import TURNING
from advisor.sides import BOTH, Side, Sided

__all__ = ["NOT_SENSED", "SENSES", "Sense", "sense", "sensed"]

HEARD = 2.0  # of a difference of the sides in units of what is clear on a gauge: judgement
EXACT: dict[str, Sense] = BALANCE | IDLE | ROAD | CARBURETTOR | CABLES | SUPPLY | IGNITION | MECHANICAL | TURNING


def _any(v: View, *signs: str) -> bool:
    return any(np.any(EXACT[sign](v)) for sign in signs)


def _one_side(v: View) -> bool:
    # a rider hears it later than a gauge shows it
    weak_sides = [abs(value) > HEARD for name, value in uneven(v).items() if not name.startswith("rich")]
    return any(weak_sides) or _any(v, "side-dead", "side-joins-at-revs", "dead-until-warm", "header-cold")


def _lumpy(v: View) -> bool:
    return v.runs and (max(v.two("misfire")) > N.lumps or v.one("half_order_rpm") > N.lumpy_rpm)


def _idle_bad(v: View) -> bool:
    speed = v.one("idle_rpm")
    off = speed > N.idle_high_rpm or speed < N.idle_low_rpm
    return off or dies(v) or _lumpy(v) or hunts(v) or jumps(v) or _any(v, *WITH_IDLE)


WITH_IDLE = ("idle-hangs", "idle-climbs-warm", "idle-sags-warm", "balance-wont-hold", "idles-off-its-stops")


def _low(v: View) -> bool:
    return weak(v) or _any(v, "wont-rev", "eases-better")


def _misses(v: View) -> bool:
    return _any(v, "miss-under-load", "miss-at-high-revs")


def _band(v: View) -> bool:
    return rough_barely(v) or _any(v, "worst-at-part-throttle")


def _rich(v: View) -> bool:
    return smells(v) or thirsty(v) or mixture(v)[0] < N.rich or _any(v, "tap-off-helps", "like-on-enricher")


def _lean(v: View) -> bool:
    return mixture(v)[1] > N.lean or _any(v, "enricher-helps")


def _badly(v: View) -> bool:
    # settings off balance and a gauge's own error do not make it run badly
    felt = [value for name, value in overall(v).items() if not name.startswith("columns")]
    return max(felt) > 1 or _idle_bad(v) or _one_side(v) or _low(v) or stumbles(v) or late(v) or _any(v, *WITH_RUNNING)


WITH_RUNNING = (
    *("rough-on-closing", "spit-back", "overrun-pop", "cruise-surge", "rough-throughout"),
    *("restarts-after-rest", "miss-under-load", "miss-at-high-revs"),
)
VAGUE: dict[str, Sense] = {
    "runs-badly": _badly,
    "idle-bad": _idle_bad,
    "one-side-weak": _one_side,
    "power-low": _low,
    "misses": _misses,
    "comes-when-hot": lambda v: _any(v, "restarts-after-rest"),
    "stumbles": lambda v: stumbles(v) or late(v),
    "pops": lambda v: _any(v, "spit-back", "overrun-pop"),
    "cuts-out": lambda v: dies(v) or starves(v) or _any(v, "dies-after-start"),
    "hard-to-start": lambda v: hard_cold(v) or hard_hot(v) or _any(v, "wont-start", "fires-but-wont-run"),
    "shakes": lambda v: v.one("half_order_rpm") > N.lumpy_rpm or _any(v, "cruise-vibration", "misfires-idle"),
    "runs-rich": _rich,
    "runs-lean": _lean,
    "idle-unsteady": lambda v: hunts(v) or jumps(v),
    "idle-lumpy": lambda v: _lumpy(v) or _any(v, "misfires-idle"),
    "rough-in-a-band": _band,
    "revs-rise-on-closing": lambda v: _any(v, "eases-better"),
}
SENSES: dict[str, Sense] = EXACT | VAGUE


def sense(v: View, sign: str, side: Side = None) -> bool | None:
    """Return whether this sign is seen on this side, or on either without one; None if it cannot be sensed."""
    if sign not in SENSES:
        return None
    seen = SENSES[sign](v)
    if isinstance(seen, tuple):
        return bool(any(seen) if side is None else seen[BOTH.index(side)])
    return bool(seen)


def sensed(v: View, among: Collection[str] | None = None) -> dict[Sided, bool]:
    """Return every sign (or those of `among`) that can be sensed, by sign and side (none for what is not sided)."""
    found: dict[Sided, bool] = {}
    for sign in SENSES if among is None else [sign for sign in SENSES if sign in among]:
        seen = SENSES[sign](v)
        if isinstance(seen, tuple):
            found |= {(sign, side): bool(one) for side, one in zip(BOTH, seen, strict=True)}
        else:
            found[sign, None] = bool(seen)
    return found
