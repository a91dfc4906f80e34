"""The screws of a balance, and a turn of one in words. Turns are in sixteenths; in (clockwise) counts above 0."""

from typing import Literal

import msgspec

from advisor.sides import Side, other

Screw = Literal["idle stop", "cable adjuster", "mixture screw"]
STOP: Screw = "idle stop"
ADJUSTER: Screw = "cable adjuster"
MIXTURE: Screw = "mixture screw"
WHOLE = 16  # sixteenths in a turn: the finest that a hand sets by the slot of a screw (common practice, no source)
EFFECT = {
    (STOP, True): "opens that throttle",
    (STOP, False): "closes that throttle",
    (ADJUSTER, True): "gives that cable more slack",
    (ADJUSTER, False): "takes up that cable",
    (MIXTURE, True): "makes that idle leaner",
    (MIXTURE, False): "makes that idle richer",
}


class Turn(msgspec.Struct, frozen=True):
    """A screw of a side turned by so many sixteenths of a turn; in (clockwise) is above 0."""

    side: Side
    screw: Screw
    sixteenths: int

    @property
    def turns(self) -> float:
        """The same in turns."""
        return self.sixteenths / WHOLE

    @property
    def mirrored(self) -> "Turn":
        """The same on the other side."""
        return msgspec.structs.replace(self, side=other(self.side))

    def __str__(self) -> str:
        """Say it: 'left idle stop: in 1/4 turn, clockwise; that opens that throttle'."""
        way = "in" if self.sixteenths > 0 else "out"
        clock = "clockwise" if self.sixteenths > 0 else "anticlockwise"
        does = EFFECT[self.screw, self.sixteenths > 0]
        return f"{self.side} {self.screw}: {way} {how_far(self.sixteenths)}, {clock}; it {does}"


def how_far(sixteenths: int) -> str:
    """Return how far a screw is turned, in words: '1/4 turn', '1 1/8 turns', 'half of 1/8 turn'."""
    size = abs(sixteenths)
    if size == 1:
        return "half of 1/8 turn"
    whole, rest = divmod(size, WHOLE)
    if not rest:
        return f"{whole} turn" + ("s" if whole > 1 else "")
    over, under = rest, WHOLE
    while over % 2 == 0:
        over, under = over // 2, under // 2
    said = f"{whole} {over}/{under}" if whole else f"{over}/{under}"
    return f"{said} turns" if whole else f"{said} turn"
