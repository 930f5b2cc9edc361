"""Stratified draws of normal figures, against scipy's normal quantiles."""

import numpy as np
import pytest
from scipy.stats import norm

from catalog.maths.stratified import even_draws, fresh_normal_draws, in_strata, normal_draws

pytestmark = pytest.mark.quick


@pytest.mark.parametrize("count", [1, 2, 7, 64, 1000])
def test_each_stratum_is_entered_once_at_its_middle(count: int) -> None:
    """Latin hypercube sampling, by scipy.stats.norm."""
    drawn = np.sort(normal_draws(name="a", count=count, seed=1))
    middles = (np.arange(count) + 0.5) / count
    assert np.allclose(drawn, norm.ppf(middles), atol=1e-9)
    assert np.allclose(np.sort(even_draws(name="a", count=count, seed=1)), middles)
    assert np.allclose(even_draws(name="a", count=count, seed=1), norm.cdf(normal_draws(name="a", count=count, seed=1)))


def test_the_order_goes_by_seed_and_name_alone() -> None:
    """Equal names are drawn alike, others apart: in 200 pairs no correlation is beyond four standard errors."""
    count = 256
    first = normal_draws(name="a", count=count, seed=1)
    assert np.array_equal(first, normal_draws(name="a", count=count, seed=1))
    others = [normal_draws(name=f"b{place}", count=count, seed=1) for place in range(200)]
    others.append(normal_draws(name="a", count=count, seed=2))
    assert max(abs(np.corrcoef(first, other)[0, 1]) for other in others) < 4 / np.sqrt(count)


def test_draws_in_strata_keep_their_order_and_are_a_latin_hypercube() -> None:
    figures = fresh_normal_draws(name="a", count=64, seed=1) ** 3
    drawn = in_strata(figures)
    assert np.array_equal(figures.argsort(), drawn.argsort())
    assert np.array_equal(np.sort(drawn), np.sort(normal_draws(name="b", count=64, seed=1)))
