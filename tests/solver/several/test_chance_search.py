"""Scenarios side by side, up to forty of them, against every kit: steps, the kit at any weight, the next kits."""

from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from case_axis import random_axis
from chance_axis import EveryKitOfAxis

from solver.answers.confidence import Scenarios
from solver.forms.effort import Effort
from solver.model.case import Case
from solver.several import chance_search
from solver.several.chance_bounds import ChanceBounds, ChanceLook
from solver.several.chance_front import ChanceFront, ChanceKit
from solver.several.chance_search import ChanceSearch

pytestmark = pytest.mark.quick

AXES = 12
MOST_CASES = 40
NEXT = 3


def drawn(number: int, *, wood: bool) -> tuple[np.random.Generator, list[Case], list[int]]:
    """An axis with weights; in some they are alike, in some far apart."""
    rng = np.random.default_rng([97, number, wood])
    cases = random_axis(rng, cases=int(rng.integers(1, MOST_CASES + 1)), wood=wood)
    return rng, cases, rng.integers(1, int(rng.choice([2, 4, 60])), len(cases)).tolist()


def expect_every_kit(number: int, *, wood: bool) -> tuple[int, int]:
    """Steps, the lightest at a drawn weight and the next kits are those of all kits; how many steps and next kits."""
    rng, cases, weights = drawn(number, wood=wood)
    every, total = EveryKitOfAxis(cases, weights), sum(weights)
    odds = [Fraction(weight, total) for weight in weights]
    quota = int(rng.integers(1, total + 1))
    cutting = frozenset(np.array(cases[0].ids)[rng.random(cases[0].tools) < 0.7].tolist())
    scenarios = Scenarios(cases, odds, effort=Effort(), spare=NEXT, cutting=cutting)
    found = scenarios.likely(Fraction(quota, total), number=NEXT)
    assert found.whole
    assert found.others_whole
    assert found.checked
    assert [(one.mass, one.probability * total) for one in found.steps] == every.steps(), number
    for one in [*found.steps, *found.others]:
        assert one.ids is not None
        assert one.scenarios == tuple(np.flatnonzero(every.served[:, every.ids.index(one.ids)]).tolist()), number
    listed: list[tuple[str, ...]] = []
    for one in [found.best, *found.others]:
        least = every.lightest(quota, listed, cutting)
        assert least == (None if one.ids is None else (one.mass, -one.probability * total)), number
        listed.append(one.ids or ())
    if found.best.ids is not None and len(found.others) < NEXT:
        assert every.lightest(quota, listed, cutting) is None, number
    return len(found.steps), len(found.others)


@pytest.mark.parametrize("wood", [False, True])
def test_steps_quotas_and_next_kits_are_those_of_all_kits(*, wood: bool) -> None:
    """Fresh axes of one to forty cases."""
    told = np.array([expect_every_kit(number, wood=wood) for number in range(AXES)])
    assert (told > 1).sum(axis=0).min() >= 3


