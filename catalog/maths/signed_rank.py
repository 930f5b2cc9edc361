"""Hodges-Lehmann estimate and its exact interval: a centre that a few wild values cannot move far.

Source: Hollander and Wolfe, Nonparametric Statistical Methods, 2nd edition 1999, sections 3.2-3.3
(from memory); the null distribution is counted here, and checked against scipy in the tests.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from statistics import median

from catalog.tables.errors import RangeError

# judged: more trials of one tool are not expected
_MOST_VALUES = 200  # 20,100 averages and as many ranks to count; more trials of one tool are not expected


@dataclass(frozen=True, slots=True)
class _Centre:
    """Estimate with the interval and the confidence that the interval really has."""

    value: float
    low: float
    high: float
    confidence: float


@lru_cache(maxsize=_MOST_VALUES)
def rank_sum_counts(n: int) -> tuple[int, ...]:
    """How many of the 2**n sign patterns give each sum of positive ranks, from 0 to n (n + 1) / 2."""
    counts = [1]
    for rank in range(1, n + 1):
        wider = counts + [0] * rank
        for total, ways in enumerate(counts):
            wider[total + rank] += ways
        counts = wider
    return tuple(counts)


def walsh_averages(values: list[float]) -> list[float]:
    """Averages of all pairs, each value paired with itself too, in order."""
    return sorted((a + b) / 2 for i, a in enumerate(values) for b in values[i:])


def centre(values: list[float], *, confidence: float) -> _Centre | None:
    """Centre of symmetry with an exact interval.

    Args:
        values: 1 to 200 observations with symmetric errors.
        confidence: least confidence of the interval, between 0 and 1.

    Returns:
        None when so few values cannot give that confidence (5 values for 0.90, 6 for 0.95).

    Raises:
        RangeError: no values, or more than 200.
    """
    n = len(values)
    if not 1 <= n <= _MOST_VALUES:
        raise RangeError(
            quantity="observations", value=n, low=1, high=_MOST_VALUES, unit="values", source="signed ranks"
        )
    counts = rank_sum_counts(n)
    below, depth = 0, 0
    while 2 * (below + counts[depth]) <= (1 - confidence) * 2**n:
        below += counts[depth]
        depth += 1
    if depth == 0:
        return None
    averages = walsh_averages(values)
    return _Centre(
        value=median(averages),
        low=averages[depth - 1],
        high=averages[-depth],
        confidence=1 - 2 * below / 2**n,
    )
