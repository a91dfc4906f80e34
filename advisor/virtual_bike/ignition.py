"""Sparks: whether one jumps the gap, its energy, and its timing. Shape (condition, side, speed)."""

import numpy as np

from advisor.virtual_bike.batch import Batch
from advisor.virtual_bike.constants import ENGINE as E
from advisor.virtual_bike.flow import Array

VOLTAGE_BASE, VOLTAGE_GAP = 3.0, 14.0  # kV, kV per mm of gap at full charge (Paschen's law, linear range)
IDLE_SHARE = 0.35  # share of that voltage at almost no charge
SPREAD_KV = 1.2  # cycle-to-cycle scatter of the voltage
HALF_OHM = 60_000.0  # added resistance that halves the energy of the spark
SMALL_GAP_MM = 0.35  # gap at which the electrodes quench half of the flame kernel


def resistance(b: Batch) -> Array:
    """Return cap, lead and plug in series, ohm."""
    return np.asarray(b["cap_ohm"] + b["lead_ohm"] + b["plug_ohm"])


def voltage(b: Batch) -> Array:
    """Return the voltage, kV, that the coil can raise across a plug with this fouling, limited by cap and lead."""
    raised = E.coil_voltage_kv * b["coil_share"] * b["common_coil_share"] * (1 - 0.75 * b["plug_fouling"])
    return np.asarray(np.minimum(raised, E.coil_voltage_kv * b["cap_share"]))


def needed(b: Batch, charge: Array) -> Array:
    """Return the voltage, kV, that the gap needs with `charge` (share of the full charge) in the cylinder."""
    load = IDLE_SHARE + (1 - IDLE_SHARE) * np.clip(charge, 0.0, 1.1)
    return np.asarray((VOLTAGE_BASE + VOLTAGE_GAP * b["plug_gap_mm"]) * load)


def passes(b: Batch, charge: Array) -> Array:
    """Return the share of cycles, 0 to 1, in which a spark jumps the gap."""
    margin = (voltage(b) - needed(b, charge)) / SPREAD_KV
    return np.asarray(b["spark"] / (1 + np.exp(-np.clip(margin, -40, 40))))


def energy(b: Batch) -> Array:
    """Return the spark's energy as a share of a healthy one; small gaps count as weak: they quench the flame."""
    more = np.maximum(resistance(b) - E.cap_ohm - E.plug_ohm - E.lead_ohm, 0.0)
    gap = b["plug_gap_mm"] ** 2 / (b["plug_gap_mm"] ** 2 + SMALL_GAP_MM**2) * (1 + (SMALL_GAP_MM / E.plug_gap_mm) ** 2)
    full = (b["coil_share"] * b["common_coil_share"]) ** 2 * (1 - b["plug_fouling"])
    return np.asarray(np.maximum(full * gap / (1 + more / HALF_OHM), 0.02))


def advance(b: Batch, rpm: Array) -> Array:
    """Return the ignition advance, degrees before top dead centre.

    The pull of the weights goes with speed squared, so weak springs yield at a speed lower by the root of their share.
    """
    even = rpm / np.sqrt(b["spring_share"])
    curve = (E.advance_starts, E.advance_knee, E.advance_ends), (0.0, E.advance_at_knee, E.advance_span)
    grown = np.interp(even, *curve) * b["advance_share"]
    return np.asarray(np.maximum(b["static_deg"] + grown, b["least_advance_deg"]) + b["timing_deg"])
