"""The cycle solved once on a grid of effective opening and speed, cached, and read by interpolation.

The file is in the user's cache folder and is used only with the same constants and code. Nothing here may
fail for lack of a folder: the table is then made again in memory.
"""

import contextlib
import functools
import io
import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from advisor.errors import AdvisorError
from advisor.files import MEGABYTE, read_plain, write_whole
from advisor.places import PACKAGE, cache_folder
from advisor.virtual_bike.constants import ENGINE
from advisor.virtual_bike.cycle import Charge, Variant, settled
from advisor.virtual_bike.flow import Array

AREAS = np.geomspace(1.0e-6, 700e-6, 30)  # m2
SPEEDS = np.geomspace(330.0, 7600.0, 32)  # rpm at the reference temperature
OVERLAP, SWING = 6.0, 0.02  # steps for the slopes: degrees, share of speed
CODE = ("constants.py", "flow.py", "geometry.py", "cycle.py", "table.py")
NAMES = (
    "log_air",  # ln of air per cycle over swept volume at outside density
    "depression",  # mean, share of outside pressure
    "root",  # mean of the square root of the above
    "residual",  # burnt share of the charge
    "pumping",  # work lost on the inlet stroke, share of outside pressure x swept volume
    "depression_overlap",  # slope per degree of overlap at either end
    "log_air_overlap",
    "residual_overlap",
    "depression_cosine",  # slope per unit of half-order speed swing
    "depression_sine",
)
LOG_AREA, LOG_SPEED = float(np.log(AREAS[0])), float(np.log(SPEEDS[0]))
AREA_STEP = float(np.log(AREAS[1] / AREAS[0]))
SPEED_STEP = float(np.log(SPEEDS[1] / SPEEDS[0]))


@dataclass(frozen=True)
class Spot:
    """Grid position of pairs of opening and speed: flat index of the lower corner, weights of the four corners."""

    index: npt.NDArray[np.intp]
    weights: tuple[Array, Array, Array, Array]


def figures(charge: Charge) -> dict[str, Array]:
    """Return the dimensionless figures of a settled cycle."""
    full = ENGINE.reference_pressure * ENGINE.swept / (ENGINE.gas_constant * ENGINE.reference_temperature)
    depression = charge.depression / charge.seconds / ENGINE.reference_pressure
    return {
        "log_air": np.log(np.maximum(charge.air / full, 1e-4)),
        "depression": depression,
        "root": charge.root / charge.seconds / np.sqrt(ENGINE.reference_pressure),
        "residual": np.clip(charge.burnt / charge.mass, 0.02, 0.6),
        "pumping": charge.pumping / (ENGINE.swept * ENGINE.reference_pressure),
    }


def build(areas: Array = AREAS, speeds: Array = SPEEDS, step: float = 1.5) -> dict[str, Array]:
    """Return every figure of `NAMES` on the grid (areas x speeds), solved at this step (degrees)."""
    kinds = np.arange(4).reshape(4, 1, 1)
    variant = Variant(*(np.where(kinds == i + 1, size, 0.0) for i, size in enumerate((OVERLAP, SWING, SWING))))
    found = figures(settled(areas[None, :, None], speeds[None, None, :], step, variant=variant))
    table = {name: value[0] for name, value in found.items()}
    for name in ("depression", "log_air", "residual"):
        table[f"{name}_overlap"] = (found[name][1] - found[name][0]) / OVERLAP
    table["depression_cosine"] = (found["depression"][2] - found["depression"][0]) / SWING
    table["depression_sine"] = (found["depression"][3] - found["depression"][0]) / SWING
    return table


def key() -> int:
    """Return a number that changes with the constants and with the code that solves the cycle."""
    sum_ = zlib.crc32(repr((ENGINE, np.__version__)).encode())
    for name in CODE:
        sum_ = zlib.crc32((PACKAGE / "virtual_bike" / name).read_bytes(), sum_)
    return sum_


def place() -> Path:
    """Return the path of the cache file. Raises RuntimeError when there is no home folder."""
    return cache_folder() / f"{key():08x}.cycles.npy"


def fetch() -> Array | None:
    """Return the cached grid (names x areas x speeds), or None when there is none or it cannot be used."""
    with contextlib.suppress(AdvisorError, RuntimeError, ValueError, EOFError):
        grid = np.load(io.BytesIO(read_plain(place(), MEGABYTE, "a table")), allow_pickle=False)
        if grid.shape == (len(NAMES), len(AREAS), len(SPEEDS)) and np.isfinite(grid).all():
            return np.asarray(grid, float)
    return None


def store(grid: Array) -> None:
    """Cache the grid, whole or not at all, and drop those of other constants and code."""
    with contextlib.suppress(OSError, RuntimeError):
        path = place()
        path.parent.mkdir(parents=True, exist_ok=True)
        data = io.BytesIO()
        np.save(data, grid)
        write_whole(path, data.getvalue(), lasting=False)
        for old in path.parent.glob("*.cycles.npy"):
            if old != path:
                old.unlink(missing_ok=True)


@functools.cache
def grid() -> Array:
    """Return the grid, names x (areas x speeds flat), from the cache, or solved and cached."""
    found = fetch()
    if found is None:
        made = build()
        found = np.stack([made[name] for name in NAMES])
        store(found)
    return np.ascontiguousarray(found.reshape(len(NAMES), -1))


def locate(area: Array, rpm: Array) -> Spot:
    """Return the grid position of effective openings (m2) and reduced speeds (rpm), clamped to the edge."""
    across = np.clip((np.log(area) - LOG_AREA) / AREA_STEP, 0, len(AREAS) - 1.001)
    along = np.clip((np.log(rpm) - LOG_SPEED) / SPEED_STEP, 0, len(SPEEDS) - 1.001)
    i, j = across.astype(np.intp), along.astype(np.intp)
    u, v = across - i, along - j
    return Spot(i * len(SPEEDS) + j, ((1 - u) * (1 - v), u * (1 - v), (1 - u) * v, u * v))


def read(name: str, spot: Spot) -> Array:
    """Return a figure of `NAMES` there, bilinear in the logarithms."""
    row, k, (a, b, c, d), wide = grid()[NAMES.index(name)], spot.index, spot.weights, len(SPEEDS)
    return np.asarray(a * row[k] + b * row[k + wide] + c * row[k + 1] + d * row[k + wide + 1])