@pytest.mark.parametrize("wood", [False, True])
def test_blocks_of_cases_and_tools_weighed_one_by_one_change_nothing(
    *, wood: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Three cases in a block, and no more than two tools weighed all against all."""
    monkeypatch.setattr("solver.model.case_blocks.MOST_IN_BLOCK", 3)
    monkeypatch.setattr("solver.model.axis_reduction.ALL_AGAINST_ALL", 2)
    monkeypatch.setattr("solver.model.reduction.ALL_AGAINST_ALL", 2)
    monkeypatch.setattr("solver.several.chance_bounds._BLOCK", 40)
    for number in range(100, 100 + AXES // 2):
        expect_every_kit(number, wood=wood)


def test_cases_that_not_all_tools_together_serve_are_left_out_without_a_loss(monkeypatch: pytest.MonkeyPatch) -> None:
    """Since tools wear out; sought as soon as one walk finds nothing more, and found in some of the axes."""
    monkeypatch.setattr("solver.several.chance_search._STALLED", 2)
    leave, left = ChanceSearch.leave_hopeless, list[int]()

    def watched(search: ChanceSearch, root: Any, front: ChanceFront) -> None:
        before = len(root.cases)
        leave(search, root, front)
        left.append(before - len(root.cases))

    monkeypatch.setattr(ChanceSearch, "leave_hopeless", watched)
    for number in range(300, 300 + AXES):
        expect_every_kit(number, wood=number % 2 == 0)
    assert max(left) > 0 == min(left)


@pytest.mark.parametrize("looks", [0, 3, 300])
def test_no_step_up_to_an_end_is_missing_whatever_few_looks_are_beyond_it(
    monkeypatch: pytest.MonkeyPatch, looks: int
) -> None:
    """Against every kit, with ends at and beside the masses of steps; what is told goes as far as it says."""
    monkeypatch.setattr(chance_search, "_BEYOND", looks)
    stopped = list[bool]()
    for number in range(400, 400 + AXES):
        rng, cases, weights = drawn(number, wood=number % 2 == 0)
        steps, total = EveryKitOfAxis(cases, weights).steps(), sum(weights)
        odds = [Fraction(weight, total) for weight in weights]
        ends = [0, *(mass + more for mass, _ in steps for more in (-1, 0, 1))]
        for end in rng.choice(ends, 3).tolist():
            scenarios = Scenarios(cases, odds, effort=Effort())
            found, whole, exact = scenarios.proven_steps(Fraction(1), Fraction(1), heaviest=end)
            assert whole
            reached = [one for one in steps if exact is None or one[0] <= exact]
            assert [(one.mass, one.probability * total) for one in found] == reached, number
            assert exact is None or exact >= end, number
            stopped.append(exact is not None)
            again, _, last = scenarios.proven_steps(Fraction(1), Fraction(1))
            assert ([(one.mass, one.probability * total) for one in again], last) == (steps, None)
    assert set(stopped) == ({True, False} if looks < 300 else {False})


def test_a_smaller_weight_asked_for_later_is_answered_as_if_it_came_first() -> None:
    """One search, asked for weights in any order."""
    for number in range(200, 206):
        rng, cases, weights = drawn(number, wood=False)
        every, total = EveryKitOfAxis(cases, weights), sum(weights)
        scenarios = Scenarios(cases, [Fraction(weight, total) for weight in weights], effort=Effort())
        for quota in rng.integers(1, total + 1, 4).tolist():
            one = scenarios.lightest(Fraction(quota, total))
            assert every.lightest(quota) == (None if one.ids is None else (one.mass, -one.probability * total)), number


def test_a_watcher_is_told_of_work_again_and_again() -> None:
    """At least as often as there are steps; whoever watches changes nothing."""
    _, cases, weights = drawn(3, wood=False)
    told, odds = list[int](), [Fraction(weight, sum(weights)) for weight in weights]
    watched = Scenarios(cases, odds, effort=Effort(on_solve=lambda: told.append(1))).likely(None)
    assert watched == Scenarios(cases, odds, effort=Effort()).likely(None)
    assert len(told) >= len(watched.steps) > 1


def test_steps_end_with_the_lightest_that_serves_enough_whatever_was_met_before() -> None:
    """A heavier one known from another question is no step of this one."""
    heavier, lighter = ChanceKit(frozenset({1}), 125, 27), ChanceKit(frozenset({2}), 120, 24)
    front = ChanceFront(24, 24)
    front.take(heavier)
    front.take(lighter)
    assert (front.kits, front.most) == ([lighter], 120)


def test_one_kit_may_count_where_it_does_among_many() -> None:
    """Told of one by a look-up and of many by arrays, at the masses and weights of the kits and just beside them."""
    seen = 0
    for number in range(20):
        rng = np.random.default_rng([131, number])
        front = ChanceFront(int(rng.integers(1, 5)), int(rng.integers(10, 15)))
        front.floor = int(rng.integers(0, 12))
        for mass, weight in zip(rng.integers(0, 20, 6).tolist(), rng.integers(1, 18, 6).tolist(), strict=True):
            if front.wanted(mass, weight):
                front.take(ChanceKit(frozenset({mass}), mass, weight))
        masses, weights = (each.ravel() for each in np.meshgrid(np.arange(22), np.arange(20)))
        one_by_one = [
            front.wanted(mass, weight) for mass, weight in zip(masses.tolist(), weights.tolist(), strict=True)
        ]
        assert front.wants(masses, weights).tolist() == one_by_one
        seen += any(one_by_one) and not all(one_by_one)
    assert seen >= 5


@pytest.mark.parametrize("wood", [False, True])
def test_prices_from_the_first_look_on_leave_out_no_kit(*, wood: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """They keep kits from cases in some of the axes."""
    monkeypatch.setattr(chance_search, "_UNPRICED", 1)
    monkeypatch.setattr("solver.several.chance_bounds._PRICED_BLOCK", 200)
    look, kept_out = ChanceBounds.look, list[bool]()

    def watched(*args: Any, **kwargs: Any) -> ChanceLook:
        found = look(*args, **kwargs)
        kept_out.append(bool(found.priced.any()))
        return found

    monkeypatch.setattr(ChanceBounds, "look", watched)
    for number in range(500, 500 + AXES):
        expect_every_kit(number, wood=wood)
    assert any(kept_out)


@pytest.mark.parametrize("wood", [False, True])
def test_no_kit_is_lighter_than_prices_say_where_it_serves(*, wood: bool) -> None:
    """Every kit in every case that it serves; and the lightest of many a case is no third heavier."""
    close = list[bool]()
    for number in range(600, 600 + AXES):
        _, cases, weights = drawn(number, wood=wood)
        every = EveryKitOfAxis(cases, weights)
        scenarios = Scenarios(cases, [Fraction(weight, sum(weights)) for weight in weights], effort=Effort())
        search = scenarios.search
        search.bounds.price(search.rules.tools(search.must), effort=Effort())
        prices = search.bounds.prices
        assert prices is not None
        for place, ids in enumerate(every.ids):
            if not set(ids) <= set(scenarios.case.ids):
                continue
            good = np.flatnonzero(every.served[:, place])
            tools = search.rules.tools(search.rules.of(scenarios.case.kit(ids)))
            assert (prices.least(tools, good) <= every.mass[place]).all(), (number, ids)
        for case, base in zip(every.served, prices.base, strict=True):
            close += [bool(every.mass[case].min() <= base * 4 / 3)] if case.any() else []
    assert np.mean(close) > 1 / 4
