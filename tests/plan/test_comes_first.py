"""What comes before all else: the look round after work, and what is as good as a proof before a long repair."""

import pytest
from msgspec.structs import replace

from advisor.case import Case, SignReport
from advisor.diagnose import Advisor
from advisor.plan.candidates import candidates, scene
from advisor.report import Report
from advisor.rulebase import Rulebase
from advisor.rulebase.model import Check
from advisor.session.events import Answered
from advisor.session.next_question import options
from advisor.session.state import fold
from advisor.sides import BOTH, Side, Sided, other
from tests.cases import case, report
from tests.plan.test_choose import order, planned
from tests.small import cause, check, outcome, rulebase, sign, yes_no

LOOK = "look-round-first"


def _pages(*, repair: float = 240.0, first: tuple[str, ...] = (), who: str = "rider") -> Rulebase:
    return rulebase(
        *(sign(name) for name in ("after-work", "weak", "low", "hiss", "off", "loose")),
        cause("valve", "listen", {"hiss": "sure", "low": "sure", "weak": "often"}, met="often", minutes=repair),
        cause("clip", "pull", {"off": "sure", "weak": "sometimes"}, met="often"),
        yes_no("listen", "hiss", minutes=20.0, who=who),
        yes_no("gauge", "low", minutes=20.0),
        yes_no("pull", "off", minutes=2.0, who=who),
        check(
            "round",
            outcome("Off.", "off"),
            outcome("Loose.", "loose"),
            outcome("Nothing.", "not off", "not loose"),
            minutes=3.0,
            first_after=first,
        ),
    )


def test_a_look_comes_first_once_a_sign_it_comes_after_is_there() -> None:
    base = _pages(first=("after-work",))
    assert order(planned(base, {("weak", None): True}))[0] != "round"
    found = planned(base, {("weak", None): True, ("after-work", None): True})
    assert order(found)[0] == "round"
    assert found.goes_for is None
    assert order(planned(base, {("weak", None): True, ("after-work", None): False}))[0] != "round"


def test_a_look_does_not_come_first_where_half_of_it_is_known_or_a_cause_is_proven() -> None:
    base = _pages(first=("after-work",))
    after: dict[Sided, bool] = {("weak", None): True, ("after-work", None): True}
    assert order(planned(base, after | {("loose", None): False}))[0] != "round"
    proven = planned(_pages(repair=10.0, first=("after-work",)), after | {("hiss", None): True})
    assert (proven.goes_for, proven.proven) == (("valve", None), True)


def _sided() -> Rulebase:
    """Return a side that may be weak: a check that says which, and a quick proof on each side."""
    shown = {"dead this": "often", "less this": "often"}
    return rulebase(
        sign("weak"),
        *(sign(name, sided=True, kind_of="weak") for name in ("dead", "late")),
        *(sign(name, sided=True) for name in ("dark", "tight", "split", "less")),
        cause("plug", "spark", {"dark this": "often"} | shown, sided=True),
        cause("valve", "gap", {"tight this": "sure"} | shown, sided=True),
        cause("joint", "bend", {"split this": "sure"} | shown, sided=True),
        yes_no("spark", "dark this", sided=True, minutes=30.0, first_after=("dead",)),
        yes_no("gap", "tight this", sided=True, minutes=3.0),
        yes_no("bend", "split this", sided=True, minutes=3.0),
        check(
            "which",
            outcome("Less.", "less this", either_side=True),
            outcome("Alike.", "not less this", "not less other"),
            minutes=30.0,
            first_after=("weak",),
        ),
    )


@pytest.mark.parametrize("side", BOTH)
def test_a_quick_proof_comes_first_on_the_side_that_is_dead(side: Side) -> None:
    found = planned(_sided(), {("dead", side): True, ("weak", None): True}).checks[0].candidate
    assert (found.check.id, found.side) == ("spark", side)
    done: dict[Sided, bool] = {("dead", side): True, ("weak", None): True, ("dark", side): False}
    assert planned(_sided(), done).checks[0].candidate.check.id != "spark"
    second = done | {("dead", other(side)): True}  # once one side is right, the other one may be wrong too
    found = planned(_sided(), second).checks[0].candidate
    assert (found.check.id, found.side) == ("spark", other(side))


@pytest.mark.parametrize("side", BOTH)
def test_which_side_it_is_comes_first_until_that_is_known(side: Side) -> None:
    assert order(planned(_sided(), {("weak", None): True}))[0] == "which"
    for known in ("late", "less"):
        assert order(planned(_sided(), {("weak", None): True, (known, side): True}))[0] != "which"
    assert order(planned(_sided(), {("weak", None): False}))[:1] != ["which"]


def test_no_long_repair_before_the_best_proof_that_can_be_had() -> None:
    """Where the deciding check cannot be done here, what tells most of the cause comes first, if the repair is long."""
    known: dict[Sided, bool] = {("weak", None): True}
    rider = replace(case(), means=replace(case().means, person="rider"))
    long, short = (planned(_pages(repair=minutes, who="workshop"), known, case=rider) for minutes in (240.0, 10.0))
    assert (long.goes_for, order(long)[0]) == (None, "gauge")
    assert short.goes_for == ("valve", None)


