"""What shows in the balance of the sides: drops, columns, screws, and how the idle answers to them."""

from collections.abc import Callable

from advisor.observer.bike_view import Pair, Seen, View, usual
from advisor.observer.severity import gone
from advisor.observer.thresholds import NOTICED as N
from advisor.virtual_bike.bike import SideState
from advisor.virtual_bike.constants import ENGINE

Sense = Callable[[View], bool | Seen]


def more(values: Pair, least: float) -> Seen:
    """Return on which side the value is the greater, by more than `least`."""
    return values[0] - values[1] > least, values[1] - values[0] > least


def less(values: Pair, least: float) -> Seen:
    """Return on which side the value is the smaller, by more than `least`."""
    return more((-values[0], -values[1]), least)


def above(values: Pair, limit: float) -> Seen:
    """Return on which side the value is above the limit."""
    return values[0] > limit, values[1] > limit


def below(values: Pair, limit: float) -> Seen:
    """Return on which side the value is below the limit."""
    return values[0] < limit, values[1] < limit


def acts_felt(name: str) -> Sense:
    """Return the sense of a change of idle while something is done to a side."""
    return lambda v: (v.runs and v.answers[f"{name} left"].felt(), v.runs and v.answers[f"{name} right"].felt())


def dead_screw(*names: str) -> Sense:
    """Return the sense of a screw that changes nothing, in or out."""

    def dead(v: View, side: str) -> bool:
        return v.runs and not any(v.answers[f"{name} {side}"].felt() for name in names)

    return lambda v: (dead(v, "left"), dead(v, "right"))


def stays_on_the_leg(v: View) -> bool:
    """Whether the gauge shows a difference that stays when the hoses are exchanged."""
    left, right = v.bike.gauge.offset_mm
    shown = v.shown("depression_kpa")
    return abs(left - right + (v.bike.gauge.gain[0] - v.bike.gauge.gain[1]) * sum(shown) / 2) > N.column_mm


def stays_from_base(v: View) -> bool:
    """Whether it can be set from base with under half a turn of correction, is right then, and stays so as it warms."""
    after = v.trial("from base")
    if after is None or not gone(v, "from base"):
        return False
    corrected = max(abs(stop - SideState().stop_deg) for stop in after.rest("stop_deg")) / ENGINE.stop_degree_turn
    return corrected < N.turn and after.shift_mm() < N.column_mm


def same_everywhere(v: View) -> bool:
    """Whether one side is weaker by about as much at idle as held at 2500 rpm, as a share of the drops."""
    drops, held = v.two("drop_rpm"), v.two("held_drop_rpm")
    weak = more(drops, N.drop_rpm)
    at_idle, open_ = ((a - b) / max(a + b, 1.0) for a, b in (drops, held))
    return any(weak) and weak == more(held, N.drop_held_rpm) and N.even_from < at_idle / (open_ or 1e-9) < N.even_to


def _palm(v: View) -> Seen:
    left, right = (v.answers[f"palm {side}"].rpm > N.moves_rpm for side in ("left", "right"))
    return v.runs and left, v.runs and right


def _low(v: View) -> Seen:
    return below(v.shown("depression_kpa"), N.depression_low * usual().shown("depression_kpa")[0])


def _richer(v: View) -> Seen:
    return more(v.rest("screw_turns"), N.turn - 0.05)


def _best(v: View, way: int) -> Seen:
    """Return on which side the idle is fastest with the screw half a turn out (way 1) or in (-1) from where it is."""
    after = v.trial("mixture only")
    if not v.runs or after is None or after.one("idle_rpm") - v.one("idle_rpm") < N.moves_rpm:
        return False, False
    left, right = (
        way * (a - b) >= N.turn for a, b in zip(after.rest("screw_turns"), v.rest("screw_turns"), strict=True)
    )
    return left, right


BALANCE: dict[str, Sense] = {
    "drop-small-idle": lambda v: less(v.two("drop_rpm"), N.drop_rpm),
    "drop-small-off-idle": lambda v: less(v.two("held_drop_rpm"), N.drop_held_rpm),
    "drop-half-idle": lambda v: less(v.two("drop_rpm"), N.drop_half_rpm),
    "drop-half-off-idle": lambda v: less(v.two("held_drop_rpm"), N.drop_half_held_rpm),
    "column-uneven-idle": lambda v: more(v.shown("depression_kpa"), N.column_mm),
    "column-uneven-off-idle": lambda v: more(v.shown("held_depression_kpa"), N.column_held_mm),
    "column-higher-idle": lambda v: more(v.shown("depression_kpa"), N.column_far_mm),
    "column-higher-off-idle": lambda v: more(v.shown("held_depression_kpa"), N.column_far_mm),
    "stop-further-in": lambda v: more(v.rest("stop_deg"), N.turn * ENGINE.stop_degree_turn),
    "mixture-set-richer": _richer,
    "mixture-screw-dead": dead_screw("screw in", "screw out"),
    "best-richer-than-set": lambda v: _best(v, 1),
    "best-leaner-than-set": lambda v: _best(v, -1),
    "stop-screw-dead": dead_screw("stop in", "stop out"),
    "enriching-helps-side": _palm,
    "balance-stays-after-reset": stays_from_base,
    "mixture-alone-cures": lambda v: gone(v, "mixture only"),
    "right-once-set-warm": lambda v: gone(v, "set warm"),
    "gauge-difference-stays": stays_on_the_leg,
    "depression-low": _low,
    "unequal-everywhere": same_everywhere,
    "joint-wetting-moves-idle": acts_felt("wet joint"),
    "joint-sealing-changes-idle": acts_felt("seal joint"),
    "port-cover-moves-idle": acts_felt("cover port"),
    "stub-wetting-moves-idle": acts_felt("wet stub"),
    "screw-wetting-moves-idle": acts_felt("oil screw"),
    "hoses-on-wrong-side": lambda v: v.bike.gauge.exchanged,
    "correction-makes-worse": lambda v: v.bike.gauge.exchanged and any(more(v.shown("depression_kpa"), N.column_mm)),
    "columns-swing": lambda v: not v.bike.gauge.damped or max(m * (1 - m) for m in v.two("misfire")) > N.unsteady,
    "bubble-in-column": lambda v: abs(v.bike.gauge.offset_mm[0] - v.bike.gauge.offset_mm[1]) > 2 * N.column_mm,
    "damping-settles-difference": lambda v: (
        not v.bike.gauge.damped and not any(more(v.shown("depression_kpa"), N.column_mm))
    ),
    "set-before-warm": lambda v: v.mark("set-too-cold", N.mark),
    "set-while-overheated": lambda v: v.mark("set-too-hot", N.mark),
}
