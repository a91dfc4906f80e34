"""A virtual bike: an independent physical model of an air-cooled opposed twin in which faults can be planted.

It shares no threshold and no strength with the rule base. Its constants were set by hand until a healthy engine gave
figures of common practice: signs and rankings mean more than magnitudes. Say so wherever its figures are shown.

How to use it
    bike.Bike()                                 healthy, warm, adjusted; frozen; .left .right .change(side, **) .share(**)
    faults.plant(bike, "intake-joint-leak", "left", 0.5)    one fault; plant_all for several; CAUSES, NOT_SHOWN, ONE_SIDED
    measure.steady(bike, ...)                   true values of a full set for one or many bikes at once; .row(i) as a dict
"""
