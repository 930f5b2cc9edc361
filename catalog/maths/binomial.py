"""The exact interval of a probability from how often something was seen."""

import math

import numpy as np

_HALVINGS = 60  # derived: halves the range from 0 to 1 to below what a float tells apart
_USUAL = 0.9  # judged: the confidence of every interval that is told


def binomial_interval(*, hits: int, count: int, confidence: float = _USUAL) -> tuple[float, float]:
    """Return the interval of a probability that so many hits in so many independent tries leave open.

    Args:
        hits: how often it was seen, 0 to count.
        count: tries, 1 or more.
        confidence: least probability that such an interval holds the true one, between 0 and 1.

    Raises:
        ValueError: more hits than tries, or another confidence.

    Source: Clopper and Pearson 1934, Biometrika 26, 404-413 (from memory); checked against scipy in the tests.
    """
    if not 0 <= hits <= count or not 0 < confidence < 1:
        raise ValueError(f"{hits} hits of {count} tries, or confidence {confidence:g}, is out of range")
    # derived: both tails miss half of what the interval may miss
    tail = (1 - confidence) / 2
    low = 0.0 if hits == 0 else 1 - _least_failing(count - hits, count, tail)
    high = 1.0 if hits == count else _least_failing(hits, count, tail)
    return low, high


def _least_failing(hits: int, count: int, tail: float) -> float:
    """Return the probability at which no more than so many hits are as unlikely as a tail."""
    each = np.arange(hits + 1)
    ways = np.array([math.lgamma(count + 1) - math.lgamma(k + 1) - math.lgamma(count - k + 1) for k in each.tolist()])
    low, high = 0.0, 1.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        below = float(np.exp(ways + each * math.log(middle) + (count - each) * math.log1p(-middle)).sum())
        low, high = (middle, high) if below > tail else (low, middle)
    return (low + high) / 2
