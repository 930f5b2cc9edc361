"""The likeliest figures and their distribution, held against sampling and against a general minimiser."""

import numpy as np
import pytest
from sampled_trials import Records, log_density, sampled
from scipy.optimize import minimize

from catalog.trials.gauss_newton import LatentModel, fitted

pytestmark = pytest.mark.quick

NONE = -1


def sets() -> list[tuple[str, LatentModel]]:
    """Small sets: scores first, then rate, pace of two, handling, wood; errors invented."""
    rng = np.random.default_rng(8)
    found = []
    for name, tools, count, spoilt in (
        ("one tool", 1, 4, False),
        ("three tools", 3, 12, False),
        ("spoilt", 2, 9, True),
    ):
        places = np.arange(count)
        error = 0.12 * rng.normal(size=count) - 0.3
        error[0] += 1.1 if spoilt else 0.0
        whole = places % 2 == 0 if tools == 3 else np.zeros(count, dtype=bool)
        cutting, handling = np.full(count, 2.0), np.where(whole, 0.7, 0.0)
        found.append(
            (
                name,
                LatentModel(
                    log_minutes=np.log(cutting + handling) + error,
                    handling=handling,
                    cutting=cutting,
                    own=places % tools if tools < 3 else np.where(places % 3 == 2, NONE, places % 3),
                    rate=np.zeros(count, dtype=np.int64),
                    wood=np.where(places % 4 == 1, 4, NONE),
                    hand=np.where(whole, 3, NONE),
                    person=1 + places % 2,
                    skill=np.full(count, NONE),
                    own_sd=np.full(min(tools, 2), 0.2),
                    shared_sd=np.array([0.37, 0.2, 0.2, 0.6, 0.25]),
                    spread=0.16,
                    freedom=6.4,
                    spoilt_share=0.1,
                    spoilt_spread=float(np.log(2)),
                ),
            )
        )  # fmt: skip
    return found


def records_of(model: LatentModel) -> Records:
    """The same set in the words of the sampler."""
    own = len(model.own_sd)

    def shared(places: np.ndarray) -> np.ndarray:
        return np.where(places >= 0, places + own, NONE)

    return Records(
        model.log_minutes,
        model.handling,
        model.cutting,
        slower=shared(model.wood)[:, None],
        faster=np.stack([model.own, shared(model.rate)], axis=1),
        hand=shared(model.hand),
        pace=np.stack([shared(model.person), shared(model.skill)], axis=1),
        sd=np.append(model.own_sd, model.shared_sd),
        spread=model.spread,
        freedom=model.freedom,
        spoilt_share=model.spoilt_share,
        spoilt_spread=model.spoilt_spread,
    )


@pytest.mark.parametrize(("name", "model"), sets())
def test_medians_and_ends_are_those_of_sampling(name: str, model: LatentModel) -> None:
    """Within a fifth of a standard deviation, and ends within 15 % of the width: two or three sampling errors."""
    fit = fitted(model, go_on=lambda: None)
    draws = sampled(records_of(model), steps=900, walkers=80, seed=1)
    middle, low, high = np.quantile(draws, (0.5, 0.05, 0.95), axis=0)
    told = np.append(fit.own, fit.shared)
    sd = np.sqrt(np.append(fit.own_variance, fit.shared_variance))
    assert np.all(np.abs(told - middle[:-1]) < 0.2 * sd), name
    width = high[:-1] - low[:-1]
    assert np.all(np.abs(told - 1.645 * sd - low[:-1]) < 0.15 * width), name
    assert np.all(np.abs(told + 1.645 * sd - high[:-1]) < 0.15 * width), name
    assert np.exp(middle[-1]) == pytest.approx(fit.spread, rel=0.15)


@pytest.mark.parametrize(("name", "model"), sets())
def test_no_reading_nearby_is_likelier(name: str, model: LatentModel) -> None:
    """By scipy's minimiser on the density written in the sampler, at the same spread of good records."""
    fit, one = fitted(model, go_on=lambda: None), records_of(model)
    told = np.append(fit.own, fit.shared)

    def cost(latent: np.ndarray) -> float:
        return -float(log_density(one, np.append(latent, np.log(fit.spread))[None, :])[0])

    best = minimize(cost, told, method="BFGS")
    assert cost(told) <= best.fun + 1e-3, name
    assert np.allclose(told, best.x, atol=0.02), name


def test_a_spoilt_record_is_told_and_the_others_are_not() -> None:
    fit = fitted(dict(sets())["spoilt"], go_on=lambda: None)
    assert fit.spoilt[0] > 0.9
    assert np.all(fit.spoilt[1:] < 0.5)


def test_what_nobody_waits_for_ends() -> None:
    class Gone(Exception):
        pass

    def gone() -> None:
        raise Gone

    with pytest.raises(Gone):
        fitted(sets()[0][1], go_on=gone)
