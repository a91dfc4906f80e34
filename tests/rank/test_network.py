"""How far a sign counts that is not seen."""

import pytest

from advisor.rank.network import IN_FULL, Leaky, Network, Unseen, build, findings
from advisor.rank.posterior import posterior
from advisor.rank.ranking import Ranking
from advisor.report import Evidence
from advisor.rulebase import Rulebase
from advisor.rulebase.table_records import Trust

HALF = Unseen(0.5, 0.9)
SIGN = Leaky(0.04, {0: 0.9, 1: 0.6, 2: 0.3})
SURE = Trust(1.0, 0.0)


def _network(unseen: Unseen) -> Network:
    causes = tuple((f"c{n}", None) for n in range(3))
    return Network(causes, (0.05, 0.05, 0.05), {("sign", None): SIGN}, unseen=unseen)


def test_the_chance_to_hide_a_sign_counts_by_a_power() -> None:
    """A likelihood discounted by a power: Ibrahim and Chen, Statistical Science 15 (2000), 46 (from memory)."""
    weaker = SIGN.not_seen(HALF)
    assert 1 - weaker.strengths[1] == pytest.approx((1 - 0.6) ** 0.5)
    assert 1 - weaker.strengths[2] == pytest.approx((1 - 0.3) ** 0.5)
    assert weaker.leak == SIGN.leak


def test_what_a_cause_nearly_always_shows_counts_in_full() -> None:
    assert SIGN.not_seen(HALF).strengths[0] == 0.9
    assert SIGN.not_seen(IN_FULL) is SIGN


def test_a_sign_that_is_seen_counts_as_ever() -> None:
    seen = _network(HALF).report(("sign", None), SURE, seen=True)
    assert seen == _network(IN_FULL).report(("sign", None), SURE, seen=True)


def test_what_is_not_seen_lowers_a_cause_by_less_but_lowers_it() -> None:
    after = {}
    for unseen in (IN_FULL, HALF):
        network = _network(unseen)
        after[unseen] = posterior(network.priors, [network.report(("sign", None), SURE, seen=False)]).causes
    for full, half, prior in zip(after[IN_FULL], after[HALF], _network(HALF).priors, strict=True):
        assert full <= half < prior
    assert after[IN_FULL][0] == after[HALF][0]


def test_a_vague_sign_that_is_not_seen_counts_as_its_kinds_do(base: Rulebase) -> None:
    """'It idles badly: no' says no more than that every exact way of idling badly is not seen."""
    network = build(base)
    vague = next(key for key, kinds in network.kinds.items() if len(kinds) > 2)
    found = findings(
        network, (Evidence(sign=vague[0], side=vague[1], seen=False, how="seen", facts=(), rules=()),), base
    )
    ranking = Ranking(network, found)
    strengths = ranking.findings[vague].leaky.strengths
    trust = base.words.trust["seen"]
    for cause, strength in strengths.items():
        hidden = 1.0
        for key in (vague, *network.kinds[vague]):
            hidden *= 1 - network.signs[key].not_seen(network.unseen).strengths.get(cause, 0.0)
        assert strength == pytest.approx(trust.hit * (1 - hidden))
