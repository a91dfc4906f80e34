"""What a check cannot tell more than: the planner passes over checks by it, so it must hold."""

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from advisor.diagnose import Advisor
from advisor.plan.candidates import candidates, scene
from advisor.plan.information import at_most, told_by
from advisor.rank.joint import Joint
from tests.cases import random_cases


@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow], deadline=None)
@given(data=st.data())
def test_no_check_tells_more_than_its_bounds(advisor: Advisor, data: Any) -> None:
    told = data.draw(random_cases(advisor.base))
    chained, ranking = advisor.rank(told)
    joint = Joint(ranking)
    vague = 0
    for one in candidates(advisor.base, ranking.network, scene(advisor.base, told, chained.signs, chained.forbidden)):
        bits, loose, close = told_by(one, joint).bits, at_most(one, joint), at_most(one, joint, closely=True)
        assert bits <= close + 1e-9, one.check.id
        assert close <= loose + 1e-9, one.check.id
        vague += close < loose - 1e-9
    assert vague or not any(key in ranking.network.kinds for key in ranking.reports)
