"""With JavaScript off: whole sessions go to their end, on a desk; `test_sessions` has them on a phone."""

import pytest

from tests.browser.chromium import DESKTOP
from tests.browser.conftest import Open
from tests.browser.served import Pages
from tests.browser.walks import Way, at_the_bike, by_figures, on_the_phone

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("way", [at_the_bike, by_figures, on_the_phone], ids=lambda one: str(one.__name__))
def test_a_session_goes_to_its_end_without_script(way: Way, opened: Open, pages: Pages) -> None:
    tab = opened(DESKTOP, script=False)
    came = [tab.heading for _ in way(tab, pages)]
    assert len(set(came)) > 3
    assert not any(one.endswith(".js") for one in tab.asked)
