"""Two signs that claim one phrasing."""

from msgspec.structs import replace

from advisor.rulebase.model import Rulebase
from advisor.rulebase.phrased_twice import problems


def claiming(base: Rulebase, **also: str) -> list[str]:
    """Return what is found if these signs (with _ for -) have another phrasing each."""
    signs = dict(base.signs)
    for name, says in also.items():
        sign = signs[name.replace("_", "-")]
        signs[sign.id] = replace(sign, also=(*sign.also, says))
    return [one.text for one in problems(replace(base, signs=signs))]


def test_the_shipped_pages_claim_nothing_twice(base: Rulebase) -> None:
    assert claiming(base) == []


def test_a_phrasing_claimed_twice_is_a_mistake_whatever_its_endings(base: Rulebase) -> None:
    (found,) = claiming(base, idle_hangs="purple sausages", smokes="a purple sausage")
    assert found == (
        "'smokes' claims 'a purple sausage', and 'idle-hangs' claims 'purple sausages': one of them must go"
    )
    assert claiming(base, idle_hangs="purple sausages", smokes="purple herrings") == []


def test_a_kind_may_share_a_phrasing_with_what_it_is_a_kind_of(base: Rulebase) -> None:
    assert claiming(base, idle_hangs="purple sausages", idle_bad="purple sausages") == []
