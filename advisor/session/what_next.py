"""What a session asks next, by what it leads: a search for a fault, the balance, or the order of a tune-up."""

from advisor.diagnose import Advisor
from advisor.report import Report
from advisor.session.balance_asked import balance_question
from advisor.session.balance_needs import refuse_without
from advisor.session.balance_so_far import led
from advisor.session.events import BALANCE, TUNE_UP
from advisor.session.next_question import Question, next_question
from advisor.session.state import State
from advisor.session.to_the_balance import with_balance
from advisor.session.tune_up_asked import tune_up_question


def what_next(state: State, advisor: Advisor) -> tuple[Question, Report]:
    """Return what is asked next, with the report behind it.

    Raises AdvisorError where it cannot be ranked, or where these rules lack what a balance needs.
    """
    asked, report = _led_or_searched(state, advisor)
    return with_balance(asked, state, advisor.base), report


def _led_or_searched(state: State, advisor: Advisor) -> tuple[Question, Report]:
    if state.leads == BALANCE:
        refuse_without(advisor.base)
        found = balance_question(led(state.known, advisor.base), state.case, advisor.base)
        return found, advisor.diagnose(state.case, closely=True)
    if state.leads == TUNE_UP:
        report = advisor.diagnose(state.case, closely=True)
        return tune_up_question(state, report, advisor), report
    return next_question(state, advisor)
