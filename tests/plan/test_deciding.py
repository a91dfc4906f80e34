"""What decides a cause, whether it has spoken, and what must be gone afterwards."""

import pytest

from advisor.plan.deciding import decided_by, deciding_check, gone_with, half_looked_at, settled, settling
from advisor.rulebase import Rulebase
from advisor.rulebase.model import Cause
from advisor.sides import OPPOSITE, Side, Sided
from tests.small import cause, check, here, outcome, rulebase, sign, yes_no


@pytest.fixture(scope="module")
def base() -> Rulebase:
    """Return a leak that its check shows by two signs, and a screw that is asked about."""
    return rulebase(
        sign("wet-moves", sided=True),
        sign("spray-moves", sided=True),
        sign("hisses", sided=True),
        sign("hangs"),
        sign("touched"),
        cause(
            "leak",
            "wet",
            {"wet-moves this": "usually", "spray-moves this": "usually", "hisses this": "often", "hangs": "sure"},
            sided=True,
            must_hold=("wet-moves", "hangs"),
        ),
        cause("screw", "ask", {"touched": "sure", "hangs": "sometimes", "wet-moves this": "often"}),
        check(
            "wet",
            outcome("It runs on.", "wet-moves this", "spray-moves this", "hisses this"),
            outcome("No.", "not wet-moves this"),
            sided=True,
        ),
        yes_no("ask", "touched", how="told"),
    )


WET: tuple[Sided, Sided] = (("wet-moves", "left"), ("spray-moves", "left"))


def test_a_sided_check_decides_on_its_side(base: Rulebase) -> None:
    assert deciding_check("leak", "right", base) == ("wet", "right")
    assert deciding_check("screw", None, base) == ("ask", None)


def test_a_check_of_both_sides_decides_on_either(base: Rulebase) -> None:
    both = rulebase(sign("a", sided=True), cause("c", "k", {"a this": "sure"}, sided=True), yes_no("k", "a this"))
    assert deciding_check("c", "left", both) == ("k", None)
    assert deciding_check("leak", "left", base) == ("wet", "left")


@pytest.mark.parametrize("side", ["left", "right"])
def test_what_the_check_shows_most_often_decides(base: Rulebase, side: Side) -> None:
    """Not what it shows less often, and not what the cause shows but the check does not."""
    assert settling(base.causes["leak"], side, base) == {("wet-moves", side), ("spray-moves", side)}


def test_a_cause_without_a_side_is_asked_as_on_the_left(base: Rulebase) -> None:
    assert settling(base.causes["leak"], None, base) == settling(base.causes["leak"], "left", base)


def test_a_cause_that_its_check_does_not_show_is_never_settled() -> None:
    base = rulebase(sign("a"), sign("b"), cause("c", "k", {"a": "sure"}), yes_no("k", "b"))
    assert settling(base.causes["c"], None, base) == set()
    assert settled("c", None, here({("b", None): True}), base) is False


def test_every_cause_on_each_side_has_what_decides_it(base: Rulebase) -> None:
    assert decided_by(base) == {
        ("leak", "left"): {("wet-moves", "left"), ("spray-moves", "left")},
        ("leak", "right"): {("wet-moves", "right"), ("spray-moves", "right")},
        ("screw", None): {("touched", None)},
    }


def test_unknown_is_never_a_no(base: Rulebase) -> None:
    assert settled("leak", "left", here(), base) is None
    assert settled("leak", "left", here({WET[0]: False}), base) is None  # the other sign is not known
    assert settled("leak", "left", here(dict.fromkeys(WET, False)), base) is False
    assert settled("leak", "left", here({WET[1]: True}), base) is True
    assert settled("leak", "left", here({WET[0]: True, WET[1]: False}), base) is True


def test_the_other_side_says_nothing(base: Rulebase) -> None:
    for side in ("left", "right"):
        seen: Sided = ("wet-moves", OPPOSITE[side])
        assert settled("leak", side, here({seen: True}), base) is None


