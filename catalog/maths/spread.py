"""Spread of repeated trials pooled over several tools, and the interval it gives a few trials."""

from __future__ import annotations

import math
from itertools import combinations
from statistics import NormalDist, median

from catalog.maths.quadrature import simpson


def pooled_spread(groups: list[list[float]]) -> tuple[float, int]:
    """Standard deviation within groups, from differences of pairs inside each group.

    The median absolute difference of two normal values is 0.6745 x sqrt(2) standard deviations; taking the
    median over all pairs keeps a few wild values from setting the spread.

    Returns:
        The spread and its degrees of freedom, sum of (n - 1).

    Raises:
        ValueError: no group with two values.

    Source: Rousseeuw and Croux 1993, J. Am. Stat. Assoc. 88, 1273-1283 (the idea; from memory).
    """
    gaps = [abs(a - b) for group in groups for a, b in combinations(group, 2)]
    if not gaps:
        raise ValueError("a pooled spread needs a group with two values")
    # derived: the quartile of a normal distribution, 0.6745
    quartile = NormalDist().inv_cdf(3 / 4)
    freedom = sum(len(group) - 1 for group in groups if group)
    return median(gaps) / (quartile * math.sqrt(2)), freedom


def student_quantile(*, confidence: float, freedom: float) -> float:
    """Two-sided quantile of Student's t: P(|t| < q) = confidence.

    Raises:
        ValueError: confidence outside 0.5-0.999 or less than 1 degree of freedom.

    Source: density of Student's t (standard); checked against scipy in the tests.
    """
    # judged: the promised range of a confidence, and the usual one
    if not 0.5 <= confidence <= 0.999 or freedom < 1:  # where 200 panels keep four digits
        raise ValueError(f"confidence {confidence:g} is outside 0.5 to 0.999, or freedom {freedom:g} is below 1")
    scale = math.exp(math.lgamma((freedom + 1) / 2) - math.lgamma(freedom / 2))
    peak = scale / math.sqrt(freedom * math.pi)

    # t = sqrt(freedom) tan(angle) turns the density into a power of a cosine on a finite range
    def share(angle: float) -> float:
        power = freedom - 1
        # judged: panels after which a halving changes no digit that is told
        return 2 * peak * math.sqrt(freedom) * simpson(lambda a: math.cos(a) ** power, low=0, high=angle, panels=200)

    low, high = 0.0, math.pi / 2
    # judged: far below the digits that are told
    while high - low > 1e-12:  # far below the four digits that matter
        middle = (low + high) / 2
        low, high = (middle, high) if share(middle) < confidence else (low, middle)
    return math.sqrt(freedom) * math.tan(low)
