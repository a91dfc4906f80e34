"""One bike as the senses look at it: what runs and what stands still at once, the rest when it is asked for."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from advisor.observer import exchanges, idling, manipulations, on_the_road
from advisor.quantities import GRAVITY
from advisor.virtual_bike import respond, steady, still
from advisor.virtual_bike.bike import Bike, SideState

Pair = tuple[float, float]
Seen = tuple[bool, bool]


@dataclass(frozen=True)
class View:
    """True values of one bike, the gauge's own errors only in `shown`; the results of acts are lazy."""

    bike: Bike
    running: dict[str, object]
    resting: dict[str, Pair]
    road: on_the_road.Road
    idling: idling.Idling

    def one(self, name: str) -> float:
        """Return a value of `steady.Steady` that both sides share."""
        value = self.running[name]
        return float(value) if isinstance(value, float | int) else float("nan")

    def two(self, name: str) -> Pair:
        """Return a value of `steady.Steady` of either side: left, right."""
        value = self.running[name]
        return (float(value[0]), float(value[1])) if isinstance(value, tuple) else (float("nan"), float("nan"))

    def rest(self, name: str) -> Pair:
        """Return a value of `still.Still`."""
        return self.resting[name]

    def at(self, name: str, point: str) -> Pair:
        """Return a sided figure of `on_the_road.Road` at a point."""
        left, right = getattr(self.road, name)[:, on_the_road.NAMES.index(point)].tolist()
        return left, right

    def pull(self, point: str) -> float:
        """Return the torque at a point of the road, N m."""
        return float(self.road.net[on_the_road.NAMES.index(point)])

    def holds(self, point: str) -> bool:
        """Whether the speed of this point can be held at all."""
        return bool(self.road.held[on_the_road.NAMES.index(point)])

    def each(self, seen: Callable[[SideState], bool]) -> Seen:
        """Return, for either side, whether its state is so."""
        return seen(self.bike.left), seen(self.bike.right)

    def mark(self, cause: str, least: float) -> bool:
        """Whether a look finds the marks of this fault, of at least this severity, anywhere."""
        return any(name == cause and severity >= least for name, _, severity in self.bike.marks)

    def marks(self, cause: str, least: float) -> Seen:
        """Return on which side a look finds the marks of this fault."""
        sides = {side for name, side, severity in self.bike.marks if name == cause and severity >= least}
        return "left" in sides, "right" in sides

    def how_bad(self, cause: str) -> Pair:
        """Return how far gone a part with these marks is, left and right (both for what they share): 0 to 1."""
        found = {side: severity for name, side, severity in self.bike.marks if name == cause}
        common = found.get(None, 0.0)
        return found.get("left", common), found.get("right", common)

    def shown(self, name: str) -> Pair:
        """Return what the gauge's legs show (mm of its fluid) of `depression_kpa` or `held_depression_kpa`."""
        left, right = self.two(name)
        gauge = self.bike.gauge
        legs = (right, left) if gauge.exchanged else (left, right)
        each = [kpa * 1e6 / (steady.FLUID * GRAVITY) for kpa in legs]
        return each[0] * gauge.gain[0] + gauge.offset_mm[0], each[1] * gauge.gain[1] + gauge.offset_mm[1]

    def shift_mm(self) -> float:
        """Return by how much the columns move apart at idle from half warm to hot, mm."""
        columns = self.idling.column_mm
        hot, half = (float(columns[idling.NAMES.index(name)]) for name in ("hot", "half"))
        return float(np.nan_to_num(abs(hot - half)))

    @property
    def runs(self) -> bool:
        """Whether it idles unaided, warm."""
        return bool(np.isfinite(self.one("idle_rpm")))

    @cached_property
    def answers(self) -> dict[str, manipulations.Change]:
        """What the idle does when something is done to it, by act."""
        return manipulations.changes(self.bike)

    @cached_property
    def fall(self) -> tuple[float, float]:
        """After a blip: the settled speed (rpm) and the time it takes (s)."""
        fell = respond.fall(self.bike)
        return float(fell.rests_rpm[0]), float(fell.seconds[0])

    @cached_property
    def _tried(self) -> dict[str, "View | None"]:
        """Exchanges and cures done so far; the quick ones are worked out all at once."""
        after = {name: exchanges.tried(self.bike, name) for name in exchanges.QUICK}
        changed = [name for name, bike in after.items() if bike != self.bike]
        found: dict[str, View | None] = dict.fromkeys(exchanges.QUICK)
        return found | dict(zip(changed, views([after[name] for name in changed]), strict=True))

    def trial(self, name: str) -> "View | None":
        """Return the bike after the exchange or the cure of this name; None if that changes nothing."""
        if name not in self._tried:
            after = exchanges.tried(self.bike, name)
            self._tried[name] = None if after == self.bike else view(after)
        return self._tried[name]


def views(bikes: Sequence[Bike]) -> list[View]:
    """Return a view of each bike; what every view needs is computed for all at once."""
    if not bikes:
        return []
    at_rest, running = still.still(*bikes), steady.steady(*bikes)
    roads, idles = on_the_road.road(bikes), idling.idling(bikes)
    found = []
    for i, bike in enumerate(bikes):
        resting = {name: tuple(getattr(at_rest, name)[i].tolist()) for name in at_rest.__dataclass_fields__}
        found.append(View(bike, running.row(i), resting, roads.row(i), idles.row(i)))
    return found


def view(bike: Bike) -> View:
    """Return the view of one bike."""
    return views([bike])[0]


@lru_cache(maxsize=1)
def usual() -> View:
    """Return the view of a healthy bike: what the rider was used to."""
    return view(Bike())
