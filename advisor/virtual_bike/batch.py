"""Many bikes at once: each field as an array of shape (condition, side, 1); the last axis is for speeds."""

from collections.abc import Sequence
from dataclasses import fields
from operator import attrgetter

import numpy as np

from advisor.virtual_bike.bike import Bike, SideState
from advisor.virtual_bike.flow import Array

Batch = dict[str, Array]
OF_SIDE = tuple(item.name for item in fields(SideState))
SHARED = tuple(item.name for item in fields(Bike) if item.name not in {"left", "right", "gauge", "marks"})
_SIDE, _SHARED = attrgetter(*OF_SIDE), attrgetter(*SHARED)
LEFT, RIGHT = 0, 1


def pack(bikes: Sequence[Bike]) -> Batch:
    """Return the fields of all bikes; shared ones have length 1 along the side axis."""
    sided = np.array([(_SIDE(bike.left), _SIDE(bike.right)) for bike in bikes], dtype=float)
    shared = np.array([_SHARED(bike) for bike in bikes], dtype=float)
    batch = {name: sided[:, :, i, None] for i, name in enumerate(OF_SIDE)}
    batch |= {f"common_{name}" if name in OF_SIDE else name: shared[:, i, None, None] for i, name in enumerate(SHARED)}
    return batch


def take(batch: Batch, rows: Array) -> Batch:
    """Return the conditions of these row numbers, in that order."""
    return {name: value[rows.astype(np.intp)] for name, value in batch.items()}
