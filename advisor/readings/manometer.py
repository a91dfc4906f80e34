"""The liquid manometer: column height, settling time, how much to fill, and when it gets into the engine.

Lengths in metres, pressures in pascals, volumes in cubic metres, times in seconds.
"""

import math

import msgspec

from advisor.quantities import DENSITIES, GRAVITY, Bounds

BEHIND_SHUT_THROTTLE = 60_000.0  # Pa of depression at idle: common practice, no source
SETTLED_AFTER = 3.0  # time constants: exp(-3) is within 5 % of the new height
# Pa, less than any engine draws when it idles unaided (105 mmHg) or is held at 2,500 rpm: common practice, no source.
RUNNING = 14_000.0
TALL = 1.0  # m: a fluid that this depression lifts higher is used in U-tubes, not in gauges with one leg for each side
FAR_BELOW, NEAR = 0.5, 0.25  # shares of it: the legs of one tube are no higher, and no further apart: judgement

# Any tube and any fluid in it that a side could be read by: judgement, wide.
TUBE = {
    "bore": Bounds(1, 100, "mm"),
    "leg": Bounds(10, 10_000, "mm"),
    "top": Bounds(10, 20_000, "mm"),
    "loop": Bounds(0, 100_000, "mm"),
    "density": Bounds(*DENSITIES, "kg/m3"),
    "viscosity": Bounds(0.05, 10_000, "cSt"),
}


class Damping(msgspec.Struct, frozen=True):
    """How a column comes to rest: its slow time constant, how long to wait, and whether it swings past its mark."""

    time_constant: float
    wait: float
    swings: bool


class Tube(msgspec.Struct, frozen=True, kw_only=True):
    """How a U-tube of given dimensions behaves: how it settles, how much to `fill`, and the most that it shows.

    `draws_in`: with one hose off, the depression of the other side draws the fluid into the engine.
    """

    settles: Damping
    fill: float
    most: float
    draws_in: bool


def tube(*, bore: float, leg: float, top: float, loop: float, density: float, viscosity: float) -> Tube:
    """Return how a U-tube behaves: columns `leg` high at rest, tube up to `top`, joined by a `loop` below.

    Density in kg/m3, kinematic viscosity in m2/s.
    """
    most = most_it_shows(leg, top, loop, density)
    return Tube(
        settles=damping(bore, 2 * leg + loop, viscosity),
        fill=fill(bore, leg, loop),
        most=most,
        draws_in=most < BEHIND_SHUT_THROTTLE,
    )


def damping(bore: float, column: float, viscosity: float) -> Damping:
    """Return how the liquid of a U-tube comes to rest; `column` is its whole length, `viscosity` kinematic in m2/s.

    The linear U-tube with laminar friction: z'' + (32 v / d2) z' + (2 g / L) z = 0 (Hagen-Poiseuille for the wall's
    drag; White, Fluid Mechanics, chapter on internal flow, from memory). The slower root decides; if it is
    complex, the column swings inside an envelope that decays at half the damping.
    """
    drag, spring = 32 * viscosity / bore**2, 2 * GRAVITY / column
    under = drag**2 - 4 * spring
    # 2 / (drag - root), written so that a thick fluid in a thin tube leaves no difference of two near figures
    slow = 2 / drag if under < 0 else (drag + math.sqrt(under)) / (2 * spring)
    return Damping(slow, SETTLED_AFTER * slow, swings=under < 0)


def height(pressure: float, density: float) -> float:
    """Return the height difference between the legs for a pressure difference: p = density x g x h."""
    return pressure / (density * GRAVITY)


def fill(bore: float, leg: float, loop: float) -> float:
    """Return the volume that fills both legs to `leg`; `loop` is the length of tube that joins them below."""
    return math.pi / 4 * bore**2 * (2 * leg + loop)


def most_it_shows(leg: float, top: float, loop: float, density: float) -> float:
    """Return the largest pressure difference before a column reaches the engine, or air gets round the bottom.

    With equal bores one column rises as much as the other falls, half the difference each. It runs over at
    `top` (height of the tube above the bottom); air passes once the falling leg and its half of the loop are empty.
    """
    return 2 * min(top - leg, leg + loop / 2) * density * GRAVITY


def legs_of_one_tube(left: float, right: float, density: float) -> bool:
    """Return whether two pressures read in a fluid are really the heights of the two legs of one U-tube.

    Connected to both carburettors, it shows only their difference. The full depression of a running engine would lift a
    light fluid by over a metre, p = density x g x h; legs far lower than that, and close to each other, do not show it.
    """
    low, high = min(left, right), max(left, right)
    light = height(RUNNING, density) > TALL
    return light and low > 0 and high < FAR_BELOW * RUNNING and high - low < NEAR * RUNNING
