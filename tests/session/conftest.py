"""Many sessions begin alike: each case of theirs is worked out once, but for a mutation run, where the code differs."""

import pytest

from advisor.diagnose import Advisor
from advisor.web.worked_out import WorkedOut


@pytest.fixture(scope="session")
def advisor(advisor: Advisor, remembering: WorkedOut, pytestconfig: pytest.Config) -> Advisor:
    """Return the shipped rule base, ready for cases, with the reports that it gave so far."""
    return advisor if pytestconfig.getoption("hypothesis_profile") == "mutation" else remembering
