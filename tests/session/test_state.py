"""Events folded into a case, also once the rule base has changed since."""

from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.intake.valid import refuse_invalid
from advisor.session.events import Answered, Began, PutRight, Read, RuledOut, Skipped, Told
from advisor.session.state import fold
from tests.cases import figure, report


def test_what_the_rule_base_does_not_have_any_more_is_left_out(advisor: Advisor) -> None:
    base = advisor.base
    kept = report("idle-hangs", how="told")
    gone = report("no-such-sign", "left")
    reading = figure("idle-speed", None, 1000.0, base)
    state = fold(
        [
            Began("bench", "it hangs"),
            Told((kept, gone)),
            Answered("no-such-check", None, "yes", (gone,)),
            Skipped("no-such-check", None, "can't"),
            Read((reading, replace(reading, reading="no-such-reading"))),
            RuledOut("no-such-cause", None),
            PutRight("no-such-cause", "left"),
        ],
        base,
    )
    assert state.case.seen == (kept,)
    assert state.case.measured == (reading,)
    assert not (state.case.not_again)
    assert not (state.case.ruled_out)
    assert not state.case.put_right
    refuse_invalid(state.case, base)
    assert advisor.diagnose(state.case).causes
