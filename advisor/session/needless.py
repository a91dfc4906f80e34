"""Cautions that need not be given beside others, because those say what they say."""

from collections.abc import Collection, Sequence

from advisor.rulebase.model import Rulebase


def needed(says: Sequence[str], beside: Collection[str], base: Rulebase) -> tuple[str, ...]:
    """Return the cautions (in words) that none of the others, here or `beside` them, includes."""
    by_words = {one.says: one for one in base.cautions.values()}
    shown = [by_words[one] for one in (*says, *beside) if one in by_words]
    spared = {name for one in shown for name in one.includes}
    return tuple(one for one in says if one not in by_words or by_words[one].id not in spared)
