"""A figure whose transform is normal: its quantiles, with the spread of either side and cut at its hard limits."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from statistics import NormalDist
from typing import Literal

import numpy as np

from catalog.tables.assumption import assumptions, spread_rows
from catalog.tables.number import Floats, N, of_math

_Transform = Literal["log", "logit", "log_above_1", "identity"]
# derived: the ends of a 90 % interval leave 5 % on either side
_Z = NormalDist().inv_cdf(19 / 20)


@dataclass(frozen=True)
class Spread:
    """How an uncertain figure is spread.

    Attributes:
        transform: the scale on which it is normal.
        value: its median, in its own unit.
        below: standard deviation below the median, on that scale.
        above: standard deviation above it.
        hard_low: what it is never below, in its own unit.
        hard_high: what it is never above.
    """

    transform: _Transform
    value: float
    below: float
    above: float
    hard_low: float
    hard_high: float

    def at(self, z: N) -> N:
        """Return the figure where a standard normal figure is at z, in its own unit; its median at 0, to the bit.

        It is T^-1(T(value) + z s), with the spread s of the side of z, cut at the hard limits.

        Args:
            z: how many standard deviations from the median, a number or an array of draws [-].
        """
        if isinstance(z, np.ndarray):
            found: Floats = np.where(z == 0, self.value, self._moved(z * np.where(z < 0, self.below, self.above)))
            return np.clip(found, self.hard_low, self.hard_high)
        moved = self.value if z == 0 else self._moved(z * (self.below if z < 0 else self.above))
        return min(max(moved, self.hard_low), self.hard_high)

    def _moved(self, step: N) -> N:
        """Return the figure that lies a step from the median on the scale of the transform."""
        if self.transform == "identity":
            return self.value + step
        grown = of_math("exp", step)
        if self.transform == "log":
            return self.value * grown
        if self.transform == "log_above_1":
            return 1 + (self.value - 1) * grown
        odds = self.value / (1 - self.value) * grown
        return odds / (1 + odds)


def spread_between(
    *,
    transform: _Transform,
    value: float,
    low: float,
    high: float,
    one_sided: bool = False,
    hard_low: float = -np.inf,
    hard_high: float = np.inf,
) -> Spread:
    """Return the spread of a figure whose 5 % and 95 % points are known.

    Args:
        transform: the scale on which it is normal; it must hold all three figures.
        value: the median, in the figure's unit.
        low: its 5 % point.
        high: its 95 % point.
        one_sided: whether both sides have the mean of their spreads.
        hard_low: what it is never below.
        hard_high: what it is never above.

    Raises:
        ValueError: figures in the wrong order, or that the transform does not hold.
    """
    try:
        middle, ends = _SCALES[transform](value), [_SCALES[transform](end) for end in (low, high)]
    except (ValueError, ZeroDivisionError):
        raise ValueError(f"{transform} does not hold {low:g}, {value:g} and {high:g}") from None
    below, above = (middle - ends[0]) / _Z, (ends[1] - middle) / _Z
    if below < 0 or above < 0:
        raise ValueError(f"{value:g} is not between {low:g} and {high:g}")
    if one_sided:
        # derived: the mean of two
        below = above = (below + above) / 2
    return Spread(transform, value, below, above, hard_low, hard_high)


_SCALES: dict[_Transform, Callable[[float], float]] = {
    "log": lambda x: of_math("log", x),
    "logit": lambda x: of_math("log", x / (1 - x)),
    "log_above_1": lambda x: of_math("log", x - 1),
    "identity": lambda x: x,
}


@cache
def spread_of_assumption(name: str) -> Spread:
    """Return the spread of an assumption that may be drawn: the ends of its band are its 5 % and 95 % points.

    Raises:
        KeyError: no such assumption, or one that is never drawn.
    """
    how, row = spread_rows()[name], assumptions()[name]
    return spread_between(
        transform=how.transform,
        value=row.value,
        low=row.low,
        high=row.high,
        one_sided=how.sides == "one",
        hard_low=row.hard_low,
        hard_high=row.hard_high,
    )


def own_spread(name: str, value: float, ends: tuple[float, float] | None) -> Spread:
    """Return the spread of a figure in place of an assumption that may be drawn.

    Args:
        name: id of the assumption.
        value: the figure, its median, in the assumption's unit.
        ends: of its 90 % interval; None = it is known as little as the assumption: its spread lies about the figure.

    Raises:
        KeyError: no such assumption, or one that is never drawn.
        ValueError: ends that do not hold the figure, or a figure that the assumption's scale does not hold.
    """
    usual = spread_of_assumption(name)
    if ends is None:
        return replace(usual, value=value)
    return spread_between(
        transform=usual.transform,
        value=value,
        low=ends[0],
        high=ends[1],
        hard_low=usual.hard_low,
        hard_high=usual.hard_high,
    )
