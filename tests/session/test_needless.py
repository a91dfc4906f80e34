"""A caution that another one includes is not given beside it."""

from advisor.rulebase import Rulebase
from advisor.session.needless import needed


def test_what_another_caution_says_is_left_out_on_either_side(base: Rulebase) -> None:
    leak, run, vapour, hot = (
        base.cautions[name].says for name in ("fuel-leak", "fuel-may-run", "fuel-vapour", "hot-parts")
    )
    assert needed([leak], [run, vapour], base) == (leak,)
    assert needed([run, vapour, hot], [leak], base) == (hot,)
    assert needed([vapour, "a shop's own"], [], base) == (vapour, "a shop's own")


def test_no_two_cautions_include_each_other(base: Rulebase) -> None:
    for one in base.cautions.values():
        assert not any(one.id in base.cautions[name].includes for name in one.includes), one.id
