"""Bikes that riders bring in: with a fault that is clearly felt, if a rider can feel it at all."""

from collections.abc import Collection, Iterable, Sequence

import numpy as np

from advisor.observer.bike_view import View, views
from advisor.observer.complaint import UNASKED
from advisor.observer.senses import sensed
from advisor.observer.severity import trouble
from advisor.scoring.hidden_bikes import WORST, Fault, Hidden, draw, planted, some_set_around
from advisor.virtual_bike.bike import Bike
from advisor.virtual_bike.serviced import serviced

CLEAR = 1.0  # of `trouble`: what is clearly noticed
TRIES = 3  # a fault that is not clearly felt is drawn worse once, then as bad as it gets

Own = tuple[int, Fault]  # a fault on the bike of this number


def brought(
    generators: Sequence[np.random.Generator], among: Collection[str], *, evenly: bool = False
) -> list[tuple[Hidden, View]]:
    """Return a bike for each generator, with its view. Each depends on its own generator only, not on the others.

    No two were alike before they had their faults. A fault that is not clearly felt even at its worst stays so: a
    mechanic who looks may still find it.
    """
    sound = serviced([rng.spawn(1)[0] for rng in generators])
    drawn = [list(draw(rng, among, evenly=evenly).faults) for rng in generators]
    alone: dict[Own, View] = {}
    clear: dict[Own, bool] = {}
    for left in range(TRIES, 0, -1):
        faint = [
            (n, k) for n, faults in enumerate(drawn) for k, fault in enumerate(faults) if not clear.get((n, fault))
        ]
        new = _views({(n, drawn[n][k]) for n, k in faint} - set(alone), sound)
        alone |= new
        clear |= {own: felt(seen) for own, seen in new.items()}
        for n, k in faint if left > 1 else ():
            cause, side, severity = drawn[n][k]
            if not clear[n, drawn[n][k]]:
                worse = WORST if left == 2 else float(generators[n].uniform(severity, WORST))  # noqa: PLR2004 - the last try
                drawn[n][k] = cause, side, round(worse, 3)
    bikes = [planted(faults, one) for faults, one in zip(drawn, sound, strict=True)]
    return _some_set_around(bikes, generators, alone)


def felt(seen: View) -> bool:
    """Whether there is trouble enough, and a rider notices anything without looking at a part."""
    return trouble(seen) >= CLEAR and any(sensed(seen, UNASKED).values())


def _views(faults: Iterable[Own], sound: Sequence[Bike]) -> dict[Own, View]:
    ordered = list(faults)
    return dict(zip(ordered, views([planted([fault], sound[n]).bike for n, fault in ordered]), strict=True))


def _some_set_around(
    bikes: list[Hidden], generators: Sequence[np.random.Generator], alone: dict[Own, View]
) -> list[tuple[Hidden, View]]:
    """Return the bikes with their views, some set around the fault, as long as the trouble is still felt."""
    after = some_set_around(bikes, generators)
    new = [n for n, (one, was) in enumerate(zip(after, bikes, strict=True)) if one is not was or len(was.faults) > 1]
    seen = dict(zip(new, views([after[n].bike for n in new]), strict=True))
    found: list[tuple[Hidden, View]] = []
    for n, (one, was) in enumerate(zip(after, bikes, strict=True)):
        if n not in seen:
            found.append((was, alone[n, was.faults[0]]))
        elif one is was or felt(seen[n]):
            found.append((one, seen[n]))
        else:
            found.append((was, alone[n, was.faults[0]] if len(was.faults) == 1 else views([was.bike])[0]))
    return found
