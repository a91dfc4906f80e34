"""Where a search offers to go over to the balance, and where a balance offers the way back."""

from collections.abc import Iterator

from msgspec.structs import replace

from advisor.rulebase.model import Rulebase
from advisor.session.acceptance import set_again
from advisor.session.events import BALANCE, PHONE, SEARCH, PutRight, WentOver
from advisor.session.next_question import BALANCED, DONE, HOLDS, REPAIR, Option, Question
from advisor.session.state import State
from advisor.session.went_over import LED_KINDS

SETTINGS = "out-of-adjustment"  # the cause that a balance puts right
LEAD_ME = "Lead me through the balance."
AGAIN = "Lead me through the balance: it is set again around the repair."
BACK = "Back to the search for the fault."


def with_balance(asked: Question, state: State, base: Rulebase) -> Question:
    """Return a question with the way over to the balance, or back from it, where that is the next best thing."""
    return replace(asked, options=(*asked.options, *_ways(asked, state, base)))


def _ways(asked: Question, state: State, base: Rulebase) -> Iterator[Option]:
    if state.kind == PHONE:
        return
    if asked.kind == REPAIR and (asked.name == SETTINGS or SETTINGS in base.causes[asked.name].also_cures):
        yield Option(says=LEAD_ME, event=WentOver(BALANCE))
    elif asked.kind in {HOLDS, DONE}:
        repair = next((one for one in reversed(state.known) if isinstance(one, PutRight)), None)
        if repair is not None and set_again(repair, base):
            yield Option(says=AGAIN, event=WentOver(BALANCE))
    elif asked.kind == BALANCED and state.kind not in LED_KINDS:
        yield Option(says=BACK, event=WentOver(SEARCH))


def typed_way(low: str, state: State) -> WentOver | None:
    """Return the way over that a line asks for at any time: 'balance', or 'search' to go back; None for another."""
    if state.kind == PHONE:
        return None
    if low == "balance" and state.leads != BALANCE:
        return WentOver(BALANCE)
    return WentOver(SEARCH) if low == "search" and state.leads == BALANCE else None
