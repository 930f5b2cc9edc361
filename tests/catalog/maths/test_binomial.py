"""Intervals of a probability, against scipy's exact binomial test."""

import re

import pytest
from scipy.stats import binomtest

from catalog.maths.binomial import binomial_interval

pytestmark = pytest.mark.quick


@pytest.mark.parametrize(
    ("hits", "count"), [(0, 1), (1, 1), (0, 64), (64, 64), (3, 10), (231, 256), (3700, 4096), (4095, 4096), (1, 4096)]
)
@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.99])
def test_the_interval_is_that_of_scipy(hits: int, count: int, confidence: float) -> None:
    expected = binomtest(hits, count).proportion_ci(confidence, method="exact")
    found = binomial_interval(hits=hits, count=count, confidence=confidence)
    assert found == pytest.approx((expected.low, expected.high), abs=1e-9)


@pytest.mark.parametrize(("hits", "count", "confidence"), [(-1, 5, 0.9), (6, 5, 0.9), (1, 5, 0.0), (1, 5, 1.0)])
def test_what_can_not_be_is_refused(hits: int, count: int, confidence: float) -> None:
    with pytest.raises(ValueError, match=re.escape(f"{hits} hits of {count}")):
        binomial_interval(hits=hits, count=count, confidence=confidence)
