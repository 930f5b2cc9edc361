"""Variance indices from given draws: against analytic ones, against scipy's, and against what chance does."""

from math import pi

import numpy as np
import pytest
from scipy.stats import chi2, rankdata, sobol_indices, uniform

from catalog.maths.stratified import fresh_normal_draws, normal_draws
from catalog.maths.variance_index import VarianceIndices, mid_ranks, variance_indices
from catalog.tables.number import Floats

pytestmark = pytest.mark.quick

DRAWS = 4096


def ishigami(x: Floats) -> Floats:
    """Ishigami and Homma 1990, with 7 and 0.1."""
    found: Floats = np.sin(x[0]) + 7 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0])
    return found


def drawn(number: int, *, low: float, high: float, count: int = DRAWS) -> Floats:
    return np.random.default_rng(5).uniform(low, high, (number, count))


def near(found: VarianceIndices, truth: list[float]) -> None:
    """Within what the docstring says that classes lose, and three times the half of the interval."""
    room = 0.02 + 3 * (found.high - found.index)
    assert (np.abs(found.index - truth) < room).all(), (found.index, truth)


def test_ishigami() -> None:
    """Its indices follow from V = a^2/8 + b pi^4/5 + b^2 pi^8/18 + 1/2 (Ishigami and Homma 1990, from memory)."""
    x = drawn(3, low=-pi, high=pi)
    found = variance_indices(x, ishigami(x))
    whole = 49 / 8 + 0.1 * pi**4 / 5 + 0.01 * pi**8 / 18 + 1 / 2
    near(found, [(1 + 0.1 * pi**4 / 5) ** 2 / 2 / whole, 49 / 8 / whole, 0])
    assert found.real.tolist() == [True, True, False]
    assert found.low[2] < 0 < found.high[2]
    scipys = sobol_indices(func=ishigami, n=2048, dists=[uniform(-pi, 2 * pi)] * 3, rng=1)
    near(found, scipys.first_order.tolist())


def test_sobol_g() -> None:
    """V_i = 1 / 3 (1 + a_i)^2 and V = prod(1 + V_i) - 1 (Saltelli and Sobol' 1995, from memory)."""
    a = np.array([0, 1, 4.5, 9, 99, 99, 99, 99])
    x = drawn(8, low=0, high=1)
    each = 1 / (3 * (1 + a) ** 2)
    result = ((np.abs(4 * x - 2) + a[:, None]) / (1 + a[:, None])).prod(axis=0)
    found = variance_indices(x, result)
    near(found, (each / ((1 + each).prod() - 1)).tolist())
    assert found.real[:3].all()
    assert not found.real[4:].any()


@pytest.mark.parametrize("count", [64, 256, DRAWS])
def test_linear_models_of_stratified_draws(count: int) -> None:
    """By definition: weights squared over their sum. A steep one loses some to its classes, as the docstring says."""
    weights = np.array([3.0, 2.0, 1.0, 0.0])
    x = np.array([normal_draws(name=str(place), count=count, seed=2) for place in range(4)])
    found = variance_indices(x, weights @ x)
    near(found, (weights**2 / 14).tolist())
    assert not found.real[3]
    assert found.index.sum() < 1 + 2 * (found.high - found.index).max()
    alone = variance_indices(x[:1], np.exp(x[0] / 4)).index[0]
    assert {64: 0.87, 256: 0.93, DRAWS: 0.98}[count] < alone <= 1


def test_intervals_hold_the_truth_and_chance_seldom_stands_out() -> None:
    """Of a result that is so or not: at 256 draws, 90 % intervals, and one of 20 figures that do not matter."""
    inside, named, cases = 0, 0, 200
    for case in range(cases):
        x = np.array([fresh_normal_draws(name=f"{case}:{place}", count=256, seed=3) for place in range(21)])
        found = variance_indices(x, (x[0] + fresh_normal_draws(name=str(case), count=256, seed=3) > 0).astype(float))
        # asin(rho) / (pi / 2) of the correlation 1/2 of two sums that share x: the variance of sign's mean (Sheppard)
        inside += bool(found.low[0] < 1 / 3 < found.high[0])
        named += bool(found.real[1:].any())
        assert found.real[0]
    assert 0.83 * cases < inside < 0.97 * cases
    assert named < 0.1 * cases


def test_the_quantile_of_chance_is_that_of_chi_squared() -> None:
    """Through the least index that counts: scipy's quantile, within what Wilson and Hilferty are off by."""
    x = np.array([normal_draws(name=str(place), count=256, seed=1) for place in range(30)])
    step = (chi2.ppf(1 - 0.05 / 30, 9) - 9) / 255
    counted = [
        share
        for share in np.linspace(0.02, 0.2, 91)
        if variance_indices(x, np.sqrt(share) * x[0] + np.sqrt(1 - share) * x[1]).real[0]
    ]
    index = variance_indices(x, np.sqrt(counted[0]) * x[0] + np.sqrt(1 - counted[0]) * x[1])
    assert index.index[0] == pytest.approx(step, rel=0.15)


def test_what_never_varies_has_no_index() -> None:
    found = variance_indices(drawn(2, low=0, high=1), np.ones(DRAWS))
    assert not found.index.any()
    assert not found.real.any()


def test_ranks_are_scipys_and_infinite_values_share_one() -> None:
    values = np.array([3.0, np.inf, 1.0, 3.0, np.inf, 2.0])
    expected = (rankdata([3, 9, 1, 3, 9, 2]) - 0.5) / 6
    assert mid_ranks(values) == pytest.approx(expected, rel=1e-15)
