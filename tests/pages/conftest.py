"""Pages are drawn of sessions that begin alike: each case of theirs is worked out once."""

import pytest

from advisor.diagnose import Advisor
from advisor.web.worked_out import WorkedOut


@pytest.fixture(scope="session")
def advisor(remembering: WorkedOut) -> Advisor:
    """Return the shipped rule base, ready for cases, with the reports that it gave so far."""
    return remembering
