"""The idle at other temperatures, how much it wanders, and what cranking gives, for many bikes at once."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from advisor.virtual_bike import idle
from advisor.virtual_bike.batch import pack
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.combustion import Fire
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.flow import Array
from advisor.virtual_bike.steady import column_mm
from advisor.virtual_bike.vibration import depression

# name: degrees Celsius of heads and oil, enricher lever; about what ten minutes' idling from cold leads through
STATES = {"cold": (25.0, 20.0, 0.7), "half": (115.0, 55.0, 0.0), "warm": (150.0, 90.0, 0.0), "hot": (185.0, 105.0, 0.0)}
NAMES = tuple(STATES)
EVENED = 59.2  # rpm of wander for each share by which the torque scatters, at a usual slope: a healthy idle has 40
MISSED, LEAN_SCATTER, LEAST_SCATTER = 0.3, 1.0, 0.04  # shares: of a missed cycle, for each unit of excess air above 1
USUAL_SLOPE = 0.02  # N m a rpm


@dataclass(frozen=True)
class Idling:
    """Arrays (bike, state of `NAMES`[, side]); `crank_misfire` and `crank_excess` (bike, 2: cold, hot, side)."""

    rpm: Array
    column_mm: Array
    misfire: Array
    swing_rpm: Array  # (bike): wander of the warm idle, low to high
    crank_misfire: Array
    crank_excess: Array
    crank_advance: Array  # (bike), degrees

    def row(self, index: int) -> "Idling":
        """Return one bike's figures."""
        return Idling(*(getattr(self, name)[index] for name in self.__dataclass_fields__))


def _states(bikes: Sequence[Bike]) -> list[Bike]:
    found = []
    for bike in bikes:
        for head, oil, lever in STATES.values():
            out = max(lever, bike.left.enricher) if lever else bike.left.enricher
            found.append(bike.change(head_c=head).change("left", enricher=out).share(oil_c=oil))
            out = max(lever, bike.right.enricher) if lever else bike.right.enricher
            found[-1] = found[-1].change("right", enricher=out)
    return found


def _swing(net: Array, rpm: Array, fire: Fire) -> Array:
    """Return the wander of the idle (rpm, low to high): the fires' scatter of torque against the balance's slope."""
    ends = [[np.interp(s + d, idle.GRID, row) for s, row in zip(rpm, net, strict=True)] for d in (-60, 60)]
    slope = np.maximum((np.array(ends[0]) - np.array(ends[1])) / 120, 2e-3)  # N m a rpm
    missed = 1 - fire.burn[:, :, 0]
    lean = LEAST_SCATTER + LEAN_SCATTER * np.maximum(fire.excess[:, :, 0] - 1, 0)
    scatter = fire.work[:, :, 0] / (4 * np.pi) * np.hypot(MISSED * np.sqrt(missed * np.maximum(1 - missed, 0)), lean)
    return np.asarray(EVENED * np.hypot(scatter[:, 0], scatter[:, 1]) * USUAL_SLOPE / slope)


def idling(bikes: Sequence[Bike]) -> Idling:
    """Return the idles of these bikes, cold, half warm, warm and hot, and what cranking gives cold and hot."""
    count, every = len(bikes), _states(bikes)
    b = pack(every)
    net = idle.balance(b)
    rpm = idle.follow(net)
    r = idle.at_speed(b, rpm)
    crank = idle.at_speed(b, np.full(len(every), np.nan))
    under = depression(r, b["pressure_pa"])[:, :, 0]
    missed = np.where(np.isfinite(rpm)[:, None], 1 - r.fire.burn[:, :, 0], np.nan)
    warm = slice(NAMES.index("warm"), None, len(NAMES))
    fire = Fire(*(np.asarray(getattr(r.fire, name))[warm] for name in Fire.__dataclass_fields__))
    cranked = (1 - crank.fire.burn[:, :, 0], crank.excess[:, :, 0])
    turned = [value.reshape(count, len(NAMES), 2)[:, [0, -1]] for value in cranked]
    return Idling(
        rpm=rpm.reshape(count, -1),
        column_mm=column_mm(under[:, 0], under[:, 1]).reshape(count, -1),
        misfire=missed.reshape(count, len(NAMES), 2),
        swing_rpm=_swing(net[warm], np.nan_to_num(rpm[warm], nan=ENGINE.cranking_rpm), fire),
        crank_misfire=turned[0],
        crank_excess=turned[1],
        crank_advance=crank.fire.advance[warm].max((1, 2)),
    )
