"""What is shown of where a dialogue stands."""

import pytest

from advisor.diagnose import Advisor
from advisor.rulebase.aloud import aloud
from advisor.session import shown
from advisor.session.events import ALL_HOLDS, Answered
from advisor.session.next_question import CHECK
from advisor.session.place import ForAnswer, ForTools
from advisor.session.prompts import asked, ended, prompt, question_shown
from advisor.session.session import Session
from advisor.session.store import Journal, Store
from tests.session.sessions import RIDER, session, told


def test_what_was_heard_is_only_said_again(advisor: Advisor) -> None:
    at = session(advisor, "fuel-smell")
    fresh = question_shown(at)
    both = (*fresh.dangers, *fresh.cautions)
    assert fresh.dangers
    assert not any(one.again for one in both)
    heard = [fresh.dangers[0].says]
    again = question_shown(at, heard)
    assert all(one.again for one in (*again.dangers, *again.cautions))
    assert not again.more
    assert [one.says for one in (*again.dangers, *again.cautions)] == [one.says for one in both]


def test_a_question_and_what_the_rider_does_at_the_end_are_read_aloud_on_the_phone_only(advisor: Advisor) -> None:
    call, bench = session(advisor, "idle-hangs", kind="phone", means=RIDER), session(advisor, "idle-hangs")
    assert call.question.kind == CHECK
    found = question_shown(call)
    assert found.aloud == aloud(advisor.base.checks[call.question.name], call.question.side, advisor.base) != ""
    assert question_shown(bench).aloud == ""
    call.journal.add(told("fuel-drips", side="left"))
    ends = Session(advisor, call.journal)
    assert ends.question.kind != CHECK
    assert question_shown(ends).aloud == advisor.base.cautions["fuel-leak"].now
    assert (found.may_ride, question_shown(ends).may_ride) == (True, False)


def test_a_question_still_stands_after_a_slip_and_a_choice_is_asked_for_again(advisor: Advisor) -> None:
    at = session(advisor, "idle-hangs")
    assert list(prompt(ForAnswer(), at)) == []
    assert list(asked(ForAnswer(), at)) == [question_shown(at)]
    assert [type(one) for one in prompt(ForTools(), at)] == [shown.AskTools]
    listed, _ = asked(ForTools(), at)
    assert listed == shown.ToolsListed(tools=tuple((tool.title, True) for tool in advisor.base.tools.values()))


@pytest.mark.parametrize("kept", [True, False])
def test_it_ends_kept_or_not_kept_or_fixed(
    advisor: Advisor, kept: bool, tmp_path_factory: pytest.TempPathFactory
) -> None:
    store = Store(tmp_path_factory.mktemp("store") / "s.sqlite") if kept else None
    at = Session(advisor, Journal(store, store.begin() if store else 0))
    assert ended(at).how == shown.NOTHING_TOLD
    at.begin("phone", "it dies")
    found = ended(at)
    assert (found.how, found.session, found.lost) == ((shown.KEPT, 1, 0) if kept else (shown.NOT_KEPT, 0, 1))
    assert found.command == (f"advisor phone --session 1 --store {store.path}" if store else "")
    at.journal.add(Answered("intake-joint-leak", "left", ALL_HOLDS, ()))
    assert ended(Session(advisor, at.journal)).how == shown.FIXED
    at.journal.add(told("idle-hangs"))
    assert ended(Session(advisor, at.journal)).how != shown.FIXED
