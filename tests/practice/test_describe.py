"""A round in the pages' words: who noticed what, titles with their sides, readings by side, cautions."""

from advisor.diagnose import Advisor
from advisor.observer.taken_reading import Taken
from advisor.practice.describe import CONTENT, care, opening, reading, repair_done, title_of
from advisor.practice.replies import SideRead
from advisor.practice.round import CHECK, FIX, GONE, Step
from advisor.rulebase.model import Rulebase
from tests.practice.rounds import PLUG, bike_with


def test_what_the_rider_says_and_what_a_workshop_found(advisor: Advisor) -> None:
    round_ = bike_with(advisor, PLUG)
    round_.complaint = (("dies-at-idle", None), ("column-uneven-idle", "left"))
    shown = opening(round_)
    assert shown.rider == (advisor.base.signs["dies-at-idle"].plain,)
    assert "left" in shown.workshop[0]
    round_.complaint = ()
    assert (opening(round_).rider, opening(round_).workshop) == ((CONTENT,), ())


def test_titles_have_their_sides(base: Rulebase) -> None:
    look = Step(kind=CHECK, id="look-under-the-rocker-cover", side="right", minutes=4.0)
    both = Step(kind=FIX, id="slide-sticking", side="left", both=True, minutes=4.0)
    assert title_of(look, base) == "Look under the right rocker cover"
    assert title_of(both, base) == "The left and right slide sticks"


def test_a_repair_says_how_it_is_done_and_what_is_left(base: Rulebase) -> None:
    step = Step(
        kind=FIX,
        id="plug-dead",
        side="left",
        minutes=20.0,
        outcome=GONE,
        still=(("misfires-idle", "right"),),
        cautions=("fuel-fire",),
        set_again=True,
    )
    done = repair_done(step, base)
    assert (done.outcome, done.set_again, done.minutes) == (GONE, True, 20.0)
    assert "{" not in done.how
    assert "right" in done.still[0]
    assert done.care == care(["fuel-fire"], [], base)


def test_cautions_are_in_full_or_by_their_names(base: Rulebase) -> None:
    shown = care(["fuel-fire"], ["stuck-throttle"], base)
    assert shown.fresh == (base.cautions["fuel-fire"].says,)
    assert shown.before == ("stuck throttle",)


def test_a_reading_by_side_with_its_stalls(base: Rulebase) -> None:
    taken = Taken("rpm", {"left": (100.0, 120.0), "right": ()}, {"right": 2}, 5.0)
    shown = reading("drop-idle", taken, base)
    assert (shown.title, shown.unit, shown.trusted, shown.asked) == (base.readings["drop-idle"].title, "rpm", 5.0, None)
    assert shown.sides == (SideRead(side="left", values=(100.0, 120.0)), SideRead(side="right", stalls=2))
    assert reading("idle-speed", Taken("rpm", {}, {}), base).sides == (SideRead(side=None),)
