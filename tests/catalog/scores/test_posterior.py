"""Parts of a score combine by precision: held against the product of their densities."""

import math

import numpy as np
import pytest
from scipy.stats import norm

from catalog.scores.posterior import ScorePart, posterior_of

pytestmark = pytest.mark.quick

Z = norm.ppf(0.95)


def part(median: float, factor: float, source: str = "judged") -> ScorePart:
    return ScorePart(source, median, median / factor, median * factor)


def test_the_product_of_the_densities_has_this_median_and_interval() -> None:
    """By numbers: densities over a fine grid of logarithms, multiplied, and the quantiles of the product."""
    parts = [part(4, 1.6), part(5.5, 1.3, "drawn"), part(4.4, 1.2, "measured")]
    grid = np.linspace(math.log(0.5), math.log(40), 400_001)
    density = np.ones_like(grid)
    for one in parts:
        density *= norm.pdf(grid, math.log(one.median), math.log(one.high / one.low) / (2 * Z))
    below = np.cumsum(density) / density.sum()
    told = posterior_of(parts)
    wanted = np.exp(np.interp([0.05, 0.5, 0.95], below, grid))
    assert (told.low, told.median, told.high) == pytest.approx(tuple(wanted), rel=1e-4)


def test_weights_are_shares_of_the_precision() -> None:
    found = posterior_of([part(4, 1.6), part(4, 1.6, "drawn")])
    assert [one.weight for one in found.parts] == pytest.approx([0.5, 0.5])
    assert math.log(found.high / found.median) == pytest.approx(math.log(1.6) / math.sqrt(2))
    wide = posterior_of([part(4, 2), part(4, 1.3, "drawn"), part(4, 1.1, "measured")])
    assert sum(one.weight for one in wide.parts) == pytest.approx(1)
    assert [one.source for one in sorted(wide.parts, key=lambda one: one.weight)] == ["judged", "drawn", "measured"]


def test_a_part_alone_stays_as_it_is() -> None:
    lopsided = ScorePart("judged", 4, 3.5, 9)
    found = posterior_of([lopsided])
    assert (found.median, found.low, found.high) == (4, 3.5, 9)
    assert found.parts[0].weight == 1


def test_an_exact_part_counts_alone() -> None:
    found = posterior_of([part(4, 1.6), ScorePart("measured", 5, 5, 5)])
    assert (found.low, found.median, found.high) == (5, 5, 5)
    assert [one.weight for one in found.parts] == [0, 1]


@pytest.mark.parametrize(
    "parts",
    [[], [ScorePart("judged", 4, 0, 5)], [ScorePart("judged", 4, 4.1, 5)], [ScorePart("judged", 4, 3, 3.9)],
     [ScorePart("judged", 4, 3, math.inf)], [ScorePart("judged", math.nan, 3, 5)]],
)  # fmt: skip
def test_what_is_no_distribution_is_refused(parts: list[ScorePart]) -> None:
    with pytest.raises(ValueError, match=r"score needs a part|its interval is"):
        posterior_of(parts)
