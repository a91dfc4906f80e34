"""Arrays do what lists do."""

import random

import pytest

from advisor.rank import posterior
from advisor.rank.posterior import absorb, plan_steps, solve_with_leaks
from tests.rank.networks import random_network


@pytest.mark.parametrize("seed", range(40))
def test_it_gives_the_same_answer_on_arrays(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    rng = random.Random(seed)
    priors, findings = random_network(rng, rng.randint(1, 9), rng.randint(0, 10))
    steps = plan_steps([one for one in findings if one.seen])
    weights, scale = absorb(priors, findings)
    absent = [1 - prior for prior in priors]
    lists, leaks = solve_with_leaks(steps, weights, absent, scale)
    monkeypatch.setattr(posterior, "WIDE_FROM", 0)
    arrays, same = solve_with_leaks(steps, weights, absent, scale)
    assert arrays.log_evidence == pytest.approx(lists.log_evidence, abs=1e-12)
    assert arrays.causes == pytest.approx(lists.causes, abs=1e-12)
    assert arrays.nothing == pytest.approx(lists.nothing, rel=1e-12)
    assert same == pytest.approx(leaks, rel=1e-12)
    assert all(type(one) is float for one in arrays.causes)