def test_hearsay_settles_only_what_is_a_question(base: Rulebase) -> None:
    told = frozenset({*WET, ("touched", None)})
    scene = here(dict.fromkeys(told, True), looked_at=frozenset(), hearsay=told)
    assert settled("leak", "left", scene, base) is None
    assert settled("screw", None, scene, base) is True


def test_a_look_as_good_as_the_unready_word_is_no_question() -> None:
    """The rule base believes 'seen' no more than that before it is ready: by its word alone nothing is settled."""
    base = rulebase(sign("a"), cause("c", "k", {"a": "sure"}), yes_no("k", "a", how="seen"))
    told = frozenset({("a", None)})
    assert settled("c", None, here({("a", None): True}, looked_at=frozenset(), hearsay=told), base) is None


def _gone(page: Cause, side: Side, base: Rulebase) -> list[Sided]:
    return gone_with(page, side, base)


def test_what_must_be_gone_is_on_the_side_of_the_cause(base: Rulebase) -> None:
    assert _gone(base.causes["leak"], "right", base) == [("wet-moves", "right"), ("hangs", None)]


def test_without_a_side_it_must_be_gone_from_both(base: Rulebase) -> None:
    assert _gone(base.causes["leak"], None, base) == [("wet-moves", "left"), ("wet-moves", "right"), ("hangs", None)]


def test_a_sign_that_the_page_shows_on_either_side_must_be_gone_from_both() -> None:
    base = rulebase(
        sign("higher", sided=True),
        sign("sooty", sided=True),
        cause(
            "c",
            "k",
            {"higher other": "sure", "sooty this": "often", "sooty other": "often"},
            sided=True,
            must_hold=("higher", "sooty"),
        ),
        yes_no("k", "higher this"),
    )
    found = _gone(base.causes["c"], "left", base)
    assert found == [("higher", "right"), ("sooty", "left"), ("sooty", "right")]


def test_what_many_sound_bikes_have_settles_nothing() -> None:
    """Set before it was warm: so was the bike next door, which runs well. With a trouble that it explains, it does."""
    both = rulebase(
        sign("set-cold", healthy="often"),
        *(sign("torn", healthy="never"), sign("hangs"), sign("rattles")),
        *(cause("cold", "ask", {"set-cold": "sure", "hangs": "often"}), cause("tear", "look", {"torn": "sure"})),
        *(yes_no("ask", "set-cold", how="told"), yes_no("look", "torn")),
    )
    assert settled("cold", None, here({("set-cold", None): True}), both) is None
    assert settled("cold", None, here({("set-cold", None): True, ("rattles", None): True}), both) is None
    assert settled("cold", None, here({("set-cold", None): True, ("hangs", None): True}), both) is True
    assert settled("cold", None, here({("set-cold", None): False}), both) is False
    assert settled("tear", None, here({("torn", None): True}), both) is True


def test_a_vague_sign_settles_nothing_while_a_kind_of_it_may_speak_elsewhere() -> None:
    """Full advance off its mark: the timing, or the advance if it is right at idle. One look tells both."""
    strobe = check(
        "strobe",
        outcome("Off at both ends.", "off", "not one-end"),
        outcome("Off at one end.", "off", "one-end"),
        outcome("Right.", "not off"),
    )
    base = rulebase(
        *(sign("off"), sign("one-end", kind_of="off"), sign("hangs")),
        *(cause("timing", "strobe", {"off": "sure"}), cause("advance", "twist", {"hangs": "sure", "one-end": "often"})),
        *(strobe, yes_no("twist", "hangs")),
    )
    timing = base.causes["timing"]
    half: dict[Sided, bool] = {("off", None): True}
    alike: dict[Sided, bool] = {("off", None): True, ("one-end", None): False}
    assert settled("timing", None, here(half), base) is None
    assert half_looked_at(timing, None, here(half), base)
    assert settled("timing", None, here(alike), base) is True
    assert not half_looked_at(timing, None, here(alike), base)
    assert settled("timing", None, here({**half, ("one-end", None): True}), base) is None
    assert settled("timing", None, here({("off", None): False}), base) is False
