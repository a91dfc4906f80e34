"""The end of a dialogue."""

from advisor.diagnose import Advisor
from advisor.session.ending import end
from advisor.session.place import ForAnswer, Over, Place
from advisor.session.shown import Ended, Sheet
from advisor.session.talk import Talk
from tests.session.sessions import RIDER, session


def test_a_call_ends_with_its_sheet_and_a_session_that_is_left_with_nothing_more(advisor: Advisor) -> None:
    call = Talk(session(advisor, "idle-hangs", kind="phone", means=RIDER), Place(asks=ForAnswer()))
    assert [type(one) for one in end(call)] == [Sheet, Ended]
    bench = Talk(session(advisor, "idle-hangs"), Place(asks=ForAnswer()))
    assert [type(one) for one in end(bench)] == [Ended]
    assert isinstance(bench.place.asks, Over)
