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
    "coil-wire-bad": COMES_AND_GOES,
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
    "crank-out-of-balance": "the model's crank, pistons and flywheel are in balance",
    "timing-chain-worn": COMES_AND_GOES,
    "valve-timing-out": "the model's cam is always in time",
}
