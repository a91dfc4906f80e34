"""How bad it is, and on which side: by this a mechanic says whether a fault is gone, or has moved to the other side.

Every figure is a multiple of what is clearly noticed: 0 on a healthy bike, 1 when it is clear.
"""

from collections.abc import Collection

import numpy as np

from advisor.observer.bike_view import View, usual

HALF_GONE = 0.6  # share of the trouble that may be left when it counts as gone: judgement
CAME_OVER = 0.5  # share of the difference that must be found on the other side: judgement


def _log(values: tuple[float, float]) -> float:
    left, right = values
    return float(np.log(right / left)) if left > 0 and right > 0 else 0.0


def uneven(v: View) -> dict[str, float]:
    """Return the differences of the sides by name: above 0 if the left is the weaker, or the richer."""
    (drop_l, drop_r), (held_l, held_r) = v.two("drop_rpm"), v.two("held_drop_rpm")
    (miss_l, miss_r), (full_l, full_r) = v.two("misfire"), v.at("side_nm", "full")
    part_l, part_r = v.at("side_nm", "quarter")
    found = {
        "idle": (drop_r - drop_l) / 60,
        "idle misses": (miss_l - miss_r) / 0.15,
        "held": (held_r - held_l) / 220,
        "full": (full_r - full_l) / 3,
        "part": (part_r - part_l) / 2.5,
        "rich": _log(v.at("excess", "cruise")) / 0.15,
        "rich at idle": _log(v.two("excess")) / 0.15,
    }
    return {name: float(np.clip(np.nan_to_num(value), -20, 20)) for name, value in found.items()}


def overall(v: View) -> dict[str, float]:
    """Return what is wrong with the engine as a whole, by name, each at least 0."""
    u, rpm = usual(), v.one("idle_rpm")
    left, right = v.shown("depression_kpa")
    held_left, held_right = v.shown("held_depression_kpa")
    missed = {name: max(v.at("misfire", name)) / 0.12 for name in ("barely", "quarter", "cruise", "full", "low")}
    weak = {f"pull {name}": (1 - v.pull(name) / u.pull(name)) / 0.12 for name in ("quarter", "half", "full", "low")}
    mixture = np.log(np.mean(v.at("excess", "cruise")) / np.mean(u.at("excess", "cruise")))
    found = {
        "idle speed": abs(rpm - 1050) / 150 if v.runs else 5.0,
        "idle misses": (max(v.two("misfire")) - 0.08) / 0.15,
        "columns": abs(left - right) / 45,
        "columns held": abs(held_left - held_right) / 60,
        "mixture": abs(float(mixture)) / 0.15,
        "cold": float(np.nan_to_num(v.idling.crank_misfire[0].min(), nan=1.0)) / 0.6,
        **missed,
        **weak,
    }
    return {name: float(np.clip(np.nan_to_num(value), 0, 20)) for name, value in found.items()}


def trouble(v: View) -> float:
    """Return how bad it is: the worst of all the figures."""
    return max(*(abs(value) for value in uneven(v).values()), *overall(v).values())


def shows(v: View, read: Collection[str] | None = None) -> bool:
    """Whether a balance's readings, or those of them that were `read`, show that something is wrong."""
    sides, engine = uneven(v), overall(v)
    clear = {
        "idle-speed": engine["idle speed"],
        "column-idle": engine["columns"],
        "column-off-idle": engine["columns held"],
        "drop-idle": abs(sides["idle"]),
        "drop-off-idle": abs(sides["held"]),
    }
    return any(clear[name] >= 1 for name in (clear if read is None else read))


def gone(before: View, name: str) -> bool:
    """Whether there was trouble that is gone after the cure of this name."""
    after = before.trial(name)
    bad = trouble(before)
    return after is not None and bad >= 1 and trouble(after) < min(1.0, HALF_GONE * bad)


def weak_side(v: View) -> int | None:
    """Return 0 if the left side is clearly the odd one, 1 for the right one, None for neither."""
    name, worst = max(uneven(v).items(), key=lambda item: abs(item[1]))
    if abs(worst) < 1:
        return None
    if not name.startswith("rich"):
        return int(worst < 0)
    # of two mixtures that differ, the odd one is the one further from what is usual
    excess, wont = (one.two("excess") if "idle" in name else one.at("excess", "cruise") for one in (v, usual()))
    left, right = (abs(np.log(a / b)) for a, b in zip(excess, wont, strict=True))
    return int(right > left)


def moved(before: View, name: str) -> tuple[bool, bool]:
    """Return which side's trouble is found on the other one after the exchange of this name."""
    after, odd = before.trial(f"exchange {name}"), weak_side(before)
    if after is None or odd is None:
        return False, False
    was, is_ = uneven(before), uneven(after)
    worst = max(was, key=lambda key: abs(was[key]))
    came = is_[worst] * np.sign(was[worst]) <= -CAME_OVER * min(abs(was[worst]), 2.0)
    return bool(came and odd == 0), bool(came and odd == 1)
