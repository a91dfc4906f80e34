"""Causes that the model has no way to show, and why."""

COMES_AND_GOES = "it comes and goes; the model holds steady states"
NO_CHASSIS = "the model ends at the clutch and has no frame"

NOT_SHOWN = {
    "accessory-disturbs": COMES_AND_GOES,
    "cable-fraying": COMES_AND_GOES,
    "cable-routed-badly": "it moves with the handlebar, which the model has not",
    "throttle-linkage-loose": COMES_AND_GOES,
    "body-faulty": "its effect is whatever the fault in the casting is; plant that instead",
    "bowl-vent-in-wind": "no wind and no road speed in the model",
    "driveline-worn": NO_CHASSIS,
    "mounts-loose": NO_CHASSIS,
    "wheel-or-tyre-out": NO_CHASSIS,
    "coil-overfed": "the model's coils do not heat up, and their feed is the battery's",
    "coil-wire-bad": COMES_AND_GOES,
    "connector-left-off": "it is on or off, and most often the engine does not start",
    "interlock-stops-it": "the model has no stand, gearbox or clutch",
    "lead-damaged": "planted as cap-or-lead-failing, which a stronger fault of it shows to the eye",
    "points-of-one-side": "the model's points serve both sides",
    "stop-switch-off": "the model's ignition is always on",
    "trigger-of-one-side": COMES_AND_GOES,
    "switch-or-earth-bad": COMES_AND_GOES,
    "crossover-leaking": "noise, and waves in the exhaust that filling and emptying does not have",
    "cap-loose-or-wet": "no water in the model's air, and its caps click home",
    "fuel-not-on": "the model's tank is never empty and its tap never shut",
    "fuel-line-leaking": "nothing of it reaches the engine",
    "water-in-fuel": COMES_AND_GOES,
    "leads-crossed": "the engine would not run, or run as before where one coil feeds both plugs",
    "module-failing": COMES_AND_GOES,
    "plug-grade-wrong": "the heat of the plug itself is not modelled",
    "trigger-failing": COMES_AND_GOES,
    "icing": "no water in the model's air",
    "end-float-wrong": "noise only",
}
