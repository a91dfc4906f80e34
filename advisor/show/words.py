"""Figures in words, the same on every screen."""

from advisor.report import Conflict, Why

TIMES = (  # s
    *(("year", 31_557_600), ("month", 2_629_800), ("week", 604_800)),
    *(("day", 86_400), ("hour", 3600), ("minute", 60)),
)


def ill_matched(pair: Conflict) -> str:
    """Return the sentence about two signs that do not go together."""
    if pair.never:
        return f"These two cannot both be so: {pair.first}; {pair.second}. Look again at one of them."
    return f"These two rarely go together: {pair.first}; {pair.second}."


def per_cent(probability: float) -> str:
    """Return a probability as a mechanic reads it, never with false certainty."""
    if probability >= 0.995:  # noqa: PLR2004 - what would round to 100
        return "over 99%"
    if probability < 0.005:  # noqa: PLR2004 - what would round to 0
        return "under 1%"
    return f"{100 * probability:.0f}%"


def times(factor: float) -> str:
    """Return a factor on the odds in words."""
    if factor >= 1:
        return f"{_round(factor)} times likelier"
    return f"{_round(1 / factor)} times less likely"


def shown_by(why: Why) -> str:
    """Return a sign's part in a cause's rank in words: 'not seen: Hard to start, 2.1 times less likely'."""
    return f"{'' if why.state == 'seen' else 'not seen: '}{why.title}, {times(why.factor)}"


def _round(figure: float) -> str:
    if figure >= 1000:  # noqa: PLR2004 - more says nothing more
        return "over 1000"
    return f"{figure:.0f}" if figure >= 10 else f"{figure:.1f}"  # noqa: PLR2004 - two figures that count


def minutes(figure: float) -> str:
    """Return a time in minutes."""
    return f"{figure:g} min"


def ago(seconds: float) -> str:
    """Return how long ago something was, in the largest unit of which there is a whole one."""
    for name, length in TIMES:
        many = int(seconds // length)
        if many:
            return f"{many} {name}{'s'[: many != 1]} ago"
    return "just now"
