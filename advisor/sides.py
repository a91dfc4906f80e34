"""Left and right, always the rider's."""

from typing import Literal

Side = Literal["left", "right"] | None
Sided = tuple[str, Side]  # the name of a sign, a cause or a check, with its side; no side for the whole bike
BOTH: tuple[Literal["left", "right"], ...] = ("left", "right")


OPPOSITE: dict[Side, Side] = {"left": "right", "right": "left", None: None}


def other(side: Side) -> Side:
    """Return the opposite side; no side has no opposite."""
    return OPPOSITE[side]


def named(name: str, side: Side) -> str:
    """Return `name side`, or the name alone."""
    return f"{name} {side}" if side else name


def sides_of(sided: bool) -> tuple[Side, ...]:
    """Return the sides a thing exists on: left and right, or none."""
    return BOTH if sided else (None,)


def either(text: str, side: Side) -> str:
    """Return the text for a side, or for either side when it is not known which."""
    return fill(text, side) if side else text.replace("{side}", "left or right").replace("{other}", "other")


def fill(text: str, side: Side) -> str:
    """Return the text with `{side}` and `{other}` written out."""
    if "{" not in text:
        return text
    return text.replace("{side}", side or "").replace("{other}", other(side) or "")
