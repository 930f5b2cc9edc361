"""From the result of a trial to the kit: against every rule there is, and against trials that tell all or nothing."""

from itertools import product

import numpy as np
import pytest

from catalog.tables.number import Bools, Floats
from solver.draws.trial_rule import TrialRule, best_rule

pytestmark = pytest.mark.quick

MASSES = [40_000, 65_000, 90_000]


def world(count: int, seed: int, *, told: float) -> tuple[Floats, Bools]:
    """Draws in which one figure makes work slow; kits bear so much of it; a trial tells it to a degree from 0 to 1."""
    rng = np.random.default_rng(seed)
    slow = rng.standard_normal(count)
    suffices = np.array([slow + 0.3 * rng.standard_normal(count) < bears for bears in (0.1, 0.6, 1.36)])
    return told * slow + (1 - told) * rng.standard_normal(count), suffices


def by_hand(results: Floats, suffices: Bools, confidence: float) -> float:
    """The least expected mass of all rules from quarters of the results to kits that are as sure as asked.

    As the docstring of `best_rule` says it: no lighter kit after a longer time; in each quarter sure by 1.28 standard
    errors, or a kit that does wherever the usual one does.
    """
    quarters = np.argsort(np.argsort(results)) * 4 // len(results)
    usual, best = suffices[2], np.inf
    for rule in product(range(3), repeat=4):
        if list(rule) != sorted(rule):
            continue
        fit, mass, hits = True, 0.0, 0
        for quarter, kit in enumerate(rule):
            mine, own = suffices[kit][quarters == quarter], usual[quarters == quarter]
            wanted = min(confidence, own.mean())
            likely = (wanted * len(mine) + 1) / (len(mine) + 2)
            margin = 1.28 * (likely * (1 - likely) / len(mine)) ** 0.5
            fit &= mine.mean() >= wanted + margin or bool((suffices[kit] >= usual).all())
            hits += int(mine.sum())
            mass += MASSES[kit] * len(mine) / len(results)
        if fit and hits >= min(confidence, usual.mean()) * len(results) - 1e-9:
            best = min(best, mass)
    return best


def expected(rule: TrialRule, results: Floats) -> float:
    return float(np.array(MASSES)[rule.kit_of(results)].mean())


def test_the_best_rule_is_the_best_of_all() -> None:
    differ = 0
    for seed in range(40):
        results, suffices = world(400, seed, told=0.8)
        rule = best_rule(results, suffices, MASSES, usual=2, confidence=0.9)
        assert expected(rule, results) == pytest.approx(by_hand(results, suffices, 0.9))
        assert expected(rule, results) <= MASSES[2]
        does = suffices[rule.kit_of(results), np.arange(400)].mean()
        assert does >= min(0.9, suffices[2].mean()) - 1e-9
        differ += not rule.constant
    assert differ > 30


def test_a_trial_that_tells_nothing_saves_nothing() -> None:
    """Though going by lot between kits would: only chance lets another kit go, in few cases."""
    changed = 0
    for seed in range(60):
        results, suffices = world(2048, seed, told=0.0)
        changed += not best_rule(results, suffices, MASSES, usual=2, confidence=0.9).constant
    assert changed <= 3


def test_what_tells_more_saves_more() -> None:
    saved = []
    for told in (0.4, 0.7, 1.0):
        results, suffices = world(4096, 1, told=told)
        saved.append(MASSES[2] - expected(best_rule(results, suffices, MASSES, usual=2, confidence=0.9), results))
    assert 0 <= saved[0] <= saved[1] <= saved[2]
    assert saved[2] > 15_000
