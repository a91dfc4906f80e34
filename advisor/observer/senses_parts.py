"""What is found in the parts looked at: carburettors, cables, fuel, intake and exhaust."""

from advisor.observer.bike_view import Pair, Seen, View
from advisor.observer.on_the_road import RIDDEN_MIN
from advisor.observer.senses_balance import Sense, above, below, less, more
from advisor.observer.senses_road import freed, starves
from advisor.observer.severity import gone, moved
from advisor.observer.thresholds import FOUND as F
from advisor.observer.thresholds import NOTICED as N
from advisor.virtual_bike.bike import SideState
from advisor.virtual_bike.constants import ENGINE

RAISED_MM = 0.06  # rise of a level at rest for each mg/s past its float valve
TAP_SHARE = 0.6  # of a free flow, below which it is short
DRY = 0.12  # share of a free supply at which the bowl is found empty


def levels(v: View) -> Pair:
    """Return by how much (mm) the fuel stands above its figure, engine stopped."""
    left, right = (s.float_mm + RAISED_MM * s.valve_leak_mg_s for s in (v.bike.left, v.bike.right))
    return left, right


def _drips(v: View) -> Seen:
    return v.each(lambda s: s.valve_leak_mg_s > N.drip_mg_s or s.float_mm > N.drip_mm)


def _off(v: View) -> Seen:
    left, right = (abs(level) > N.level_mm for level in levels(v))
    return left, right


def rests(s: SideState) -> bool:
    """Whether a lever stays off its stop when the grip is let go."""
    return s.sticks_mm > s.adjuster_mm + s.pull_lost_mm + ENGINE.lever_mm_per_degree * s.stop_deg + 0.1


def _marks(cause: str, least: float = N.mark) -> Sense:
    return lambda v: v.marks(cause, least)


def _mark(cause: str, least: float = N.mark) -> Sense:
    return lambda v: v.mark(cause, least)


def _flow(v: View) -> Seen:
    """Return on which side the hose gives too little; what clogs the carburettor's own strainer does not count."""
    strained = v.marks("inlet-strainer-blocked", 0.0)
    left, right = below((v.bike.left.supply_share, v.bike.right.supply_share), TAP_SHARE)
    return left and not strained[0], right and not strained[1]


def _fills_slowly(v: View) -> Seen:
    left, right = v.bike.left.supply_share, v.bike.right.supply_share
    strained = v.marks("inlet-strainer-blocked", N.mark)
    return strained[0] or left < TAP_SHARE * right, strained[1] or right < TAP_SHARE * left


def _empty(v: View) -> Seen:
    short = below((v.bike.left.supply_share, v.bike.right.supply_share), DRY)
    sealed = starves(v) and v.bike.tank_vent_share < F.tank_vent
    return short[0] or sealed, short[1] or sealed


def clips(v: View) -> Pair:
    """Return how high (mm) each needle's clip holds it; one that has dropped, or is another, is in its notch."""
    other = [one or two for one, two in zip(v.marks("needle-loose", 0.0), v.marks("unlike-parts", 0.0), strict=True)]
    heights = v.bike.left.needle_mm, v.bike.right.needle_mm
    left, right = (0.0 if out else mm for mm, out in zip(heights, other, strict=True))
    return left, right


def _holes(v: View) -> Pair:
    return v.bike.left.diaphragm_hole_mm2, v.bike.right.diaphragm_hole_mm2


def _notch_off(v: View) -> Seen:
    left, right = clips(v)
    return abs(left) > N.notch_mm, abs(right) > N.notch_mm


def _no_slack_at_lock(v: View) -> Seen:
    return below(v.rest("slack_mm"), N.bars_mm)


def _tight_in_itself(v: View) -> Seen:
    """Return on which side the cable has no slack though its sheath sits home."""
    tight, out = _no_slack_at_lock(v), v.marks("sheath-out-of-socket", 0.0)
    return tight[0] and not out[0], tight[1] and not out[1]


def _slack_off(v: View) -> Seen:
    return v.each(lambda s: not N.no_slack_mm < _slack(s) < N.much_slack_mm)


def _slack(s: SideState) -> float:
    return s.adjuster_mm + ENGINE.lever_mm_per_degree * s.stop_deg - s.sticks_mm + min(s.pull_lost_mm, 0.0)


def _less_gas(v: View) -> Seen:
    left, right = v.bike.left.silencer_share, v.bike.right.silencer_share
    return left < F.silencer * right, right < F.silencer * left


def _wide(one: Seen, other: Seen) -> Seen:
    return one[0] or other[0], one[1] or other[1]


