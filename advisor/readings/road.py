"""Road speed, gear and tyre to engine speed and wheel speed."""

import math
import re

INCH = 0.0254  # m
METRIC = re.compile(r"^(?P<width>[0-9]{2,3})/(?P<aspect>[0-9]{2,3}) ?[-BRHSV]{1,2} ?(?P<rim>[0-9]{2})(?![0-9])")
IMPERIAL = re.compile(r"^(?P<width>[0-9]\.[0-9]{2}) ?[-BRHSV]{1,2} ?(?P<rim>[0-9]{2})(?![0-9])")
# In mm, per cent and inches, wider than any tyre that a motorcycle takes: judgement.
WIDTHS, ASPECTS, RIMS, INCH_WIDTHS = (40, 400), (20, 150), (8, 30), (1.5, 8.0)


def tyre_diameter(size: str) -> float | None:
    """Return a tyre's nominal diameter in metres from its printed size: 120/90-18, or 4.00-18. None: not a tyre size.

    Rim diameter plus twice the section height (ISO 5751-1); an inch size is about as high as it is wide. On the
    road the rolling diameter is some 2 to 4 % smaller.
    """
    match = METRIC.match(size) or IMPERIAL.match(size)
    if match is None or not _within(float(match["rim"]), RIMS):
        return None
    rim, width, aspect = int(match["rim"]) * INCH, float(match["width"]), match.groupdict().get("aspect")
    if aspect is None:
        return rim + 2 * width * INCH if _within(width, INCH_WIDTHS) else None
    fits = _within(width, WIDTHS) and _within(float(aspect), ASPECTS)
    return rim + 2 * width / 1000 * float(aspect) / 100 if fits else None


def _within(figure: float, bounds: tuple[float, float]) -> bool:
    return bounds[0] <= figure <= bounds[1]


def wheel_rate(speed: float, diameter: float) -> float:
    """Return the wheel's turns per second at a road speed in m/s and a tyre diameter in m."""
    return speed / (math.pi * diameter)


def engine_speed(speed: float, diameter: float, ratio: float) -> float:
    """Return the engine's turns per minute at a road speed in m/s; `ratio` is engine turns per wheel turn."""
    return 60 * wheel_rate(speed, diameter) * ratio
