"""How two sides stand and what a turn of a screw does, estimated from readings that scatter.

The state is what is read (how far the sides are apart, and the revs) and how much each moves for a turn of each screw.
A turn moves what is read by its answer to that screw; a reading shows it with scatter. That is a Kalman filter with the
answers as part of its state (R. E. Kalman 1960, 'A new approach to linear filtering and prediction problems', J. Basic
Engineering 82: from memory); with what is read known exactly it would be recursive least squares (K. J. Astrom and
B. Wittenmark, 'Adaptive Control', chapter 2: from memory). Influence coefficients in rotor balancing are its relative.
"""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import msgspec

from advisor.lazy import lazy

if TYPE_CHECKING:
    import numpy as np
else:
    np = lazy("numpy")  # 80 ms: a session that reads no column needs none of it

Row = tuple[float, ...]


class Usual(msgspec.Struct, frozen=True, kw_only=True):
    """What is common before anything was read on this bike.

    `answers`: for each thing read, how much a turn (in) of each screw moves it. `sure`: half-width of that, as a share
    of it, one standard deviation. `hand`: how far a hand is off, turns. `moves`: how much each thing read moves by
    itself from one reading to the next.
    """

    answers: tuple[Row, ...]
    sure: float
    hand: float
    moves: Row


class Stand(msgspec.Struct, frozen=True):
    """Where things stand: means of what is read, then of its answers, row by row; and their covariance."""

    mean: Row
    cover: tuple[Row, ...]
    read: int
    screws: int

    @property
    def value(self) -> Row:
        """What is read, by the best estimate."""
        return self.mean[: self.read]

    @property
    def spread(self) -> Row:
        """One standard deviation of what is read."""
        return tuple(max(self.cover[at][at], 0.0) ** 0.5 for at in range(self.read))

    def answer(self, of: int, to: int) -> tuple[float, float]:
        """Return how much a turn of screw `to` moves reading `of`, and one standard deviation of that."""
        at = self.read + of * self.screws + to
        return self.mean[at], max(self.cover[at][at], 0.0) ** 0.5

    def between(self, of: int) -> tuple[float, float]:
        """Return how much more the first screw moves reading `of` than the second, and one standard deviation."""
        at, other = self.read + of * self.screws, self.read + of * self.screws + 1
        variance = self.cover[at][at] + self.cover[other][other] - 2 * self.cover[at][other]
        return self.mean[at] - self.mean[other], max(variance, 0.0) ** 0.5


def first(values: Sequence[float], spreads: Sequence[float], usual: Usual) -> Stand:
    """Return where things stand after the first reading; `spreads` are one standard deviation of each value."""
    answers = [one for row in usual.answers for one in row]
    variance = [*(one**2 for one in spreads), *((usual.sure * one) ** 2 for one in answers)]
    cover = tuple(
        tuple(one if at == other else 0.0 for other in range(len(variance))) for at, one in enumerate(variance)
    )
    return Stand((*values, *answers), cover, len(values), len(usual.answers[0]))


def turned(stand: Stand, turns: Sequence[float], usual: Usual) -> Stand:
    """Return what is to be expected after each screw was turned by so many turns (in is above 0).

    A hand is off by `usual.hand` on each screw that it turns.
    """
    mean, cover = np.array(stand.mean), np.array(stand.cover)
    read, screws = stand.read, stand.screws
    step = np.eye(len(mean))
    for of in range(read):
        step[of, read + of * screws : read + (of + 1) * screws] = turns
    off = mean[read:].reshape(read, screws) * [usual.hand if one else 0.0 for one in turns]
    cover = step @ cover @ step.T
    cover[:read, :read] += off @ off.T + np.diag(np.square(usual.moves))  # a hand that is off moves all that is read
    return _stand(step @ mean, cover, stand)


def outcomes(stand: Stand, turns: "np.ndarray", usual: Usual) -> tuple["np.ndarray", "np.ndarray"]:
    """Return what is to be expected of many ways to turn at once (ways x screws): means and variances, ways x read."""
    read, screws = stand.read, stand.screws
    mean, cover = np.array(stand.mean), np.array(stand.cover)
    means, variances = np.empty((len(turns), read)), np.empty((len(turns), read))
    for of in range(read):
        own = slice(read + of * screws, read + (of + 1) * screws)
        means[:, of] = mean[of] + turns @ mean[own]
        variances[:, of] = cover[of, of] + 2 * turns @ cover[own, of] + ((turns @ cover[own, own]) * turns).sum(1)
        variances[:, of] += (turns != 0) @ np.square(mean[own] * usual.hand) + usual.moves[of] ** 2
    return means, variances


def read(stand: Stand, values: Sequence[float | None], spreads: Sequence[float]) -> Stand:
    """Return where things stand after a reading; what was not read is None. `spreads`: one standard deviation each."""
    mean, cover = np.array(stand.mean), np.array(stand.cover)
    for at, (value, spread) in enumerate(zip(values, spreads, strict=True)):
        if value is None:
            continue
        gain = cover[:, at] / (cover[at, at] + spread**2)
        mean = mean + gain * (value - mean[at])
        cover = cover - np.outer(gain, cover[at])
    return _stand(mean, (cover + cover.T) / 2, stand)


def surprise(stand: Stand, values: Sequence[float | None], spreads: Sequence[float]) -> float:
    """Return how many standard deviations the worst of these values is off what is expected."""
    return max(
        (
            abs(value - mean) / (expected**2 + spread**2) ** 0.5
            for value, mean, expected, spread in zip(values, stand.value, stand.spread, spreads, strict=True)
            if value is not None
        ),
        default=0.0,
    )


def _stand(mean: "np.ndarray", cover: "np.ndarray", was: Stand) -> Stand:
    return Stand(tuple(mean.tolist()), tuple(tuple(row) for row in cover.tolist()), was.read, was.screws)
