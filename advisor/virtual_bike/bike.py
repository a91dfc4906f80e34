"""The state of the virtual bike: settings of both sides, condition of every part, and the air around it."""

from dataclasses import dataclass, field, replace
from typing import Any

from advisor.errors import AdvisorError, nearest
from advisor.sides import BOTH, Side, other
from advisor.virtual_bike.constants import ENGINE

Mark = tuple[str, Side, float]  # cause, side (None if shared), severity


@dataclass(frozen=True)
class SideState:
    """Settings and parts of one side; the defaults are healthy, warm and set to specification."""

    # settings
    stop_deg: float = 4.7225  # plate held above closed by the idle stop
    adjuster_mm: float = -0.7  # cable slack with the plate fully closed; the stop adds to it
    screw_turns: float = ENGINE.screw_turns  # mixture screw, from seated
    enricher: float = 0.0  # lever, 0 home to 1 full
    # air
    joint_leak_mm2: float = 0.0  # effective, at the joint of carburettor and head
    port_leak_mm2: float = 0.0  # effective, at the gauge's take-off
    crack_mm2: float = 0.0  # effective, in the manifold; opens as the head warms
    sealed: bool = False  # the mechanic has covered joint and port
    sprayed: bool = False  # something flammable is being sprayed at the joint
    spindle_mm: float = ENGINE.spindle_clearance_mm
    plate_gap_mm: float = 0.0  # a closed plate's distance from its bore, mean
    slide_drag_n: float = 0.0  # friction against the rising slide
    slide_hung_mm: float = 0.0  # lift below which the slide will not fall
    diaphragm_hole_mm2: float = 0.0
    filter_share: float = 1.0  # free area of the air filter and its duct
    # cable
    sticks_mm: float = 0.0  # pull that the cable keeps after the grip is let go
    pull_lost_mm: float = 0.0  # pull that does not reach the plate; below 0 the sheath is unseated and pulls on it
    # fuel
    pilot_share: float = 1.0  # free area of the pilot jet and passage
    pilot_air_share: float = 1.0
    progression_share: float = 1.0
    main_share: float = 1.0
    needle_jet_share: float = 1.0
    main_air_share: float = 1.0
    needle_mm: float = 0.0  # height above standard
    needle_wear_mm: float = 0.0  # jet's diameter above standard
    screw_seat_turns: float = 0.0  # turns that a damaged seat adds to the screw's own
    screw_leak_mm2: float = 0.0  # air past the mixture screw's seal
    enricher_leak: float = 0.0  # share open with the lever home
    enricher_works: float = 1.0  # share that opens with the lever out
    float_mm: float = 0.0  # level above standard
    valve_leak_mg_s: float = 0.0  # fuel past the closed float valve
    supply_share: float = 1.0
    vent_share: float = 1.0
    # ignition
    spark: float = 1.0  # 0 for a plug that is dead or shorted
    plug_fouling: float = 0.0  # 0 clean to 1
    plug_gap_mm: float = ENGINE.plug_gap_mm
    cap_ohm: float = ENGINE.cap_ohm
    plug_ohm: float = ENGINE.plug_ohm
    lead_ohm: float = ENGINE.lead_ohm
    coil_share: float = 1.0  # of the voltage it should give
    cap_share: float = 1.0  # of that voltage that cap and lead hold before they flash over to earth
    timing_deg: float = 0.0  # this side's advance over the other's
    # cylinder
    inlet_clearance_mm: float = ENGINE.inlet_clearance_mm  # cold
    exhaust_clearance_mm: float = ENGINE.exhaust_clearance_mm  # cold
    valve_leak_mm2: float = 0.0  # effective, past a closed valve
    ring_leak_mm2: float = 0.0  # effective, past the rings
    plug_leak_mm2: float = 0.0  # effective, past the plug seat or the head joint
    guide_mm: float = 0.0  # wear of the inlet guide
    silencer_share: float = 1.0  # free area
    exhaust_leak: float = 0.0  # share of outside air at the probe
    head_c: float = 150.0


@dataclass(frozen=True)
class Gauge:
    """The vacuum gauge in use: a liquid column for each side."""

    offset_mm: tuple[float, float] = (0.0, 0.0)
    gain: tuple[float, float] = (1.0, 1.0)
    exchanged: bool = False
    damped: bool = True


@dataclass(frozen=True)
class Bike:
    """Both sides, shared parts, outside air and the gauge in use. Warm, in neutral, grip closed by default."""

    left: SideState = field(default_factory=SideState)
    right: SideState = field(default_factory=SideState)
    pressure_pa: float = ENGINE.reference_pressure
    air_c: float = 20.0
    oil_c: float = 90.0
    static_deg: float = ENGINE.static_advance
    least_advance_deg: float = -99.0  # an advance that does not return
    spring_share: float = 1.0  # strength left in the advance's springs
    advance_share: float = 1.0  # share of the travel left in the advance
    coil_share: float = 1.0  # share of the voltage that common parts deliver
    fuel_share: float = 1.0  # share of the fuel's heating value
    tank_vent_share: float = 1.0
    ridden_min: float = 0.0  # minutes on the road since the tank was last opened
    friction_share: float = 1.0
    grip_mm: float = 0.0  # cable pull at the grip
    load_nm: float = 0.0  # at 4000 rpm, growing with the square of speed
    gauge: Gauge = field(default_factory=Gauge)
    marks: frozenset[Mark] = frozenset()  # faults visible to anyone who looks at the part

    def side(self, side: Side) -> SideState:
        """Return the state of the left or right side; AdvisorError for no side."""
        if side is None:
            message = "a side is needed: left or right"
            raise AdvisorError(message)
        return self.left if side == "left" else self.right

    def change(self, side: Side = None, **parts: Any) -> "Bike":  # noqa: ANN401 - the fields' own types
        """Return a bike with these fields of `SideState` changed on one side, or on both if no side is given."""
        unknown = [name for name in parts if name not in SideState.__dataclass_fields__]
        if unknown:
            message = f"no such part: {unknown[0]}{nearest(unknown[0], SideState.__dataclass_fields__)}"
            raise AdvisorError(message)
        sides: dict[str, Any] = {one: replace(self.side(one), **parts) for one in BOTH if side in {one, None}}
        return replace(self, **sides)

    def share(self, **parts: Any) -> "Bike":  # noqa: ANN401 - the fields' own types
        """Return a bike with these shared fields changed."""
        return replace(self, **parts)

    def mirrored(self) -> "Bike":
        """Return the bike with left and right swapped."""
        g = self.gauge
        gauge = replace(g, offset_mm=g.offset_mm[::-1], gain=g.gain[::-1])
        marks = frozenset((cause, other(side), severity) for cause, side, severity in self.marks)
        return replace(self, left=self.right, right=self.left, gauge=gauge, marks=marks)
