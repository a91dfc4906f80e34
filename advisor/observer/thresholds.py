"""What a person notices, or an instrument resolves, on the virtual bike: every figure with its unit.

The figures are judgement unless a line says otherwise. They are kept apart from the rule base's limits, so that a rule
is not judged by its own figure. Two kinds still agree with them: a figure that a check's question names (half a
turn, 2 mm, a tenth), because the person asked goes by it, and what workshops agree on anyway (2 degrees between the
timing of the sides, half a second more than the usual second for the revs to fall).
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Noticed:
    """The least changes and differences that are noticed."""

    # idle, by ear and tachometer
    drop_rpm: float = 30.0  # between the two drops, idle
    drop_held_rpm: float = 110.0  # the same from 2500 rpm
    drop_half_rpm: float = 130.0  # between the two drops at idle: the one is hardly half the other
    drop_half_held_rpm: float = 250.0  # the same from 2500 rpm, hundreds
    dead_drop_rpm: float = 15.0  # no change at all when that plug is shorted
    moves_rpm: float = 10.0  # a change of idle while something is done to it
    clearer_rpm: float = 25.0  # an idle that is better than before
    idle_high_rpm: float = 1170.0
    idle_low_rpm: float = 940.0
    idle_dies_rpm: float = 700.0  # idle at which it is sure to stall now and then
    dip_rpm: float = 400.0  # by which the idle dips when a side misses for a while
    swing_rpm: float = 72.0  # wander of the idle, low to high
    lumps: float = 0.20  # share of cycles missed at which an idle limps
    skips: float = 0.20  # share of cycles missed that is heard at one exhaust
    lumpy_rpm: float = 22.0  # half-order speed swing at idle that is felt
    hang_s: float = 0.5  # more than the second that the revs of a healthy engine take to fall
    hang_rpm: float = 150.0  # above the idle
    apart_rpm: float = 75.0  # between the idle where a throttle stuck and where its lever is pushed home
    stays_open_rpm: float = 800.0  # above the idle
    warm_rpm: float = 60.0  # change of idle from half warm to hot, less that of a healthy engine
    # columns of an 860 kg/m3 fluid
    column_mm: float = 20.0
    column_held_mm: float = 25.0
    column_far_mm: float = 120.0  # wide enough for dial gauges too, at idle or held
    column_moves_mm: float = 10.0
    depression_low: float = 0.75  # share of the usual one
    # settings and fits
    turn: float = 0.5  # turns of a screw
    stop_turns: float = 0.75  # from the base setting
    slack_mm: float = 0.4  # between two cables, by feel
    no_slack_mm: float = 0.3
    much_slack_mm: float = 5.0
    bars_mm: float = 0.4  # of slack that the bars at full lock take up
    bars_rpm: float = 30.0  # change of idle that a rider hears while he turns them
    level_mm: float = 2.0
    notch_mm: float = 0.5  # height of a needle, half a notch
    clearance_mm: float = 0.04
    gap_mm: float = 0.1
    timing_deg: float = 3.0
    timing_apart_deg: float = 2.0
    play_mm: float = 0.08  # of a spindle or a valve in its guide
    leak_mm2: float = 0.4  # a split or crack that the eye finds
    share: float = 0.88  # of a jet's free area that is seen not to be clear
    mark: float = 0.15  # severity from which the eye finds a fault that has no measure of its own
    plain_mark: float = 0.4  # severity from which a slighter trace is found
    # fuel and mixture
    rich: float = 0.80  # excess air that smells and soots
    very_rich: float = 0.74
    lean: float = 1.15  # excess air at which it coughs
    thirst: float = 1.08  # fuel as a multiple of the usual
    leak_mg_s: float = 5.0  # past a float valve, at the bench
    smell_mg_s: float = 20.0
    drip_mg_s: float = 35.0
    drip_mm: float = 5.0  # rise of the level at which the bowl runs over
    # spark
    weak_spark: float = 0.55  # share of a healthy spark's energy
    no_spark: float = 0.1
    path_ohm: float = 7500.0
    open_ohm: float = 30_000.0  # beyond any two resistors
    # road
    missed: float = 0.12  # share of cycles missed that is felt
    weaker: float = 0.88  # share of the usual pull
    much_weaker: float = 0.45
    uneven_nm: float = 3.5  # between the pulls of the two sides
    lean_barely: float = 1.2  # excess air with the grip barely open, that is rough
    lean_overrun: float = 1.25  # excess air on the overrun that pops
    lean_hot: float = 1.12  # excess air at cruising speed that runs hot
    even_from: float = 0.4  # of unevenness at idle over that held at 2500 rpm, called about as much
    even_to: float = 2.5
    unsteady: float = 0.18  # share of cycles missed times share that fire, at which columns jump
    will_not: float = 0.25  # share of the usual pull at which it will not rev
    buzz_nm: float = 3.0  # half-order torque at cruising speed
    gain: float = 0.08  # of pull when a part is left off
    hot_c: float = 60.0  # of a header at cruising speed, above a healthy one
    thin_air_pa: float = 90_000.0


NOTICED = Noticed()


@dataclass(frozen=True)
class Found:
    """Limits beyond which a part that is looked at, felt or metered is found not to be right."""

    fouled: float = 0.25  # of a plug, that a meter or a cleaning shows
    dead_spark: float = 0.5  # share of sparks left
    sooted_over: float = 0.6  # fouling that leaves a plug dark in the open
    tracks_ohm: float = 100_000.0  # of a cap whose spark finds another way
    jumps_ohm: float = 60_000.0
    cracked: float = 0.6  # share of its voltage that a cap holds, from where its crack or track is seen in daylight
    no_clearance_mm: float = 0.10  # of an exhaust valve, cold, that stands open hot
    loud_inlet_mm: float = 0.25
    loud_exhaust_mm: float = 0.30
    smoke_rings_mm2: float = 1.0
    smoke_guide_mm: float = 0.15
    leak_down: float = 0.15
    gives_way: float = 0.45  # leak-down from which a cylinder turned slowly by hand no longer stops the hand: judgement
    kicks_deg: float = 20.0  # of advance while cranking
    jet_worn_mm: float = 0.008  # out of round, through a lens
    jet_loose: float = 1.1  # share of a main jet's flow with the way round it
    seal_mm2: float = 0.05
    seat_turns: float = 0.25
    light_mm: float = 0.02  # gap past a closed butterfly, against a lamp
    vent: float = 0.6  # share free, by blowing through
    silencer: float = 0.6  # of the other one's gas, by hand
    tear_mm2: float = 0.5  # against the light
    drops_mm2: float = 2.0  # hole that lets a slide fall at once
    faster_mm2: float = 6.0  # hole, more than on the other side, with which a slide falls much faster, its vent open
    lags_mm2: float = 5.0  # hole that lets a slide lag on the road
    drag_n: float = 0.3  # of a slide moved by a finger
    lags_n: float = 0.8  # of a slide, felt on the road as it opens
    closes_n: float = 1.0  # the same as it closes
    hung_mm: float = 0.5
    lost_mm: float = 2.0  # of cable pull that the lever does not follow
    tank_vent: float = 0.7
    stale: float = 0.97  # share of the fuel's heat
    puffs: float = 0.08  # share of air drawn in, of a joint whose puffs are felt
    blows: float = 0.15  # the same, heard
    open_silencer: float = 1.3  # share of the usual area, heard


FOUND = Found()
