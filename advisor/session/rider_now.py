"""What a rider does now, at the end of a call: one sentence, read aloud to him."""

from advisor.case import Case
from advisor.report import Report
from advisor.rulebase.model import Rulebase
from advisor.session.bans import bans

NO_START = "Do not start it again before that is mended, and have it carried to a workshop."
NO_RIDE = "Do not ride it as it is, and have it carried to a workshop."
NO_RUN = "Leave it where it is safe, with the ignition off, and have it carried to a workshop."
GENTLY = "You may ride it gently to a workshop; stop, and ring again, if it gets worse or one cylinder goes dead."
MENDED = "Ride it gently the first time, and ring again if it comes back."
SOUND = (
    "By what you tell me it runs as it should, so ride it as you always do. Ring again if anything gets worse or is "
    "new, and at once if it smells of fuel, cuts out, or the throttle does not snap shut."
)


def rider_now(report: Report, case: Case, base: Rulebase, *, mended: bool = False, sound: bool = False) -> str:
    """Return what the rider does now: what the gravest danger asks for, or how he gets the bike to a workshop.

    `mended`: the trouble is put right; `sound`: nothing wrong is known.
    """
    found = bans(report, case, base)
    grave = [base.cautions[name].now for one in found for name in one.warns if base.cautions[name].now]
    if grave:
        return grave[0]
    if "cranking" in report.forbidden:
        return NO_START
    if "riding" in report.forbidden:
        return NO_RIDE
    if "running" in report.forbidden:
        return NO_RUN
    warned = [base.cautions[one.id].now for one in report.cautions if one.of_the_case and base.cautions[one.id].now]
    if warned:
        return warned[0]
    return MENDED if mended else SOUND if sound else GENTLY
