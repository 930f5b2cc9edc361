"""Shares of weighted trips and their intervals; the reference is scipy's exact interval, and counting by hand."""

from random import Random

import pytest
from scipy.stats import binomtest

from solver.offers.weighted_share import ShareSteps, share_interval, share_of, weighted_median

pytestmark = pytest.mark.quick


@pytest.mark.parametrize(("hits", "count"), [(0, 20), (3, 20), (20, 20), (2, 100), (240, 1000)])
def test_of_equal_weights_it_is_the_exact_binomial_interval(hits: int, count: int) -> None:
    """Clopper and Pearson, by `scipy.stats.binomtest`, whatever the weight."""
    expected = binomtest(hits, count).proportion_ci(confidence_level=0.9, method="exact")
    for weight in (1.0, 0.1, 7.0):
        found = share_interval(hits / count, [weight] * count)
        assert found == pytest.approx((expected.low, expected.high), abs=1e-8)


def test_unequal_weights_count_as_fewer_trips() -> None:
    """Weights 1 and 3 in halves: (20 x 1 + 20 x 3)^2 / (20 x 1 + 20 x 9) = 32 trips, by hand after Kish."""
    weights = [1.0] * 20 + [3.0] * 20
    expected = binomtest(8, 32).proportion_ci(confidence_level=0.9, method="exact")
    assert share_interval(0.25, weights) == pytest.approx((expected.low, expected.high), abs=1e-8)
    wider = share_interval(0.26, weights)  # 8.32 of 32: rounded outwards
    above = binomtest(9, 32).proportion_ci(confidence_level=0.9, method="exact")
    assert wider == pytest.approx((expected.low, above.high), abs=1e-8)


def test_no_trip_tells_nothing() -> None:
    assert share_interval(0.0, []) == (0.0, 1.0)
    assert share_of([], []) == 0.0
    assert weighted_median([], []) is None


def test_the_steps_are_what_counting_tells() -> None:
    """At each whole mass, of random intervals, some without end."""
    rng = Random(7)
    intervals = []
    for _ in range(40):
        ends = sorted(rng.sample(range(1, 60), 4))
        last = None if rng.random() < 0.2 else ends[3]
        intervals.append(rng.choice([[], [(ends[0], ends[1])], [(ends[0], ends[1]), (ends[2], last)]]))
    weights = [rng.choice((1.0, 2.0, 5.0)) for _ in intervals]
    steps = ShareSteps(intervals, weights)
    for mass in range(0, 70):
        wants = [any(low <= mass and (high is None or mass <= high) for low, high in one) for one in intervals]
        assert steps.share_at(mass) == share_of(wants, weights)
    for share in (0.1, 0.3, 0.5):
        most = steps.most_with(share)
        endless = steps.share_at(10**9) >= share
        counted = [mass for mass in range(1, 70) if steps.share_at(mass) >= share]
        assert most == (None if endless or not counted else max(counted))


def test_the_median_is_the_least_that_half_the_weight_does_not_exceed() -> None:
    assert weighted_median([3.0, 1.0, 2.0], [1.0, 1.0, 1.0]) == 2.0
    assert weighted_median([3.0, 1.0], [1.0, 1.0]) == 1.0
    assert weighted_median([3.0, 1.0], [3.0, 1.0]) == 3.0
