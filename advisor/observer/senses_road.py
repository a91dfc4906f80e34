"""What a rider feels on the road: pull, missing, surging, shaking, thirst and heat."""

import numpy as np

from advisor.observer.bike_view import View, usual
from advisor.observer.senses_balance import Sense, above, more
from advisor.observer.severity import overall, trouble, uneven
from advisor.observer.thresholds import FOUND as F
from advisor.observer.thresholds import NOTICED as N

PULLS = ("quarter", "half", "low", "full", "high")
SMOOTH = 0.5  # share of what is noticed that still counts as smooth
EASED_NM = 1.5  # gained as the throttle is eased
EARLY_DEG = 8.0  # spark before the best timing at which it pinks under load
STARVED = 0.97  # share of what the supply gives, at which a bowl runs dry


def share(v: View, point: str) -> float:
    """Return the pull at a point of the road as a share of what the rider was used to."""
    return v.pull(point) / usual().pull(point)


def missing(v: View, *points: str) -> bool:
    """Whether a side misses at any of these points."""
    return any(max(v.at("misfire", point)) > N.missed for point in points)


def weak(v: View) -> bool:
    """Whether it pulls clearly less than it used to, in the middle or wide open."""
    return any(share(v, point) < N.weaker for point in ("half", "low", "full"))


def _bad(v: View, point: str) -> bool:
    left, right = v.at("side_nm", point)
    return missing(v, point) or share(v, point) < N.weaker or abs(left - right) > N.uneven_nm


def _middle(v: View) -> bool:
    return any(_bad(v, name) for name in ("quarter", "cruise")) and not _bad(v, "full") and idle_good(v)


def idle_good(v: View) -> bool:
    """Whether the idle gives no reason to complain."""
    found = overall(v)
    return max(found["idle speed"], found["idle misses"], abs(uneven(v)["idle"])) < 1


def stumbles(v: View) -> bool:
    """Whether there is a dead spot as the grip is opened: lean, missing, or weak there."""
    lean = max(v.at("excess", "opening")) > N.lean or max(v.at("excess", "barely")) > N.lean
    return lean or missing(v, "opening", "barely") or share(v, "opening") < N.much_weaker or rough_barely(v)


def late(v: View) -> bool:
    """Whether nothing comes at first, and then all at once: slides that lag."""
    lag = v.each(lambda s: s.slide_drag_n > F.lags_n or s.diaphragm_hole_mm2 > F.lags_mm2)
    return any(lag)


def rough_barely(v: View) -> bool:
    """Whether it is rough with the grip barely open, smooth at idle and above."""
    left, right = v.at("side_nm", "barely")
    rough = missing(v, "barely") or abs(left - right) > N.uneven_nm or max(v.at("excess", "barely")) > N.lean_barely
    return rough and idle_good(v) and not missing(v, "half", "full")


def buzz(v: View) -> float:
    """Return the half-order torque at cruising speed, N m; where that cannot be held, at half throttle."""
    left, right = v.at("side_nm", "half")
    held = v.one("cruise_half_order_nm")
    return held if np.isfinite(held) else 2 * abs(left - right)


def _shake(v: View) -> tuple[bool, bool]:
    """Return whether an uneven pull shakes it at cruising speed, and unloaded at the same revs too."""
    return buzz(v) > N.buzz_nm, any(more(v.two("held_drop_rpm"), N.drop_held_rpm))


def starves(v: View) -> bool:
    """Whether it runs dry on the road, wide open or cruising, though it idles."""
    return v.runs and any(
        drawn > STARVED and lean > N.lean
        for point in ("cruise", "half", "full")
        for drawn, lean in zip(v.at("drawn", point), v.at("excess", point), strict=True)
    )


def thirsty(v: View) -> bool:
    """Whether it uses clearly more fuel than it used to."""
    mine, theirs = (sum(one.at("fuel_kg_s", "cruise")) + sum(one.at("fuel_kg_s", "quarter")) for one in (v, usual()))
    leaks = any(v.each(lambda s: s.valve_leak_mg_s > N.smell_mg_s))
    return mine > N.thirst * theirs or leaks


