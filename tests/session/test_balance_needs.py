"""Rules that lack what a balance needs: one sentence, and nothing is lost."""

from pathlib import Path

import pytest
from msgspec.structs import replace

from advisor.diagnose import Advisor
from advisor.errors import AdvisorError
from advisor.session.dialogue import Dialogue
from advisor.session.events import BALANCE, SEARCH
from advisor.session.session import Session
from advisor.session.shown import Mistake
from advisor.session.store import Journal, Store
from tests.session.sessions import session


@pytest.fixture
def lacking(advisor: Advisor) -> Advisor:
    """Return an advisor whose rules know no column at idle."""
    readings = {name: one for name, one in advisor.base.readings.items() if name != "column-idle"}
    made = object.__new__(Advisor)
    made.__dict__.update(advisor.__dict__)
    made.base = replace(advisor.base, readings=readings)
    return made


def test_a_balance_is_refused_in_one_sentence_before_it_begins(lacking: Advisor, tmp_path: Path) -> None:
    store = Store(tmp_path / "store")
    with pytest.raises(AdvisorError) as refused:
        Dialogue(lacking, Journal(store)).begin(BALANCE)
    assert str(refused.value).startswith("these rules lack what a balance needs: the reading 'column-idle'; add")
    assert not list(store.sessions(BALANCE))
    store.close()


def test_a_search_goes_on_where_it_was(lacking: Advisor, advisor: Advisor) -> None:
    journal = session(advisor, "balance-wont-hold").journal
    at = Session(lacking, journal)
    kept = list(journal.events)
    with pytest.raises(AdvisorError, match="the reading 'column-idle'"):
        at.answer("balance")
    assert journal.events == kept
    assert at.state.leads == SEARCH
    assert not any(isinstance(one, Mistake) for one in Dialogue(advisor, journal).resume())
