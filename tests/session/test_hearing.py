"""What words may mean: what is dangerous or decisive is understood in a rider's own words."""

import pytest

from advisor.diagnose import Advisor
from tests.session.sessions import session


def test_a_sentence_offers_what_it_may_mean(advisor: Advisor) -> None:
    found = [one.sign for one in session(advisor).hearing.understood("won't idle evenly since I did the valves")]
    assert {"idle-bad", "began-after-valve-work"} <= set(found)
    assert {one.side for one in session(advisor).hearing.understood("the left cylinder is dead")} <= {"left", None}
    assert session(advisor).hearing.understood("xyzzy") == []


@pytest.mark.parametrize(
    ("words", "sign"),
    [
        ("petrol leak under the left carb", "fuel-drips"),
        ("fuel leak", "fuel-leaks"),
        ("left carb leaks", "fuel-drips"),
        ("needs choke all the time", "enricher-helps"),
        ("the revs drop slowly", "idle-hangs"),
        ("won't start at all since I cleaned the carburettors", "wont-start"),
        ("wont start", "wont-start"),
        ("when I let go of the throttle the revs stay up", "throttle-stays-open"),
        ("the left side is dead", "side-dead"),
        ("weaker on the left", "one-side-weak"),
        ("it tingles at 80", "cruise-vibration"),
    ],
)
def test_what_is_dangerous_or_decisive_is_understood_in_a_riders_words(advisor: Advisor, words: str, sign: str) -> None:
    found = session(advisor).hearing.understood(words)
    assert sign in [one.sign for one in found]
    assert all(one.warns for one in found if one.sign in {"fuel-drips", "fuel-leaks", "throttle-stays-open"})


def test_the_main_troubles_can_be_chosen_from_in_plain_words(advisor: Advisor) -> None:
    """The tool's own subject is among them: balance, a drifting idle, uneven drops."""
    hearing = session(advisor).hearing
    found = hearing.troubles("mechanic")
    assert [one.sign for one in found[:3]] == ["idle-bad", "balance-wont-hold", "idle-unsteady"]
    assert {"cuts-out", "one-side-weak", "hard-to-start", "power-low"} <= {one.sign for one in found}
    assert [(one.sign, one.side) for one in found if "drops" in one.title] == [
        ("drop-small-idle", "left"),
        ("drop-small-idle", "right"),
    ]
    rider = hearing.troubles("rider")
    assert rider == [one for one in found if advisor.base.signs[one.sign].seen_by == "rider"]
