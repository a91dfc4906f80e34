"""What cannot all be so is said at once, with every statement that takes part, by its number."""

import pytest

from advisor.case import SignReport
from advisor.diagnose import Advisor
from advisor.report import Report
from advisor.rulebase import Rulebase
from advisor.session.contradictions import opposed
from advisor.session.events import ALL_HOLDS, Answered, Event, PutRight, Read, Told
from advisor.session.state import fold
from advisor.sides import BOTH, Side, other
from tests.cases import figure
from tests.session.sessions import session


@pytest.fixture(scope="module")
def report(advisor: Advisor) -> Report:
    """Return a report in which no reading shows anything."""
    return session(advisor).report


def says(name: str, side: Side = None, *, seen: bool = True) -> SignReport:
    return SignReport(sign=name, side=side, seen=seen, how="told")


def pairs(base: Rulebase) -> list[tuple[tuple[SignReport, ...], SignReport]]:
    """Return all that the pages say can never be so, on the left: something, and what it cannot be beside."""
    found: list[tuple[tuple[SignReport, ...], SignReport]] = []
    for page in base.signs.values():
        at: Side = "left" if page.sided else None
        here = {name: at if one.sided else None for name, one in base.signs.items()}
        found += [((says(page.id, at),), says(name, here[name])) for name in page.never_with]
        found += [((says(page.id, at),), says(name, other(at))) for name in page.other_side_never_with]
        found += [((says(page.id, at),), says(name, here[name], seen=False)) for name in page.never_without]
        both = (says(page.id, "left"), says(page.id, "right"))
        found += [(both, says(name, seen=False)) for name in page.both_never_without]
        found += [((says(page.id, "left"),), says(page.id, "right"))] if page.exclusive else []
        found.append(((says(page.id, at),), says(page.id, at, seen=False)))
    return found


@pytest.mark.parametrize("late", [False, True])
@pytest.mark.parametrize("asked", [False, True])
def test_every_pair_is_said_once_with_both_statements(base: Rulebase, report: Report, late: bool, asked: bool) -> None:
    """In either order, told one after the other or found by a check."""
    for first, second in pairs(base):
        told: list[Event] = [*(Told((one,)) for one in first), Told((second,))]
        if asked:
            told[-1] = Answered("watch-the-idle", None, "this", (second,))
        told = told[::-1] if late else told
        (found,) = opposed(fold(told, base), report, base)
        assert found.numbers == tuple(range(1, len(told) + 1)), (first, second)
        assert [one.event for one in found.said] == told


def test_what_was_settled_otherwise_since_is_not_said_again(base: Rulebase, report: Report) -> None:
    fast, slow = Told((says("idle-too-high"),)), Told((says("idle-too-low"),))
    well = Told((says("idle-too-high", seen=False),))
    assert [one.numbers for one in opposed(fold([fast, well, slow], base), report, base)] == [(1, 2)]


def test_what_a_repair_changed_contradicts_nothing(base: Rulebase, report: Report) -> None:
    hangs = Told((says("idle-hangs"), says("cuts-out")))
    holds = Answered(
        "intake-joint-leak", "left", ALL_HOLDS, (says("idle-hangs", seen=False), says("cuts-out", seen=False))
    )
    assert opposed(fold([hangs, PutRight("intake-joint-leak", "left"), holds], base), report, base) == ()


def test_a_figure_stands_against_words(advisor: Advisor, base: Rulebase) -> None:
    """No compression on the left, and 9 bar there as on the right."""
    read = Read(tuple(figure("compression", side, 9.0, base) for side in BOTH))
    state = fold([Told((says("compression-lower", "left"),)), read], base)
    (found,) = opposed(state, advisor.diagnose(state.case), base)
    assert found.numbers[0] == 1
    assert isinstance(found.said[-1].event, Read)


def test_a_sentence_with_both_is_contradicted_as_it_is_told(advisor: Advisor) -> None:
    at = session(advisor)
    at.told(at.hearing.understood("it idles too fast, the left plug is black and the left plug is white"))
    (found,) = at.opposed()
    told = {each.sign for one in found.said if isinstance(one.event, Told) for each in one.event.reports}
    assert told == {"plug-black", "plug-pale"}
