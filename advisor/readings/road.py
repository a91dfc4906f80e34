"""Road speed, gear and tyre to engine speed and wheel speed."""

import math
import re

INCH = 0.0254  # m
METRIC = re.compile(r"^(?P<width>\d{2,3})/(?P<aspect>\d{2,3}) ?[-BRHSV]{1,2} ?(?P<rim>\d{2})")
IMPERIAL = re.compile(r"^(?P<width>\d\.\d{2}) ?[-BRHSV]{1,2} ?(?P<rim>\d{2})")


def tyre_diameter(size: str) -> float | None:
    """Return a tyre's nominal diameter in metres from its printed size: 120/90-18, or 4.00-18. None: not a tyre size.

    Rim diameter plus twice the section height (ISO 5751-1); an inch size is about as high as it is wide. On the
    road the rolling diameter is some 2 to 4 % smaller.
    """
    if match := METRIC.match(size):
        return int(match["rim"]) * INCH + 2 * int(match["width"]) / 1000 * int(match["aspect"]) / 100
    if match := IMPERIAL.match(size):
        return (int(match["rim"]) + 2 * float(match["width"])) * INCH
    return None


def wheel_rate(speed: float, diameter: float) -> float:
    """Return the wheel's turns per second at a road speed in m/s and a tyre diameter in m."""
    return speed / (math.pi * diameter)


def engine_speed(speed: float, diameter: float, ratio: float) -> float:
    """Return the engine's turns per minute at a road speed in m/s; `ratio` is engine turns per wheel turn."""
    return 60 * wheel_rate(speed, diameter) * ratio
