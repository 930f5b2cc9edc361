"""How much of the variance of a result each uncertain figure stands for, from draws at hand (first-order indices)."""

from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist

import numpy as np

from catalog.tables.number import Bools, Floats

_Z = NormalDist().inv_cdf(19 / 20)  # derived: the ends of a 90 % interval leave 5 % on either side
# judged: classes are this power of the number of draws: 6 of 64 draws, 10 of 256, 28 of 4,096
_CLASSES = 0.4
_BY_CHANCE = 0.05  # judged: how often one of all figures may stand out though none matters


@dataclass(frozen=True)
class VarianceIndices:
    """First-order variance indices of K figures: the share of the variance that goes with the figure alone.

    Attributes:
        index: bias-corrected [-], float[K]; below 0 by chance only.
        low: lower end of the 90 % interval, float[K].
        high: upper end, float[K].
        real: whether the interval excludes 0, and the index is more than the largest of so many figures that do not
            matter has in 19 of 20 cases, bool[K].
    """

    index: Floats
    low: Floats
    high: Floats
    real: Bools


def variance_indices(figures: Floats, result: Floats) -> VarianceIndices:
    """Return the first-order variance index of each figure: var(E[result | figure]) / var(result).

    Draws are put into classes of equal number by the figure, and the variance of the classes' means is set against
    that of all draws. Classes add (classes - 1) / (draws - 1) by chance, which is taken off. As a class is not a point,
    an index is some 10 % too small at 64 draws, 6 % at 256 and 2 % at 4,096. Indices of independent figures add up to
    1 at most.

    Args:
        figures: the draws of each, float[K, N] with 16 draws or more.
        result: of each draw, finite, float[N]; one that never varies has indices of 0.

    Source: Plischke, Borgonovo and Smith 2013, European Journal of Operational Research 226, 536-550 (estimation from
    given data by classes), corrected as Kelley 1935 corrects the correlation ratio (epsilon squared), both from memory.
    The interval is the delta method's, with the variance that chance alone gives.
    """
    number, draws = figures.shape
    away = result - result.mean()
    variance = float((away**2).mean())
    if not variance:
        nothing = np.zeros(number)
        return VarianceIndices(nothing, nothing, nothing, np.zeros(number, dtype=bool))
    classes = round(draws**_CLASSES)
    starts = np.arange(classes) * draws // classes
    sizes = np.diff(np.append(starts, draws))
    values = away[figures.argsort(axis=1, kind="stable")]
    means = np.add.reduceat(values, starts, axis=1) / sizes
    within = (values - means.repeat(sizes, axis=1)) ** 2
    left = within.mean(axis=1) * (draws - 1) / (draws - classes) / variance
    # the influence of each draw on the share that is left, and what chance gives to classes
    influence = (within - left[:, None] * values**2) / variance
    error = np.sqrt(influence.var(axis=1) / draws + 2 * (classes - 1) * (left / draws) ** 2)
    index = 1 - left
    low, high = index - _Z * error, index + _Z * error
    return VarianceIndices(index, low, high, (low > 0) & (index > _of_chance(classes - 1, draws, number)))


def _of_chance(freedom: int, draws: int, number: int) -> float:
    """Return the index that the largest of so many figures that do not matter seldom has.

    Source: the quantile of chi squared by Wilson and Hilferty 1931 (from memory), with the level of Bonferroni.
    """
    # derived: as the source has it
    step = 2 / (9 * freedom)
    z = NormalDist().inv_cdf(1 - _BY_CHANCE / number)
    # derived: as the source has it
    quantile = freedom * (1 - step + z * sqrt(step)) ** 3
    return (quantile - freedom) / (draws - 1)


def mid_ranks(values: Floats) -> Floats:
    """Return the rank of each value from 0 to 1, of equal ones the middle of theirs; infinite ones are equal.

    Args:
        values: float[N].
    """
    _, place, counts = np.unique(values, return_inverse=True, return_counts=True)
    # derived: the middle of the ranks of equal values
    middles = counts.cumsum() - counts / 2
    found: Floats = middles[place] / len(values)
    return found
