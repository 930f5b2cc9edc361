"""A field of standard normal figures over a plane: the nearer two places lie, the more alike theirs are.

Their correlation is a Matern function of order 5/2 of the distance. The field is a sum of waves, so what it is at one
place goes by no other place that is looked at.

Sources: Rasmussen and Williams 2006, Gaussian Processes for Machine Learning, equations 4.15 and 4.17; Rahimi and Recht
2007, Random Features for Large-Scale Kernel Machines (both from memory).
"""

import math
from collections.abc import Sequence
from functools import cache

import numpy as np

from catalog.maths.stratified import generator
from catalog.tables.number import Floats

_WAVES = 48  # judged: of correlations nearer than 1 no more than 0.02 is missed, of others than 0.1
_LEVELS = 256  # judged: weights are even, not normal: of 96 together the excess kurtosis is -0.02
_TURN = (math.sqrt(5) - 1) / 2  # derived: the golden section spreads directions evenly
_DEGREES = 5  # derived: twice the order 5/2; the spectrum of the function is a t distribution of so many degrees


def likeness(one: Sequence[float], other: Sequence[float]) -> float:
    """Return the correlation between two places: 1 at the same, towards 0 far from it [-]."""
    # derived: Matern function of order 5/2, its source above
    far = math.sqrt(5) * math.dist(one, other)
    # derived: Matern function of order 5/2, its source above
    return (1 + far + far**2 / 3) * math.exp(-far)


class NearField:
    """A field drawn so many times."""

    def __init__(self, *, name: str, count: int, seed: int, fresh: bool) -> None:
        """Draw it.

        Args:
            name: of the field; its draws go by the seed and the name alone.
            count: how many draws.
            seed: any whole number.
            fresh: whether they are of another stream.
        """
        random = generator(f"{'fresh:' if fresh else ''}{seed}:{name}")
        self._weights = random.integers(0, _LEVELS, (2 * _WAVES, count), np.uint8).astype(np.float32)
        self._weights -= np.float32((_LEVELS - 1) / 2)
        # derived: the variance of so many levels one apart, and of the sum of all waves
        self._weights /= np.float32(math.sqrt((_LEVELS**2 - 1) / 12 * _WAVES))

    def at(self, place: tuple[float, float]) -> Floats:
        """Return the figure at a place in each draw, a standard normal one, float[count]."""
        phase = _waves() @ np.array(place)
        parts = np.concatenate([np.cos(phase), np.sin(phase)]).astype(np.float32)
        return np.asarray(parts @ self._weights, dtype=np.float64)


@cache
def _waves() -> Floats:
    """Return the waves, each by its turns along the two axes, float[waves, 2]: quantiles of the spectrum."""
    number = np.arange(_WAVES)
    # derived: the middle of a stratum is half a stratum above its lower end
    above = 1 - (number + 1 / 2) / _WAVES
    # derived: the radius of a t distribution in the plane that so many lie beyond
    radius = np.sqrt(_DEGREES * (above ** (-2 / _DEGREES) - 1))
    angle = math.pi * (number * _TURN % 1)
    return np.stack([radius * np.cos(angle), radius * np.sin(angle)], axis=1)