@pytest.mark.wide
@pytest.mark.parametrize("told", ["began-after-fuel-work", "balance-wont-hold", "drop-small-idle left"])
def test_after_work_or_with_a_weak_side_one_look_round_comes_before_any_tool(advisor: Advisor, told: str) -> None:
    name, _, side = told.partition(" ")
    signs = (report("idle-bad", how="complained"), report(name, side or None, how="complained"))  # type: ignore[arg-type]
    found = advisor.diagnose(replace(case(*signs), complaint="It will not settle.")).next_checks[0]
    assert found.id == LOOK or not found.tools
    assert found.id == LOOK or found.minutes <= 2.0


@pytest.mark.wide
@pytest.mark.parametrize("side", BOTH)
@pytest.mark.parametrize("told", ["side-dead", "drop-half-idle", "misfires-idle"])
def test_on_a_weak_side_its_spark_comes_before_anything_is_opened(advisor: Advisor, told: str, side: Side) -> None:
    """Also where a fault of the other side was put right before. Common practice, no source."""
    base, looked = advisor.base, base_look(advisor.base)
    mended = replace(case(report(told, side), *looked), put_right=(("sheath-out-of-socket", other(side)),))
    chain: list[Sided] = []
    while not chain or chain[-1] != ("test-the-spark", side):
        first = advisor.diagnose(mended).next_checks[0]
        page = base.checks[first.id]
        assert not page.opens, chain
        assert first.minutes <= base.checks["test-the-spark"].minutes, chain
        chain.append((first.id, first.side))
        assert len(chain) < 6, chain
        mended = replace(mended, not_again=(*mended.not_again, chain[-1]))


def base_look(base: Rulebase) -> list[SignReport]:
    """Return that the look round found nothing."""
    return list(options(base.checks[LOOK], None, None, base)[0].reports)


@pytest.mark.wide
def test_with_the_bars_the_slack_from_lock_to_lock_comes_first(advisor: Advisor) -> None:
    """Common practice, no source: revs that rise with the bars turned are a cable that they pull."""
    told = case(report("changes-with-bars", how="complained"))
    assert advisor.diagnose(told).next_checks[0].id == "turn-bars-and-feel-slack"


@pytest.mark.wide
@pytest.mark.parametrize(
    ("told", "look"),
    [
        ("began-with-something-on-it", "look-what-covers-the-intake"),
        ("only-when-sat-on", "sit-on-it-and-look"),
    ],
)
def test_what_is_new_on_the_bike_is_looked_at_first(advisor: Advisor, told: str, look: str) -> None:
    found = case(report(told, how="complained"), report("runs-badly", how="complained"))
    for _ in range(4):
        first = advisor.diagnose(found).next_checks[0]
        if first.id == look:
            return
        assert first.minutes <= 3.0
        found = replace(found, not_again=(*found.not_again, (first.id, first.side)))
    pytest.fail(look)


@pytest.mark.wide
def test_what_the_look_round_finds_is_proven_or_one_check_from_it(advisor: Advisor) -> None:
    """And what it does not find may still be found by a closer look."""
    base, page = advisor.base, advisor.base.checks[LOOK]
    begun = case(report("began-after-work", how="complained"), report("idle-bad", how="complained"))
    chosen = options(page, None, None, base)
    for option in (chosen[0], chosen[1], chosen[-1]):
        after = fold([Answered(LOOK, None, option.says, option.reports)], base, begun).case
        found = advisor.diagnose(after)
        if any(one.seen for one in option.reports):
            assert {one.how for one in option.reports if one.seen} == {"seen"}
            lead = base.causes[found.causes[0].id]
            assert found.advice.proven or lead.settled_by in {found.next_checks[0].id, *_proof(found)}
        else:
            assert {one.how for one in option.reports} == {"glanced"}
            open_again = {one.id for one in _closer(advisor, after)}
            assert {"look-at-the-plug-cap", "look-at-the-sheath-ends", "look-at-the-joint"} <= open_again


def _proof(found: Report) -> set[str]:
    return {found.advice.proof.id} if found.advice.proof else set()


def _closer(advisor: Advisor, told: Case) -> list[Check]:
    chained, found = advisor.rank(told)
    at = scene(advisor.base, told, chained.signs, chained.forbidden)
    return [one.check for one in candidates(advisor.base, found.network, at)]


@pytest.mark.wide
@pytest.mark.parametrize(
    ("known", "asked"),
    [
        (("idle-unsteady", False, "seen"), "ask-whether-the-idle-is-steady"),
        (("idle-hunts", False, "seen"), "ask-whether-it-starts"),
        (("idle-lumpy", True, "complained"), "ask-whether-it-starts"),
        (("rough-in-a-band", True, "complained"), "ask-at-which-speeds"),
        (("miss-under-load", True, "complained"), "ask-when-it-misses"),
        (("began-after-cable-work", True, "complained"), "ask-how-it-came"),
        (("began-after-cable-work", True, "complained"), "ask-what-was-done"),
    ],
)
def test_what_is_known_in_other_words_is_not_asked(advisor: Advisor, known: tuple[str, bool, str], asked: str) -> None:
    name, seen, how = known
    told = case(SignReport(sign=name, side=None, seen=seen, how=how))
    others = case(report("worse-in-the-wet", how="complained"))
    if asked == "ask-when-it-misses":
        others = case(report("misses", how="complained"))
    assert asked in {one.id for one in _closer(advisor, others)}
    assert asked not in {one.id for one in _closer(advisor, told)}
