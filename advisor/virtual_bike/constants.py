"""The one table of the invented engine: every figure with its unit.

No figure describes an existing engine. They were tuned by hand until a healthy engine gave typical figures, so
signs and rankings mean more than magnitudes. Angles are crank degrees from top dead centre.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Constants:
    """Geometry, flow, fuel, combustion, friction of the invented engine; SI units unless the name says otherwise."""

    # gas
    gas_constant: float = 287.05  # J/(kg K), dry air
    heat_ratio: float = 1.4
    reference_pressure: float = 101_325.0  # Pa, standard atmosphere at sea level
    reference_temperature: float = 288.15  # K
    gas_exchange_temperature: float = 1000.0  # K, burnt gas left in the cylinder
    # cylinder
    bore: float = 0.0810  # m
    stroke: float = 0.0723  # m
    rod: float = 0.135  # m
    compression_ratio: float = 9.0
    reciprocating_mass: float = 0.52  # kg a side
    cylinder_offset: float = 0.040  # m between the two cylinder axes
    # valves
    inlet_opens: float = -18.0
    inlet_closes: float = 235.0
    exhaust_opens: float = -233.0
    exhaust_closes: float = 18.0
    inlet_diameter: float = 0.041  # m
    inlet_lift: float = 0.0092  # m
    exhaust_diameter: float = 0.036  # m
    exhaust_lift: float = 0.0092  # m
    valve_discharge: float = 0.68
    lash_angle: float = 30.0  # degrees lost at either end of the lift per mm of clearance
    inlet_clearance_mm: float = 0.15  # cold
    exhaust_clearance_mm: float = 0.20  # cold
    valve_growth_mm: float = 0.12  # clearance lost from cold to hot
    # tract and butterfly
    tract_volume: float = 62e-6  # m3 between butterfly and inlet valve
    butterfly: float = 0.032  # m
    closed_angle: float = 10.0  # degrees of plate when closed
    butterfly_discharge: float = 0.72
    closed_leak: float = 0.8e-6  # m2
    spindle_clearance_mm: float = 0.03
    spindle_leak: float = 16e-6  # m2 effective, of outside air, per mm of clearance beyond the above
    plate_gap_leak: float = 40e-6  # m2 per mm of gap between the closed plate and its bore
    lever_mm_per_degree: float = 0.35  # cable pull per degree of plate
    filter_area: float = 900e-6  # m2, a side
    exhaust_area: float = 300e-6  # m2, a side
    # constant-velocity slide
    slide_mass: float = 0.075  # kg
    slide_preload: float = 1.1  # N
    slide_rate: float = 18.0  # N/m
    diaphragm_area: float = 2.4e-3  # m2
    slide_lift: float = 0.026  # m
    slide_base: float = 110e-6  # m2 effective with the slide down
    slide_width: float = 0.022  # m2 effective per m of lift
    signal_hole_mm2: float = 8.0  # hole between diaphragm chamber and throat
    # fuel
    fuel_density: float = 740.0  # kg/m3
    stoichiometric: float = 14.6  # kg air per kg fuel, for CH1.87
    heating_value: float = 43.5e6  # J/kg, lower
    fuel_head: float = 0.020  # m from bowl level up to the outlets
    jet_discharge: float = 0.75
    pilot_jet: float = 0.637e-3  # m, diameter
    pilot_air: float = 1.10e-6  # m2 effective
    pilot_outlet: float = 0.105e-6  # m2 effective at the standard turns
    screw_turns: float = 1.0
    screw_share: float = 0.25  # share of the outlet metered by the mixture screw at the standard turns
    progression: float = 0.10e-6  # m2 effective, all holes uncovered
    progression_starts: float = 4.7  # degrees of plate above closed
    progression_span: float = 4.0  # degrees from the first hole to the last
    main_jet: float = 1.80e-3  # m, diameter
    spray_boost: float = 1.6  # depression at the needle jet as a multiple of that behind the slide
    least_annulus: float = 0.05e-6  # m2 effective: needle and jet never touch all round
    annulus_per_mm: float = 3.0e-6  # m2 effective per mm of wear in diameter
    enricher_air: float = 5.0e-6  # m2 effective
    enricher_jet: float = 0.45e-3  # m, diameter
    supply_flow: float = 3.0e-3  # kg/s a side through a free supply with the float valve wide open
    valve_droop_mm: float = 14.0  # drop in level at which the float valve is wide open
    tank_minutes: float = 15.0  # riding time until an unvented tank gives next to nothing
    tank_least: float = 0.08  # share of the supply maintained by vapour
    vent_area: float = 2e-6  # m2 effective, free bowl vent
    # ignition
    static_advance: float = 8.0
    advance_span: float = 30.0
    advance_starts: float = 1500.0  # rpm
    advance_knee: float = 2100.0  # rpm at which the second spring comes in
    advance_at_knee: float = 18.0
    advance_ends: float = 3300.0  # rpm
    cap_ohm: float = 5000.0
    plug_ohm: float = 1.0  # no resistor in the plug besides the one in the cap
    lead_ohm: float = 1.0
    plug_gap_mm: float = 0.70
    coil_voltage_kv: float = 26.0
    # torque, friction, inertia
    burn_efficiency: float = 0.42  # indicated, at best mixture and timing and full charge
    inertia: float = 0.06  # kg m2, crank, flywheel and clutch
    alternator_torque: float = 2.2  # N m, once charging
    alternator_starts: float = 700.0  # rpm
    alternator_full: float = 1150.0  # rpm
    gearbox_drag: float = 1.0  # N m at 1000 rpm, in neutral, warm
    # heat
    head_capacity: float = 4200.0  # J/K a side
    oil_capacity: float = 9_000.0  # J/K, with the cases
    head_cooling: float = 4.2  # W/K to still air, a side
    head_to_oil: float = 4.0  # W/K
    oil_cooling: float = 14.0  # W/K to still air
    head_cooling_fan: float = 8.4  # W/K with a fan blowing on the heads, a side
    head_cooling_road: float = 32.0  # W/K at cruising speed, a side
    oil_cooling_road: float = 40.0  # W/K at cruising speed
    head_limit_c: float = 190.0  # the hottest that a head may get on the stand
    cranking_rpm: float = 300.0
    # screws
    stop_degree_turn: float = 3.0  # degrees of plate a turn of the idle stop: 1 mm of pitch at a lever of 19 mm
    adjuster_mm_turn: float = 1.0  # mm of slack a turn of the cable's adjuster: a thread of 1 mm pitch
    stop_backlash: float = 1 / 24  # turns lost when the screw is turned back
    adjuster_backlash: float = 1 / 24  # turns
    mixture_backlash: float = 1 / 48  # turns, its spring takes up most of the play

    @property
    def swept(self) -> float:
        """Swept volume of one cylinder, m3."""
        return 0.785_398_163_397_448_3 * self.bore**2 * self.stroke

    @property
    def clearance_volume(self) -> float:
        """Volume of one cylinder at top dead centre, m3."""
        return self.swept / (self.compression_ratio - 1)


ENGINE = Constants()
