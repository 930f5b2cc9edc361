"""Spreads of uncertain figures: each transform against scipy's distributions, and each row of the table."""

import re
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.special import expit, logit
from scipy.stats import lognorm, norm

from catalog import assumptions
from catalog.maths.latent_scale import Spread, spread_between, spread_of_assumption
from catalog.maths.stratified import fresh_normal_draws, normal_draws
from catalog.tables.assumption import never_drawn, not_of_a_trip, spread_rows

pytestmark = pytest.mark.quick

Z = norm.ppf(0.95)
P = np.array([0.01, 0.05, 0.2, 0.5, 0.8, 0.95, 0.99])


def by_lognorm(p: Any, value: float, s: float) -> Any:
    return lognorm(s, scale=value).ppf(p)


def by_shifted_lognorm(p: Any, value: float, s: float) -> Any:
    return lognorm(s, loc=1, scale=value - 1).ppf(p)


def by_logit(p: Any, value: float, s: float) -> Any:
    return expit(norm(logit(value), s).ppf(p))


def by_norm(p: Any, value: float, s: float) -> Any:
    return norm(value, s).ppf(p)


@pytest.mark.parametrize(
    ("transform", "value", "low", "high", "quantile", "scale"),
    [
        ("log", 300, 150, 500, by_lognorm, np.log),
        ("log_above_1", 2, 1.3, 4, by_shifted_lognorm, lambda x: np.log(x - 1)),
        ("logit", 0.15, 0.1, 0.3, by_logit, logit),
        ("identity", -5, -10, 0, by_norm, lambda x: x),
    ],
)
@pytest.mark.parametrize("one_sided", [False, True])
def test_quantiles_are_those_of_scipy(
    transform: Any,
    value: float,
    low: float,
    high: float,
    quantile: Callable[..., Any],
    scale: Callable[..., Any],
    one_sided: bool,
) -> None:
    """On either side by its own spread; with one spread for both the ends of the band are as far apart as before."""
    below, above = (scale(value) - scale(low)) / Z, (scale(high) - scale(value)) / Z
    if one_sided:
        below = above = (below + above) / 2
    found = spread_between(transform=transform, value=value, low=low, high=high, one_sided=one_sided)
    expected = np.where(P < 0.5, quantile(P, value, below), quantile(P, value, above))
    assert np.allclose(found.at(norm.ppf(P)), expected, rtol=1e-12)
    assert found.at(0.0) == value
    assert [found.at(float(z)) for z in norm.ppf(P)] == found.at(norm.ppf(P)).tolist()
    if not one_sided:
        assert np.allclose(found.at(np.array([-Z, Z])), [low, high], rtol=1e-12)
    assert scale(found.at(Z)) - scale(found.at(-Z)) == pytest.approx(scale(high) - scale(low))


@pytest.mark.parametrize(
    ("transform", "value", "low", "high"),
    [("log", 1, 0, 2), ("logit", 0.9, 0.8, 1), ("log_above_1", 1.2, 1, 1.4), ("identity", 3, 1, 2)],
)
def test_a_band_that_a_transform_does_not_hold_is_refused(
    transform: Any, value: float, low: float, high: float
) -> None:
    with pytest.raises(ValueError, match=re.escape(f"{value:g}")):
        spread_between(transform=transform, value=value, low=low, high=high)


def test_every_assumption_is_drawn_or_says_why_not() -> None:
    """In one table alone; whoever is drawn names what the spread rests on."""
    tables = [set(spread_rows()), set(never_drawn()), set(not_of_a_trip())]
    assert set(assumptions()) == set().union(*tables)
    assert sum(map(len, tables)) == len(assumptions())
    assert all(len(row.basis.split()) >= 4 for row in spread_rows().values())
    assert all(never_drawn().values())


# "figures that records bear on": what a stopwatch record names besides the tool is a rate, a person and a wood
BY_RECORDS = {
    *("saw_rate", "chop_rate", "chop_rate_thin", "cleave_rate", "carve_minutes"),
    *("pace", "residual_saw", "residual_chop", "residual_split"),
}


def test_figures_that_records_bear_on_have_one_spread() -> None:
    """So that they are normal together on the scale of the logarithm."""
    assert {name for name, row in spread_rows().items() if row.sides == "one"} == BY_RECORDS
    for name in BY_RECORDS:
        spread = spread_of_assumption(name)
        assert (spread.transform, spread.below) == ("log", spread.above)


@pytest.mark.parametrize("name", sorted(spread_rows()))
def test_draws_stay_within_hard_limits(name: str) -> None:
    """And within a band lie nine draws in ten: ten in 4,096 more or fewer, where each side has its own spread."""
    row, spread, count = assumptions()[name], spread_of_assumption(name), 4096
    drawn = spread.at(normal_draws(name=name, count=count, seed=1))
    for each in (drawn, spread.at(fresh_normal_draws(name=name, count=count, seed=1)), spread.at(np.array([-9.0, 9]))):
        assert row.hard_low <= each.min()
        assert each.max() <= row.hard_high
    if spread_rows()[name].sides == "two":
        assert np.sum((drawn < row.low) | (drawn > row.high)) <= count / 10 + 10
    assert np.median(drawn) == pytest.approx(row.value, rel=1e-3)


def test_each_stratum_of_a_figure_holds_one_draw() -> None:
    """Whatever the figure: by the distribution function of its spread."""
    spread = spread_between(transform="log", value=1, low=0.72, high=1.39, one_sided=True)
    drawn = spread.at(normal_draws(name="pace", count=64, seed=3))
    strata = np.floor(lognorm(spread.above).cdf(drawn) * 64).astype(int)
    assert sorted(strata) == list(range(64))


def test_fresh_draws_are_normal_and_of_another_stream() -> None:
    """Mean and deviation within four standard errors; no correlation with the stratified draws, nor among seeds."""
    count = 4096
    fresh = fresh_normal_draws(name="pace", count=count, seed=1)
    others = [normal_draws(name="pace", count=count, seed=1), fresh_normal_draws(name="pace", count=count, seed=2)]
    assert abs(fresh.mean()) < 4 / np.sqrt(count)
    assert abs(fresh.std() - 1) < 4 / np.sqrt(2 * count)
    assert max(abs(np.corrcoef(fresh, other)[0, 1]) for other in others) < 4 / np.sqrt(count)


def test_hard_limits_cut() -> None:
    spread = Spread("log", 0.85, 0.2, 0.2, 0.2, 1.0)
    assert spread.at(3.0) == 1.0
    assert spread.at(np.array([3.0, -99.0])).tolist() == [1.0, 0.2]