CARBURETTOR: dict[str, Sense] = {
    "fault-follows-carburettor": lambda v: moved(v, "carburettor"),
    "fault-follows-slide": lambda v: moved(v, "slide"),
    "fault-follows-jets": lambda v: moved(v, "jets"),
    "fault-follows-float": lambda v: moved(v, "float"),
    "other-bodies-cure": lambda v: gone(v, "other bodies"),
    "fuel-level-too-high": lambda v: above(levels(v), N.level_mm),
    "fuel-level-too-low": lambda v: below(levels(v), -N.level_mm),
    "fuel-level-off": _off,
    "fuel-level-higher": lambda v: more(levels(v), N.level_mm),
    "float-valve-passes": lambda v: v.each(lambda s: s.valve_leak_mg_s > N.leak_mg_s),
    "float-rides-low": _marks("float-sunk"),
    "float-heavy": _marks("float-sunk"),
    "fuel-drips": _drips,
    "fuel-leaks": lambda v: any(_drips(v)),
    "oil-smells-of-fuel": lambda v: any(_drips(v)),
    "needle-is-loose": _marks("needle-loose"),
    "needle-jet-oval": lambda v: v.each(lambda s: s.needle_wear_mm > F.jet_worn_mm),
    "needle-jet-not-clear": lambda v: v.each(lambda s: s.needle_jet_share < N.share),
    "main-jet-not-clear": _marks("main-jet-blocked"),
    "jet-found-loose": lambda v: v.each(lambda s: s.main_share > F.jet_loose),
    "main-air-not-clear": lambda v: v.each(lambda s: s.main_air_share < N.share),
    "progression-not-clear": lambda v: v.each(lambda s: s.progression_share < N.share),
    "idle-air-not-clear": lambda v: v.each(lambda s: s.pilot_air_share < N.share),
    "idle-jet-blocked": _marks("idle-passage-blocked"),
    "screw-seal-bad": lambda v: v.each(lambda s: s.screw_leak_mm2 > F.seal_mm2),
    "screw-tip-marked": lambda v: v.each(lambda s: s.screw_seat_turns > F.seat_turns),
    "light-past-butterfly": lambda v: v.each(lambda s: s.plate_gap_mm > F.light_mm),
    "spindle-play-moves-idle": lambda v: v.each(lambda s: s.spindle_mm - ENGINE.spindle_clearance_mm > N.play_mm),
    "spindle-rocks": lambda v: v.each(lambda s: s.spindle_mm - ENGINE.spindle_clearance_mm > N.play_mm / 2),
    "parts-found-unlike": _mark("unlike-parts"),
    "bowl-vent-not-clear": lambda v: v.each(lambda s: s.vent_share < F.vent),
    "enricher-not-home": lambda v: _wide(v.marks("enricher-stuck-open", N.mark), v.each(lambda s: s.enricher > 0)),
    "enricher-faces-bad": _marks("enricher-leaking"),
    "enricher-does-not-open": lambda v: v.each(lambda s: s.enricher_works < N.share),
    "diaphragm-seen-torn": lambda v: v.each(lambda s: s.diaphragm_hole_mm2 > F.tear_mm2),
    "slide-drops-at-once": lambda v: v.each(lambda s: s.diaphragm_hole_mm2 > F.drops_mm2),
    "slide-falls-faster": lambda v: more(_holes(v), F.faster_mm2),
    "slide-hangs": lambda v: v.each(lambda s: s.slide_drag_n > F.drag_n or s.slide_hung_mm > F.hung_mm),
    "needle-notch-off": _notch_off,
    "needle-higher": lambda v: more(clips(v), N.notch_mm),
}
CABLES: dict[str, Sense] = {
    "stop-far-from-base": lambda v: v.each(
        lambda s: abs(s.stop_deg - SideState().stop_deg) > N.stop_turns * ENGINE.stop_degree_turn
    ),
    "mixture-far-from-base": lambda v: v.each(lambda s: abs(s.screw_turns - SideState().screw_turns) >= N.turn),
    "cable-slack-less": lambda v: less(v.rest("slack_mm"), N.slack_mm),
    "cable-slack-off": _slack_off,
    "cable-no-slack-at-lock": _no_slack_at_lock,
    "cable-tight-in-itself": _tight_in_itself,
    "throttle-lever-sticks": lambda v: v.each(rests),
    "snaps-once-unhooked": lambda v: v.each(rests),
    "cable-sheath-unseated": _marks("sheath-out-of-socket"),
    "lever-does-not-follow": lambda v: v.each(lambda s: s.pull_lost_mm > F.lost_mm),
    "lever-loose-on-spindle": _marks("throttle-lever-slips"),
}


SUPPLY: dict[str, Sense] = {
    "fuel-flow-short": _flow,
    "hiss-at-cap": lambda v: v.bike.tank_vent_share < F.tank_vent,
    "flow-dwindles-cap-shut": lambda v: v.bike.tank_vent_share < F.tank_vent,
    "tank-cap-open-helps": lambda v: v.bike.tank_vent_share < 1 and RIDDEN_MIN > 0 and gone(v, "cap open"),
    "tap-flows-short": _mark("supply-restricted"),
    "hose-pinched-seen": _marks("fuel-hose-pinched"),
    "bowl-fills-slowly": _fills_slowly,
    "bowl-empty": _empty,
    "fuel-smells-stale": lambda v: v.bike.fuel_share < F.stale,
    "runs-well-from-a-can": lambda v: gone(v, "a can"),
    "joint-seen-split": lambda v: v.each(lambda s: s.joint_leak_mm2 > N.leak_mm2),
    "stub-seen-cracked": lambda v: v.each(lambda s: s.crack_mm2 > N.leak_mm2),
    "vacuum-hose-seen-bad": lambda v: v.each(lambda s: s.port_leak_mm2 > N.leak_mm2),
    "air-filter-dirty": _mark("air-filter-blocked"),
    "air-tube-off": _marks("air-tube-off"),
    "intake-or-exhaust-altered": _mark("intake-altered"),
    "standard-parts-cure": lambda v: gone(v, "standard parts"),
    "exhaust-puffs": lambda v: v.each(lambda s: s.exhaust_leak > F.puffs),
    "exhaust-louder": lambda v: v.each(lambda s: s.exhaust_leak > F.blows or s.silencer_share > F.open_silencer),
    "exhaust-breathes-less": _less_gas,
    "silencer-off-frees-it": freed,
}
