"""Shares of weighted trips, with the interval that so many of them leave open; shares against mass, at every step."""

import math
from collections.abc import Sequence

import numpy as np

from catalog.maths.binomial import binomial_interval
from catalog.tables.number import Floats
from solver.offers.wanted_mass import Interval

_DIGITS = 9  # judged: no binary crumbs


def share_of(marks: Sequence[bool], weights: Sequence[float]) -> float:
    """Return the share of the weight of trips that is marked, 0 where there is none."""
    whole = math.fsum(weights)
    marked = math.fsum(weight for mark, weight in zip(marks, weights, strict=True) if mark)
    return round(marked / whole, _DIGITS) if whole else 0.0


def share_interval(share: float, weights: Sequence[float]) -> tuple[float, float]:
    """Return the 90 % interval of a share of weighted trips, as if they were drawn from all trips like them.

    Trips of unequal weight tell as much as fewer of equal weight; hits are rounded outwards, so that the interval is
    rather too wide.

    Args:
        share: of their weight, 0 to 1.
        weights: of the trips.

    Source: the effective number of tries (sum of weights)^2 / sum of squares (Kish 1965, Survey Sampling), put into
    the exact binomial interval as Korn and Graubard (1998, Survey Methodology 24, 193-201) do; both from memory.
    """
    squares = math.fsum(weight * weight for weight in weights)
    count = int(round(math.fsum(weights) ** 2 / squares, _DIGITS)) if squares else 0
    if not count:
        return 0.0, 1.0
    hits = round(share * count, _DIGITS)
    low, _ = binomial_interval(hits=math.floor(hits), count=count)
    _, high = binomial_interval(hits=math.ceil(hits), count=count)
    return round(low, _DIGITS), round(high, _DIGITS)


def weighted_median(values: Sequence[float], weights: Sequence[float]) -> float | None:
    """Return the least value that half of the weight does not exceed; None of no values."""
    whole, below = math.fsum(weights), 0.0
    for value, weight in sorted(zip(values, weights, strict=True)):
        below += weight
        if 2 * below >= whole:
            return value
    return None


class ShareSteps:
    """The share of trips that want an offer, at each mass [0.01 g]."""

    def __init__(self, intervals: Sequence[Sequence[Interval]], weights: Sequence[float]) -> None:
        """Take the masses at which each trip wants it, in intervals that do not meet."""
        pairs = [(low, high, weight) for one, weight in zip(intervals, weights, strict=True) for low, high in one]
        self.whole = math.fsum(weights)
        lows = sorted((low, weight) for low, _, weight in pairs)
        highs = sorted((math.inf if high is None else high, weight) for _, high, weight in pairs)
        self.lows, self.begun = _cumulated(lows)
        self.highs, self.ended = _cumulated(highs)

    def share_at(self, mass: float) -> float:
        """Return the share at a mass [0.01 g]."""
        begun = self.begun[np.searchsorted(self.lows, mass, side="right")]
        ended = self.ended[np.searchsorted(self.highs, mass, side="left")]
        return round(float(begun - ended) / self.whole, _DIGITS) + 0.0 if self.whole else 0.0

    @property
    def masses(self) -> list[int]:
        """The masses above which the share changes, rising."""
        ends = {int(high) for high in self.highs.tolist() if high < math.inf}
        begins = {int(low) - 1 for low in self.lows.tolist() if low > 1}
        return sorted(ends | begins)

    def most_with(self, share: float) -> int | None:
        """Return the greatest mass at which the share is so great [0.01 g]; None where it is at none, or at all."""
        if self.share_at(math.inf) >= share:
            return None
        return next((mass for mass in reversed(self.masses) if self.share_at(mass) >= share), None)


def _cumulated(ends: Sequence[tuple[float, float]]) -> tuple[Floats, Floats]:
    """Return sorted ends, and the weight of those before each place."""
    weights = np.array([weight for _, weight in ends], dtype=float)
    return np.array([end for end, _ in ends], dtype=float), np.concatenate([[0.0], np.cumsum(weights)])
