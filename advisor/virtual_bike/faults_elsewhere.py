"""Faults other than broken parts of one side: wrong settings, timing, altitude, and a misleading gauge."""

from collections.abc import Callable
from dataclasses import replace

from advisor.sides import Side
from advisor.virtual_bike.atmosphere import ZERO_CELSIUS, standard
from advisor.virtual_bike.bike import Bike

Fault = Callable[[Bike, Side, float], Bike]


def _out_of_adjustment(bike: Bike, side: Side, severity: float) -> Bike:
    """Open one stop, close the other, and take up the slack of one cable."""
    odd, other = _odd_first(side)
    at, off = bike.side(odd), bike.side(other)
    bike = bike.change(odd, stop_deg=at.stop_deg + 0.8 * severity, adjuster_mm=at.adjuster_mm - 0.4 * severity)
    return bike.change(other, stop_deg=off.stop_deg - 0.5 * severity)


def _mixture_out(bike: Bike, side: Side, severity: float) -> Bike:
    """Turn in the mixture screw of the odd side, at most fully."""
    odd = side or "left"
    return bike.change(odd, screw_turns=bike.side(odd).screw_turns * (1 - severity))


def _unlike_parts(bike: Bike, side: Side, severity: float) -> Bike:
    odd = side or "left"
    state = bike.side(odd)
    return bike.change(
        odd,
        main_share=state.main_share * (1 - 0.25 * severity),
        pilot_share=state.pilot_share * (1 - 0.30 * severity),
        needle_mm=state.needle_mm + 1.0 * severity,
    )


def _odd_first(side: Side) -> tuple[Side, Side]:
    return ("right", "left") if side == "right" else ("left", "right")


def _set_too_cold(bike: Bike, side: Side, severity: float) -> Bike:
    """Open the stops to hold the idle against cold oil and unequally warm heads."""
    for one, by in zip(_odd_first(side), (1.3, 1.1), strict=True):
        bike = bike.change(one, stop_deg=bike.side(one).stop_deg + by * severity)
    return bike


def _set_too_hot(bike: Bike, side: Side, severity: float) -> Bike:
    """Close stops and mixture screws, as a mechanic does while boiling fuel in the passages richens the idle.

    The boiling itself is not modelled, only the settings it leads to; the hotter head misleads more.
    """
    for one, stop, screw in zip(_odd_first(side), (0.5, 0.3), (0.5, 0.35), strict=True):
        state = bike.side(one)
        bike = bike.change(
            one,
            stop_deg=state.stop_deg - stop * severity,
            screw_turns=state.screw_turns * (1 - screw * severity),
        )
    return bike


def _gauge_at_fault(bike: Bike, side: Side, severity: float) -> Bike:
    low, high = bike.gauge.offset_mm
    off = 60 * severity
    shifted = (low, high + off) if side == "right" else (low + off, high)
    return bike.share(gauge=replace(bike.gauge, offset_mm=shifted))


def _hoses_exchanged(bike: Bike, _: Side, severity: float) -> Bike:
    return bike.share(gauge=replace(bike.gauge, exchanged=severity > 0))


def _gauge_undamped(bike: Bike, _: Side, severity: float) -> Bike:
    return bike.share(gauge=replace(bike.gauge, damped=severity == 0))


def too_high_up(bike: Bike, _: Side, severity: float) -> Bike:
    """Take the bike up to at most 3500 m."""
    pressure, kelvin = standard(3500.0 * severity)
    sea = standard(0.0)
    return bike.share(
        pressure_pa=bike.pressure_pa * pressure / sea[0],
        air_c=(bike.air_c + ZERO_CELSIUS) * kelvin / sea[1] - ZERO_CELSIUS,
    )


def advance_sticking(bike: Bike, _: Side, severity: float) -> Bike:
    """Leave up to 20 degrees of advance at idle and weaken the springs."""
    stuck = max(bike.least_advance_deg, bike.static_deg + 20 * severity) if severity else bike.least_advance_deg
    return bike.share(least_advance_deg=stuck, spring_share=bike.spring_share * (1 - 0.5 * severity))


SETTINGS: dict[str, Fault] = {
    "out-of-adjustment": _out_of_adjustment,
    "mixture-out": _mixture_out,
    "unlike-parts": _unlike_parts,
    "set-too-cold": _set_too_cold,
    "set-too-hot": _set_too_hot,
}
GAUGE: dict[str, Fault] = {
    "gauge-at-fault": _gauge_at_fault,
    "hoses-exchanged": _hoses_exchanged,
    "gauge-undamped": _gauge_undamped,
}
