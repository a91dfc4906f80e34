"""What the rider tells first: a few signs that he felt, and how it began."""

from collections.abc import Collection, Mapping

import numpy as np

from advisor.observer.beginnings import WORK, WORKS
from advisor.observer.bike_view import View
from advisor.observer.senses import SENSES, VAGUE, sensed
from advisor.observer.senses_idle import IDLE
from advisor.observer.senses_road import ROAD
from advisor.observer.turning import TURNING
from advisor.sides import Sided

FEWEST, MOST = 2, 4  # signs that a rider tells: judgement
VAGUE_SHARE = 0.5  # chance that the vague word is taken before the exact one: judgement
LOOKED_AT = frozenset(
    {"header-cold", "filter-out-helps", "gas-rich", "gas-lean", "idles-off-its-stops", "tap-off-helps"}
)
# what is noticed without a look at any part
UNASKED = (
    frozenset(IDLE | ROAD | VAGUE)
    | {*("smokes", "smokes-pulling", "smokes-after-downhill", "exhaust-louder", "lights-dim", "cranks-slowly")}
    | {*("fuel-drips", "valve-noise-odd", "oil-use-high")}
) - LOOKED_AT
# After these the bike runs well: a rider would not bring it in.
CURED = frozenset({"balance-stays-after-reset", "mixture-alone-cures", "right-once-set-warm"}) | frozenset(TURNING)
MISSED_BY_RIDER = 0.15  # chance that a rider leaves out a sign that is there: judgement


def complaint(
    view: View,
    begun: Mapping[Sided, bool],
    rng: np.random.Generator,
    by_rider: Collection[str],
    settles: Collection[str] = (),
) -> dict[Sided, bool]:
    """Return the two to four signs that the rider tells first; fewer where no more can be perceived.

    `by_rider` names the signs that a rider perceives. Half of the riders begin with vague words. Where nothing is felt
    on the road, he tells what he or a mechanic has found in the parts. The signs of `settles` and those of a cure are
    left out of that: with them he would already know what it is.
    """
    there = [key for key, seen in sensed(view, UNASKED & set(by_rider)).items() if seen]
    for among in (by_rider, SENSES):
        there = there or [key for key, seen in sensed(view, set(among) - set(settles) - CURED).items() if seen]
    told = [key for key in there if rng.random() > MISSED_BY_RIDER] or there
    began = [key for key, seen in begun.items() if seen and key[0] in by_rider]
    vague = rng.random() < VAGUE_SHARE  # only that it was worked on, or on what
    told += [key for key in began if key[0] not in (WORKS if vague else (WORK,))]
    vague_first = rng.random() < VAGUE_SHARE
    order = rng.permutation(len(told)).tolist()
    ranked = sorted((told[i] for i in order), key=lambda key: (key[0] in VAGUE) != vague_first)
    wanted = int(rng.integers(FEWEST, MOST + 1))
    return dict.fromkeys(ranked[:wanted], True)
