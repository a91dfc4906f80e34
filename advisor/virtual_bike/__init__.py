"""A virtual bike: an independent physical model of an air-cooled opposed twin with faults planted at will.

It shares no threshold and no strength with the rule base. Its constants were tuned by hand until a healthy engine gave
typical figures: signs and rankings mean more than magnitudes. Say so wherever its figures are shown.

How to use it
    bike.Bike()                  healthy, warm, adjusted; frozen; .left .right .side(s) .change(side, **) .share(**)
    faults.plant(bike, "intake-joint-leak", "left", 0.5)   one fault; plant_all for several; CAUSES, NOT_SHOWN.
                                 Each leaves its marks for the eye in `bike.marks`
    measure.steady(bike, ...)    true values of a full set, for one or many bikes at once; .row(i) as a plain dict
    still.still(bike, ...)       true values with the engine stopped: compression, resistance, level, slack, gaps
    respond.answers(bike)        by act: what idle and column do when a joint is sealed or sprayed, a screw moved
    respond.fall(bike, ...)      after a blip: how long the speed takes to fall, where it rests (a hanging idle)
    warmup.warm_up(bike, ...)    ten minutes from cold as a log
    sound.at_idle(bike, seconds), sound.sound_of(running, rng)    the sound of its exhausts, misfires and all
    operate.tune(bike)           stops and cables set around the fault; tune_all, best_mixture, seal, short ...
    instruments.read(steady, bikes, rng), read_still(still, rng)    what is read: resolution, noise, gauge
    on_the_stand.OnTheStand(bike, rng, "gauges")   the running engine from moment to moment: .turn .hold .short .blip
                                 .ride .start .read(seconds); misset.misset(bike, rng) turns its screws first

How it works
    cycle        filling and emptying of one cylinder with its own tract, by crank angle
    table        the same solved once on a grid of opening and speed, and cached
    carburettor  slide, pilot, progression, needle and main jet, enricher, float level, supply, vents
    ignition combustion friction engine     spark, mixture and burnt gas to torque; losses
    idle         root of the torque balance that the engine can reach from its present speed
    vibration    the crankshaft's speed swing within the cycle, and its effect on the columns

What it cannot do
    Two stable idles (a hanging idle) need late timing, a leak, and stops opened to make up for both.
    Waves in the pipes, knocking, plug temperature, wind, and intermittent faults (`faults.NOT_SHOWN`).
    Shorting a plug with the grip held at 2500 rpm unloaded costs well over half the speed, more than in practice.
    Off idle the mixture leans out when the grip is opened at low speed (excess air 1.3 at 3.5 mm, 1,000 rpm), so
        the sound side of a bike held on more grip than usual stalls when the weak one is shorted from 2,500 rpm.
    Columns answer to a weak side by a first-order slope only; in practice weak cycles also make them unsteady.
    A slide held down by a torn diaphragm leans its side at full throttle until it misses; in practice it only starves.
    A blocked bowl vent acts as a resistance to the fuel drawn; in reality it acts while the level moves.
    A loose main jet hardly shows, because the needle's annulus limits it; nor does a silencer until nearly blocked.
    Free filters and silencers gain nothing, because they change the mixture little.
    A sinking or leaking float settles at a steady level; flooding over the top is not modelled.
    On the stand a hand catches a speed or a blip at once: only the pointers and the fall of the revs take their time.
    Cold starting is not modelled: the engine is assumed to run, and stalls only at the speed it would settle at.
"""
