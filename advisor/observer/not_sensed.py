"""Signs that the virtual bike cannot show, and why."""

HISTORY = "history: told of the past, not found on the bike; `history` draws the likely ones"
COMES_AND_GOES = "it comes and goes; the model holds steady states"
UNTRIED = "it was not ridden in rain, wind or on a slope, and how it was left was not written down"
STEADY = "a look or a meter finds it steady now: the model holds steady states"
CHASSIS = "the model ends at the clutch and has no frame, wheel or drive"
WEATHER = "no wind, water, slope or frost in the model's air"
NO_PART = "no fault of the model touches this part"
NO_DANGER = "nothing burns on a virtual bike, and there is no one to breathe its fumes"
ELECTRIC = "wires, triggers and modules are not modelled: what they do comes and goes"
_BY_REASON = {
    HISTORY: (
        *("began-after-valve-work", "began-after-ignition-work", "began-after-fuel-work", "began-after-cable-work"),
        *("began-after-setting", "began-after-crank-work"),
        *("began-after-standing", "began-after-work", "began-suddenly", "slowly-worse", "began-with-a-fill"),
        *("cables-done-in-vain", "carburettors-cleaned-in-vain", "clearances-set-in-vain", "cure-lasted-a-day"),
        *("started-with-too-much", "began-with-something-on-it"),
        *("joint-repair-changed-nothing", "put-right-little-gain", "carburettors-of-another-kind"),
    ),
    COMES_AND_GOES: (*("comes-and-goes", "cuts-like-a-switch", "fault-wanders", "side-cuts-in-and-out"),),
    UNTRIED: (
        "clears-after-cool-damp",
        "comes-in-heat",
        "worse-in-the-wet",
        "worse-in-wind",
        "worse-on-a-slope",
        "setting-moved",
        "only-when-sat-on",
    ),
    STEADY: ("spark-fades-hot", "mark-scatters", "rev-counter-drops", "better-when-pumped"),
    CHASSIS: (
        *("bars-shake-most", "began-with-a-tyre", "clunk-on-drive", "drive-play-felt", "mount-moves", "pipe-touches"),
        *("shake-at-one-speed", "shake-follows-road-speed", "tyre-pressure-off", "wheel-seen-out"),
    ),
    WEATHER: (*("frost-on-carburettor", "water-in-jar", "water-under-front-cover", "vent-tube-astray"),),
    ELECTRIC: (
        *("accessory-off-cures", "another-module-cures", "coil-feed-low", "coil-not-switched", "coil-wire-loose"),
        *("feed-wire-cures", "leads-on-wrong-side", "module-fails-test", "stop-switch-changes-it"),
        *("trigger-signal-bad", "wiggling-a-wire-changes", "wiring-smokes", "side-trigger-bad", "connector-found-off"),
        *("switch-found-off", "interlock-changes-it", "coil-gets-full-volts"),
    ),
    NO_DANGER: ("on-fire", "fumes-felt"),
    NO_PART: (
        *("body-defect-found", "butterfly-is-loose", "cable-seen-pinched", "crossover-puffs", "diaphragm-cover-loose"),
        *("dirt-in-jar", "end-float-off", "grip-drags", "linkage-seen-loose", "plug-code-wrong", "strands-broken"),
        *("way-round-butterfly", "fuel-shut-off", "line-leaks", "plug-reach-wrong", "side-points-bad", "cap-not-home"),
        *("return-spring-bad", "lever-stiff-unhooked", "grip-binds-unhooked", "carburettor-askew", "part-fouls-lever"),
        *("float-valve-stays-shut", "bowl-fills-when-tapped", "bowl-seen-leaking", "cooling-the-bowls-cures"),
        *("starts-wide-open", "oil-in-intake", "secondary-air-off-cures", "secondary-air-blows-back"),
        "secondary-air-valve-bad",
        *("intake-seen-covered", "pulled-when-sat-on"),
        *("crank-parts-unlike", "cam-marks-off", "chain-rattles", "chain-slack-seen"),
    ),
}
NOT_SENSED: dict[str, str] = {sign: reason for reason, signs in _BY_REASON.items() for sign in signs}
# A look cannot rule these out. All other signs above count as absent when somebody looks.
NOBODY_KNOWS = frozenset(_BY_REASON[COMES_AND_GOES]) | frozenset(_BY_REASON[UNTRIED])
