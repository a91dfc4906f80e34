"""Screws that a check turns on the stand.

Each starts from its setting when the bike was brought in, and stays turned if that helped.
"""

from collections.abc import Collection, Mapping

import msgspec
import numpy as np

from advisor.observer.bike_view import Pair
from advisor.observer.turning import SETTINGS, put_back, stands, turned
from advisor.rulebase.model import Check
from advisor.sides import BOTH, Side, Sided
from advisor.virtual_bike.bike import Bike

GAUGE = "manometer"  # a check with this tool reads the columns; one without it goes by shorting


class Level(msgspec.Struct, frozen=True):
    """A screw that was left where it brought the sides level: on which side, and its earlier settings (left, right)."""

    side: Side
    stood: Pair


Screws = Mapping[str, Level]  # by the sign that tells what the screw does


class Result(msgspec.Struct, frozen=True):
    """What came of turning a screw: the signs, the bike as it is left, and the screws that were left otherwise.

    `signs` is None if shorting shows no difference: then there is nothing to tell.
    """

    signs: dict[Sided, bool] | None
    bike: Bike
    left: Screws


def turn(check: Check, bike: Bike, before: Screws, rng: np.random.Generator) -> Result:
    """Turn the screw that a check turns, if any; `before` are the screws that earlier checks left otherwise."""
    sign = next((one.sign for outcome in check.outcomes for one in outcome.shows if one.sign in SETTINGS), "")
    if not sign:
        return Result({}, bike, before)
    stood = before[sign].stood if sign in before else stands(bike, sign)
    by_columns = GAUGE in check.tools
    found = turned(put_back(bike, sign, stood), sign, rng, columns=by_columns)
    if found.nothing and not by_columns:
        return Result(None, bike, before)
    kept = {name: one for name, one in before.items() if name != sign}
    left = kept | {sign: Level(found.side, stood)} if found.side else kept
    return Result({(sign, at): at == found.side for at in BOTH}, found.bike, left)


def left_level(screws: Screws, signs: Collection[Sided]) -> bool:
    """Whether one of these signs, on its side, is that of a screw that was left where it brought the sides level."""
    return any(sign in screws and screws[sign].side == at for sign, at in signs)
