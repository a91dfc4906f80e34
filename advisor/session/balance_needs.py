"""What a balance needs of the pages: with rules that lack some of it, it says so at once, and in one sentence."""

from collections.abc import Collection, Iterator

from advisor.errors import AdvisorError
from advisor.rulebase.model import Rulebase
from advisor.session.balance_asked import CHECKS, RUNNING
from advisor.session.balance_so_far import APART, READ_BY, READINGS, REVS

LIMITS = (*{name for pair in APART.values() for name in pair}, "co-least", "co-most")


def refuse_without(base: Rulebase) -> None:
    """Raise AdvisorError if the rules lack a page that a balance needs."""
    missing = sorted(_missing(base))
    if missing:
        msg = (
            f"these rules lack what a balance needs: {', '.join(missing)}; add these pages, or balance with the rules "
        )
        raise AdvisorError(msg + "that come with it")


def _missing(base: Rulebase) -> Iterator[str]:
    needs: tuple[tuple[str, Collection[str], Collection[str]], ...] = (
        ("reading", {*READINGS.values(), *READ_BY.values()}, base.readings),
        ("limit", LIMITS, base.limits),
        ("figure", (REVS,), base.figures),
        ("check", CHECKS.values(), base.checks),
        ("caution", ("stuck-throttle", *RUNNING), base.cautions),
    )
    yield from (f"the {what} '{name}'" for what, names, there in needs for name in names if name not in there)
