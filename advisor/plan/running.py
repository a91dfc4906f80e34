"""Whether the engine runs at all, as far as what is known of it says so."""

from collections.abc import Iterable

from advisor.rulebase.model import Check, Rulebase, SignIs
from advisor.sides import Sided


def does_not_run(base: Rulebase) -> frozenset[str]:
    """Return the signs with which an engine does not run: each alone forbids running, but not cranking.

    A rule that forbids both says that it must not run.
    """
    rules = (rule for rule in base.rules.values() if "running" in rule.forbids and "cranking" not in rule.forbids)
    alone = (rule.when[0] for rule in rules if len(rule.when) == 1 and not rule.unless)
    return frozenset(one.sign for one in alone if isinstance(one, SignIs) and one.seen and one.bearing == "none")


def runs(there: Iterable[Sided], looked_at: Iterable[Sided], base: Rulebase) -> bool:
    """Whether one of these signs is one that only a running engine shows, or that was looked for while it ran.

    No check shows it (or looks for it) on an engine that does not run, and one does on a running engine.
    """
    still = does_not_run(base)
    seen, looked = ({name for name, _ in keys} for keys in (there, looked_at))
    if not seen.isdisjoint(still) or not still:
        return False
    looked -= still
    running, not_running = set[str](), set[str]()
    for check in base.checks.values():
        shows = {
            one.sign
            for outcome in check.outcomes
            for one in outcome.shows
            if one.sign in looked or (one.seen and one.sign in seen)
        }
        (running if _needs_it_running(check, still) else not_running).update(shows)
    return not running <= not_running


def _needs_it_running(check: Check, still: frozenset[str]) -> bool:
    barred = (one.sign for one in check.unless if isinstance(one, SignIs) and one.seen)
    return "running" in check.involves or not still.isdisjoint(barred)
