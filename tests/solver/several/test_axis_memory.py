"""Thousands of tools by hundreds of cases: what a search over kits holds of them at once."""

import tracemalloc
from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import pytest

from solver.answers.confidence import Scenarios
from solver.forms.effort import Effort
from solver.model.axis_reduction import outline_of
from solver.model.case import EDGE, FIXED, NEVER, Case

pytestmark = pytest.mark.quick

TOOLS, JOBS, CASES = 20_000, 2, 300
MOST_MB = 80  # one array of all times would take 96
SOME, FEW_CASES = 6_000, 20
SOME_MB = 25  # whether each of these dominates each, while it is counted, takes 88
BYTES = 8


class DrawnAxis:
    """Cases made when they are asked for: the same speeds of the tools, other amounts and reaches."""

    def __init__(self, tools: int = TOOLS, cases: int = CASES, *, dearer: bool = False) -> None:
        """Begin with so many of each; `dearer`: tools weigh the more the faster they are."""
        rng = np.random.default_rng(5)
        self.cases, self.speed, self.mass = cases, rng.integers(5, 60, (JOBS, tools)), rng.integers(100, 90_000, tools)
        if dearer:
            self.mass = 4_000_000 // self.speed.sum(axis=0) + self.mass // 10
        self.ids = tuple(f"t{number:05d}" for number in range(tools))
        self.none = np.zeros((JOBS, tools), dtype=np.int64)

    def __len__(self) -> int:
        return self.cases

    def block(self, first: int, last: int) -> Sequence[Case]:
        """Cases, made anew."""
        return [self.case(place) for place in range(first, last)]

    def case(self, place: int) -> Case:
        """A case with a limit that binds."""
        rng = np.random.default_rng([6, place])
        work = self.speed * rng.integers(50, 200, (JOBS, 1))
        able = work < rng.integers(4000, 9000)
        return Case(
            ids=self.ids,
            mass=self.mass,
            price=self.none[0],
            work=np.where(able, work, NEVER),
            able=able,
            backup=np.zeros(JOBS, dtype=np.int64),
            wood_class=np.full(JOBS, FIXED),
            wear=self.none,
            kcal=self.none,
            part=self.none + EDGE,
            caps={"work_min_per_day": 9000},
        )


def test_tools_by_cases_never_stand_in_one_array() -> None:
    """The kit is that of the few tools that are left; memory stays below that of all times, kits checked or not."""
    assert TOOLS * JOBS * CASES * BYTES > MOST_MB * 10**6
    axis = DrawnAxis()
    odds = [Fraction(1, CASES)] * CASES
    tracemalloc.start()
    try:
        scenarios = Scenarios(axis, odds, effort=Effort())
        found = scenarios.likely(Fraction(8, 10))
        assert len(scenarios.search_at(CASES - 1).case.ids) == len(scenarios.kept)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert found.checked
    assert len(scenarios.kept) < TOOLS / 50
    assert peak < MOST_MB * 10**6
    assert found.best.ids is not None
    kit = axis.case(0).kit(found.best.ids)
    good = [axis.case(place).work[:, sorted(kit)].min(axis=1).sum() <= 9000 for place in range(CASES)]
    assert sum(good) >= CASES * 8 / 10
    assert found.best.scenarios == tuple(np.flatnonzero(good).tolist())


def test_dominators_of_thousands_of_tools_are_few_in_memory() -> None:
    """Of tools that hardly dominate each other; each that is set aside has enough dominators in every case."""
    axis, spare = DrawnAxis(SOME, FEW_CASES, dearer=True), 3
    tracemalloc.start()
    try:
        kept = outline_of(axis, spare=spare, effort=Effort()).kept
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert SOME / 50 < len(kept) < SOME / 2
    assert peak < SOME_MB * 10**6
    rows = np.concatenate([axis.mass[None], *(np.minimum(axis.case(place).work, NEVER) for place in range(FEW_CASES))])
    for tool in np.setdiff1d(np.arange(SOME), kept)[::50].tolist():
        others = np.delete(np.arange(SOME), tool)
        assert (rows[:, others] <= rows[:, [tool]]).all(axis=0).sum() > spare, tool
