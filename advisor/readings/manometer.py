"""The liquid manometer: how high it stands, how long it takes, how much to fill, and when it reaches the engine.

Lengths in metres, pressures in pascals, volumes in cubic metres, times in seconds.
"""

import math

import msgspec

from advisor.quantities import GRAVITY

BEHIND_SHUT_THROTTLE = 60_000.0  # Pa of depression at idle: common practice, no source
SETTLED_AFTER = 3.0  # time constants: exp(-3) is within 5 % of the new height
# Pa, less than any engine draws that idles by itself (105 mmHg), or is held at 2,500 rpm: common practice, no source.
RUNNING = 14_000.0
TALL = 1.0  # m: a fluid in which that stands higher is in no gauge with a leg to each side of it, but in a U-tube
FAR_BELOW, NEAR = 0.5, 0.25  # shares of it: legs of one tube stand no higher, and no further apart. Judgement


class Damping(msgspec.Struct, frozen=True):
    """How a column comes to rest: its slow time constant, how long to wait, and whether it swings past its mark."""

    time_constant: float
    wait: float
    swings: bool


class Tube(msgspec.Struct, frozen=True, kw_only=True):
    """What a U-tube of these sizes does: how it settles, how much to `fill`, and the most that it shows.

    `draws_in`: with one hose off, the depression of the other side draws the fluid into the engine.
    """

    settles: Damping
    fill: float
    most: float
    draws_in: bool


def tube(*, bore: float, leg: float, top: float, loop: float, density: float, viscosity: float) -> Tube:
    """Return what a U-tube does whose legs stand `leg` high at rest, under a `top`, joined by a `loop` below them.

    Density in kg/m3, viscosity kinematic in m2/s.
    """
    most = most_it_shows(leg, top, loop, density)
    return Tube(
        settles=damping(bore, 2 * leg + loop, viscosity),
        fill=fill(bore, leg, loop),
        most=most,
        draws_in=most < BEHIND_SHUT_THROTTLE,
    )


def damping(bore: float, column: float, viscosity: float) -> Damping:
    """Return how the liquid of a U-tube comes to rest; `column` is its whole length, viscosity kinematic in m2/s.

    The linear U-tube with laminar friction: z'' + (32 v / d2) z' + (2 g / L) z = 0 (Hagen-Poiseuille for the wall's
    drag; White, Fluid Mechanics, chapter on internal flow, from memory). The slower root decides; where it is
    complex, the column swings inside an envelope that shrinks at half the damping.
    """
    drag, spring = 32 * viscosity / bore**2, 2 * GRAVITY / column
    under = drag**2 - 4 * spring
    slow = 2 / drag if under < 0 else 2 / (drag - math.sqrt(under))
    return Damping(slow, SETTLED_AFTER * slow, swings=under < 0)


def height(pressure: float, density: float) -> float:
    """Return the difference between the two legs that a pressure difference holds: p = density x g x h."""
    return pressure / (density * GRAVITY)


def fill(bore: float, leg: float, loop: float) -> float:
    """Return the volume that stands `leg` high in both legs, with `loop` the length of tube that joins them below."""
    return math.pi / 4 * bore**2 * (2 * leg + loop)


def most_it_shows(leg: float, top: float, loop: float, density: float) -> float:
    """Return the largest pressure difference before a column reaches the engine, or air gets round the bottom.

    With equal bores one column rises by as much as the other falls, half the difference each: it runs over at
    `top` (height of the tube above the bottom), and air passes once the falling leg and its half of the loop are empty.
    """
    return 2 * min(top - leg, leg + loop / 2) * density * GRAVITY


def legs_of_one_tube(left: float, right: float, density: float) -> bool:
    """Return whether two pressures, read in a fluid, are the heights of the two legs of one U-tube.

    Joined to both carburettors it shows only their difference. A running engine's whole depression would hold more than
    a metre of a light fluid, p = density x g x h; legs that stand far below that, and near each other, do not show it.
    """
    low, high = min(left, right), max(left, right)
    light = height(RUNNING, density) > TALL
    return light and low > 0 and high < FAR_BELOW * RUNNING and high - low < NEAR * RUNNING
