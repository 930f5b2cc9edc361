"""Random cases along an axis, against every kit of them: lightest kits, steps of weights, fronts."""

from fractions import Fraction
from typing import Literal

import numpy as np
import pytest
from case_axis import EveryKit, random_axis, uncapped

from solver.answers.confidence import Scenarios
from solver.answers.sensitivity import lightest_of
from solver.forms.effort import Effort
from solver.programs.engine import Status
from solver.search.choice import choose
from solver.search.front import front_of

pytestmark = pytest.mark.quick

RUNS = 60
MANY = 20_000


@pytest.mark.parametrize("nodes", [MANY, 3])
@pytest.mark.parametrize("wood", [False, True])
def test_every_step_of_weights_is_that_of_all_kits(nodes: int, *, wood: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the tree and, where it may not end, by the program: masses, exact probabilities, and the scenarios served."""
    monkeypatch.setattr("solver.answers.confidence.MOST_CHANCE_NODES", nodes)
    several = 0
    for number in range(RUNS if nodes == MANY else RUNS // 4):
        rng = np.random.default_rng([71, number, wood])
        cases = random_axis(rng, cases=int(rng.integers(1, 6)), wood=wood)
        spaces = [EveryKit(case) for case in cases]
        parts = rng.integers(1, 4, len(cases)).tolist()
        odds = [Fraction(part, sum(parts)) for part in parts]
        served = np.array([space.keeps for space in spaces])
        weight = np.array(parts) @ served
        scenarios = Scenarios(cases, odds, effort=Effort())
        found = scenarios.steps()
        assert scenarios.checked
        truth = steps(spaces[0].mass, weight)
        assert [(one.mass, one.probability * sum(parts)) for one in found] == truth, number
        for one in found:
            place = next(kit for kit in range(len(weight)) if spaces[0].ids(kit) == one.ids)
            assert one.scenarios == tuple(np.flatnonzero(served[:, place]).tolist()), number
        several += len(truth) > 1
        asked = Fraction(int(rng.integers(1, 10)), 10)
        least = [mass for mass, reached in truth if Fraction(reached, sum(parts)) >= asked]
        one = scenarios.lightest(asked)
        assert (one.mass if one.ids is not None else None) == (least[0] if least else None), number
    assert several >= 4


def steps(mass: np.ndarray, weight: np.ndarray) -> list[tuple[int, int]]:
    """Every mass and weight that no kit no heavier reaches more than."""
    found: list[tuple[int, int]] = []
    for one in sorted({*mass.tolist()}):
        most = int(weight[mass <= one].max())
        if most > (found[-1][1] if found else 0):
            found.append((one, most))
    return found


@pytest.mark.parametrize("against", ["minutes", "price"])
@pytest.mark.parametrize("nodes", [MANY, 3])
def test_the_front_is_that_of_all_kits(
    against: Literal["minutes", "price"], nodes: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both figures of every point, its kit the first of those alike; by the tree and by one point after the other."""
    monkeypatch.setattr("solver.search.front.MOST_FRONT_NODES", {against: nodes})
    several = 0
    for number in range(RUNS if nodes == MANY else RUNS // 2):
        rng = np.random.default_rng([73, number])
        case = random_axis(rng, cases=1, wood=number % 2 == 0)[0]
        case = uncapped(case) if against == "minutes" else case
        space = EveryKit(case)
        second = space.ms if against == "minutes" else space.price
        kits = np.flatnonzero(space.keeps).tolist()
        front = [
            (int(space.mass[a]), int(second[a]))
            for a in kits
            if not any(
                space.mass[b] <= space.mass[a]
                and second[b] <= second[a]
                and (space.mass[b], second[b]) != (space.mass[a], second[a])
                for b in kits
            )
        ]
        found = front_of(case, against=against, effort=Effort())
        assert found.complete
        assert found.checked
        told = [(one.choice.mass, one.load.work if against == "minutes" else one.price) for one in found.points]
        assert told == sorted(set(front)), number
        for point, figures in zip(found.points, told, strict=True):
            alike = [a for a in kits if (int(space.mass[a]), int(second[a])) == figures]
            first = min(alike, key=lambda a: (space.ms[a], space.kits[a].sum(), space.ids(a)))
            assert point.choice.ids == space.ids(first), number
        several += len(told) > 1
    assert several >= 4


@pytest.mark.parametrize("wood", [False, True])
def test_the_lightest_of_each_case_is_that_of_all_kits(*, wood: bool) -> None:
    """One case by itself and several side by side: mass, then the day, the number of tools and ids."""
    covered = 0
    for number in range(RUNS):
        rng = np.random.default_rng([79, number, wood])
        cases = random_axis(rng, cases=1, wood=wood) * 2 if number % 3 == 0 else random_axis(rng, cases=1, wood=wood)
        for case, both in zip(cases, lightest_of(cases, 0, effort=Effort()), strict=True):
            space = EveryKit(case)
            kits = np.flatnonzero(space.keeps).tolist()
            best = min(
                kits, key=lambda a: (space.mass[a], space.ms[a], space.kits[a].sum(), space.ids(a)), default=None
            )
            for found in [choose(case), *([] if both is None else [both])]:
                assert (found.status is Status.INFEASIBLE) == (best is None), number
                assert best is None or found.ids == space.ids(best), number
            covered += best is not None
    assert covered > RUNS / 4
