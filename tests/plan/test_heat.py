"""What a check does to the engine, and the minutes that the next one waits. Figures: common practice, no source."""

import pytest
from msgspec.structs import replace

from advisor.case import Case, Means
from advisor.plan.heat import cooling_lost, cools, cools_after, heated, waits, warms
from tests.cases import case
from tests.small import check

COLD, WARM, ANY = (check(name, engine=name) for name in ("cold", "warm", "any"))
RUN = check("run", involves=("running",))


@pytest.mark.parametrize(("said", "left"), [("cold", 0.0), ("warm", 60.0), ("", None)])
def test_what_is_said_of_the_engine(said: str, left: float | None) -> None:
    assert cools(_case(said)) == left
    assert heated(_case(said), None) == _case(said)


def _case(engine: str) -> Case:
    return replace(case(), means=Means(person="mechanic", tools=None, engine=engine))


@pytest.mark.parametrize(
    ("left", "cold", "warm"),
    [(None, 0.0, 0.0), (60.0, 60.0, 0.0), (45.0, 45.0, 0.0), (44.0, 44.0, 5.0), (0.0, 0.0, 5.0)],
)
def test_who_needs_it_cold_waits_for_the_rest_and_who_needs_it_warm_warms_it(
    left: float | None, cold: float, warm: float
) -> None:
    assert [waits(one, left) for one in (COLD, WARM, ANY)] == [cold, warm, 0.0]


def test_it_cools_while_something_else_is_done_and_is_hot_after_each_run() -> None:
    assert [warms(one) for one in (COLD, WARM, ANY, RUN)] == [False, True, False, True]
    assert not warms(check("crank", involves=("cranking",)))
    assert cools_after(ANY, 20.0, 50.0) == 30.0
    assert cools_after(ANY, 70.0, 50.0) == 0.0
    assert cools_after(ANY, 5.0, None) is None
    assert cools_after(COLD, 5.0, None) == 0.0
    assert cools_after(RUN, 5.0, 10.0) == cools_after(WARM, 5.0, None) == 60.0


def test_a_run_costs_the_cooling_so_far() -> None:
    assert [cooling_lost(RUN, left) for left in (0.0, 20.0, 60.0, None)] == [60.0, 40.0, 0.0, 30.0]
    assert cooling_lost(ANY, 0.0) == 0.0


def test_a_case_says_how_its_engine_is() -> None:
    at = heated(_case(""), 25.0)
    assert (at.cools, at.means.engine, cools(at)) == (25.0, "warm", 25.0)
    assert heated(at, 0.0).means.engine == "cold"
