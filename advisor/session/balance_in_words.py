"""What was done in a balance, in words."""

from collections.abc import Sequence

from advisor.balance.course_steps import COLUMNS, Method
from advisor.balance.turns import Turn, how_far
from advisor.session.balance_so_far import UNIT
from advisor.session.events import BALANCE, SEARCH, Event, Read, ScrewsTurned, Throttled, WentOver

OVER = {SEARCH: "the search for a fault", BALANCE: "the balance"}


def done_in_words(event: Event) -> list[str]:
    """Return what was turned or done in a balance; nothing for what is no part of it."""
    match event:
        case Read(turned=turns) | ScrewsTurned(turns=turns) if turns:
            return [f"turned: {each(turns)}"]
        case ScrewsTurned(ended=turns) if turns:
            return [f"would not turn: {each(turns)}"]
        case Throttled():
            return ["ridden" if event.ridden else "blipped three times"]
        case WentOver():
            return [f"went over to {OVER.get(event.to, 'the order of a tune-up')}"]
    return []


def each(turns: Sequence[Turn]) -> str:
    """Return turns in few words: 'left idle stop in 1/8 turn, right idle stop out 1/4 turn'."""
    ways = ("in" if one.sixteenths > 0 else "out" for one in turns)
    return ", ".join(
        f"{one.side} {one.screw} {way} {how_far(one.sixteenths)}" for one, way in zip(turns, ways, strict=True)
    )


def lead(behind: float, by: Method) -> str:
    """Return how far which side is ahead in what is read: 'left 12 mmHg higher', 'right 40 rpm more'."""
    size = round(abs(behind))
    if not size:
        return "level"
    more = "left" if (behind > 0) == (by == COLUMNS) else "right"
    return f"{more} {size} {UNIT[by]} {'higher' if by == COLUMNS else 'more'}"


def tens(revs: float) -> str:
    """Return revs as they can be read: in tens."""
    return f"{round(revs, -1):,.0f}"
