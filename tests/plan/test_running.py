"""An engine that was seen to do what only a running one does: it runs."""

from advisor.plan.candidates import scene
from advisor.plan.running import does_not_run, runs
from tests.cases import case
from tests.small import asks, rule, rulebase, sign, state, yes_no

BASE = rulebase(
    sign("silent"),
    sign("burns"),
    sign("hunts"),
    sign("smokes"),
    sign("loose"),
    sign("told-idle"),
    rule("does-not-run", "silent", forbids=("running", "throttling")),
    rule("must-not-run", "burns", forbids=("cranking", "running")),
    yes_no("watch", "hunts", involves=("running",)),
    yes_no("watch-it-run", "smokes", involves=("running",)),
    yes_no("ask-about-smoke", "smokes", how="told"),
    yes_no("look", "loose"),
    yes_no("ask-about-the-idle", "told-idle", how="told", unless=(asks("silent"),)),
)


def test_what_forbids_running_but_not_cranking_says_that_it_does_not_run() -> None:
    assert does_not_run(BASE) == {"silent"}


def test_only_what_a_running_engine_shows_says_that_it_runs() -> None:
    assert runs([("hunts", None)], [], BASE)
    assert runs([], [("hunts", None)], BASE)  # looked for while it ran, and not found
    assert not runs([("smokes", None)], [], BASE)  # a rider may tell it of a bike that will not start
    assert not runs([("loose", None)], [("loose", None)], BASE)
    assert not runs([("hunts", None), ("silent", None)], [], BASE)
    assert not runs([], [], BASE)


def test_who_watched_it_idle_is_not_asked_whether_it_starts() -> None:
    for seen in (True, False):
        here = scene(BASE, case(), [state("hunts", seen=seen)], frozenset())
        assert here.known["silent", None] is False
    assert ("silent", None) not in scene(BASE, case(), [state("loose")], frozenset()).known
    assert ("silent", None) not in scene(BASE, case(), [state("hunts", seen=False, how="told")], frozenset()).known