def mixture(v: View) -> tuple[float, float]:
    """Return the richest and the leanest excess air of a side, idling or cruising, as the nose and the plugs tell."""
    idle, cruise = v.two("excess"), v.at("excess", "cruise")
    return min(*idle, *cruise), max(*idle, *cruise)


def smells(v: View) -> bool:
    """Whether it smells of fuel."""
    leaks = any(v.each(lambda s: s.valve_leak_mg_s > N.smell_mg_s or s.float_mm > N.drip_mm))
    return leaks or mixture(v)[0] < N.very_rich or any(more((max(v.two("misfire")), 0.0), 0.4))


def _hot(v: View) -> bool:
    return max(v.two("cruise_header_c")) > usual().two("cruise_header_c")[0] + N.hot_c or bool(
        np.nanmax(v.at("excess", "cruise")) > N.lean_hot
    )


def _spits(v: View) -> bool:
    valves = any(v.each(lambda s: s.valve_leak_mm2 > N.leak_mm2))
    return valves or any(max(v.at("excess", point)) > N.lean for point in ("opening", "barely", "cruise"))


def _overrun(v: View) -> bool:
    leak = any(v.each(lambda s: s.exhaust_leak > F.puffs))
    return leak or max(v.at("misfire", "overrun")) > 2 * N.missed or max(v.at("excess", "overrun")) > N.lean_overrun


ROAD: dict[str, Sense] = {
    "off-idle-stumble": stumbles,
    "late-surge": late,
    "rough-on-closing": lambda v: any(v.each(lambda s: s.slide_drag_n > F.closes_n or s.slide_hung_mm > F.hung_mm)),
    "wont-rev": lambda v: idle_good(v) and min(share(v, "full"), share(v, "high")) < N.will_not,
    "flat-under-load": weak,
    "spit-back": _spits,
    "overrun-pop": _overrun,
    "worst-at-part-throttle": _middle,
    "eases-better": lambda v: v.pull("eased") - v.pull("full") > EASED_NM and share(v, "full") < N.weaker,
    "rough-just-off-idle": rough_barely,
    "cruise-vibration": lambda v: buzz(v) > N.buzz_nm,
    "shake-follows-engine": lambda v: all(_shake(v)),
    "shake-follows-throttle": lambda v: _shake(v) == (True, False),
    "miss-under-load": lambda v: missing(v, "low", "half", "full") and not missing(v, "barely"),
    "miss-at-high-revs": lambda v: missing(v, "high") and not missing(v, "low"),
    "fades-out": starves,
    "restarts-after-rest": lambda v: starves(v) and v.bike.tank_vent_share < 1,
    "cruise-surge": lambda v: max(v.at("excess", "cruise")) > N.lean,
    "thirsty": thirsty,
    "fuel-smell": smells,
    "runs-hot": _hot,
    "pinks": lambda v: max(*v.at("early_deg", "low"), *v.at("early_deg", "half")) > EARLY_DEG,
    "riding-high": lambda v: v.bike.pressure_pa < N.thin_air_pa,
    "only-when-moving": lambda v: idle_good(v) and not missing(v, "barely") and missing(v, "cruise", "half", "full"),
    "rough-throughout": lambda v: not idle_good(v) and _bad(v, "cruise") and _bad(v, "full"),
    "like-on-enricher": lambda v: mixture(v)[0] < N.very_rich and mixture(v)[1] < 1.0 and trouble(v) > 1,
    "filter-out-helps": lambda v: _freer(v, "element out"),
    "runs-well-lower-down": lambda v: v.bike.pressure_pa < N.thin_air_pa and _freer(v, "lower down"),
    "gas-rich": lambda v: above((-v.two("excess")[0], -v.two("excess")[1]), -0.85),
    "gas-lean": lambda v: above(v.two("excess"), 1.04),
}


def _freer(v: View, cure: str) -> bool:
    """Whether it revs up clearly more freely after a cure."""
    after = v.trial(cure)
    return after is not None and any(share(after, p) > share(v, p) + N.gain for p in ("full", "high"))


def freed(v: View) -> tuple[bool, bool]:
    """Return which side's silencer, drawn back, lets it rev freely."""
    return _freer(v, "silencer off left"), _freer(v, "silencer off right")
