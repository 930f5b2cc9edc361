"""Covers with two costs against every set of columns: pairs, ties, limits; bounds that hold whatever a solver says."""

from threading import Event
from typing import Any

import numpy as np
import pytest

from solver.covers import weighted_bounds
from solver.covers.cover_sweeps import non_dominated_covers
from solver.covers.weighted_bounds import WeightedBounds
from solver.forms.effort import Cancelled, Effort

pytestmark = pytest.mark.quick

RUNS = 150
NO_LIMIT = (10**9, 10**9)


def drawn(number: int) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Up to nine columns with two costs, often equal ones, and up to six rows; some rows nobody serves."""
    rng = np.random.default_rng([97, number])
    columns, rows = int(rng.integers(1, 10)), int(rng.integers(0, 7))
    most = int(rng.choice([3, 10, 5_000]))
    first, second = rng.integers(0, most, columns), rng.integers(0, int(rng.choice([2, most])), columns)
    second[first == 0] += 1
    return first, second, rng.random((rows, columns)) < rng.choice([0.3, 0.5, 0.8])


def every_set(columns: int) -> np.ndarray:
    """All sets of columns."""
    sets: np.ndarray = (np.arange(2**columns)[:, None] >> np.arange(columns) & 1).astype(bool)
    return sets


def truth(
    first: np.ndarray, second: np.ndarray, serves: np.ndarray, most: tuple[int, int]
) -> dict[tuple[int, int], set[frozenset[int]]]:
    """Each pair that no cover beats, with all its covers."""
    found: dict[tuple[int, int], set[frozenset[int]]] = {}
    for one in every_set(len(first)):
        pair = int(first[one].sum()), int(second[one].sum())
        if serves[:, one].any(axis=1).all() and pair[0] <= most[0] and pair[1] <= most[1]:
            found.setdefault(pair, set()).add(frozenset(np.flatnonzero(one).tolist()))
    beaten = {a for a in found if any(b != a and b[0] <= a[0] and b[1] <= a[1] for b in found)}
    return {pair: found[pair] for pair in sorted(found) if pair not in beaten}


@pytest.mark.parametrize("fewest", [200, 13])
def test_the_pairs_and_their_covers_are_those_of_all_sets(fewest: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Also where the first sweeps leave parts out, a part at a time is made, and limits hold."""
    monkeypatch.setattr("solver.covers.cover_sweeps._FEWEST", fewest)
    monkeypatch.setattr("solver.covers.cover_sweeps._BLOCK", 1 if fewest < 200 else 50_000)
    several = tied = none = 0
    for number in range(RUNS):
        first, second, serves = drawn(number)
        limits = (NO_LIMIT, (int(first.sum()) // 2, int(second.sum())), (int(first.sum()), int(second.sum()) // 2))
        most = limits[number % 3]
        wanted = truth(first, second, serves, most)
        found = non_dominated_covers(first, second, serves, most=most, effort=Effort())
        assert found is not None
        assert [(one.first, one.second) for one in found] == list(wanted), number
        for one in found:
            assert len(one.covers) == len(set(one.covers)), number
            assert set(one.covers) == wanted[one.first, one.second], number
        several += len(wanted) > 1
        tied += any(len(covers) > 1 for covers in wanted.values())
        none += not wanted
    assert min(several, tied, none) >= 8


@pytest.mark.parametrize("told", ["as proposed", "nonsense"])
def test_no_completion_of_a_part_goes_under_its_bounds(told: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of every part and everything that completes it, by every weight; also where the solver proposes nonsense."""
    rng = np.random.default_rng(5)
    if told == "nonsense":

        def nonsense(proposed: Any, cost: Any, serves: Any, unit: int) -> Any:
            noise = rng.normal(0, 10, len(proposed)) * cost.max() / unit
            noise[rng.random(len(proposed)) < 0.2] = np.nan
            return fitted(noise, cost, serves, unit)

        fitted = weighted_bounds._fitted
        monkeypatch.setattr(weighted_bounds, "_fitted", nonsense)
    reached = 0
    for number in range(40):
        first, second, serves = drawn(number)
        if not serves.any(axis=1).all() or len(first) > 7:
            continue
        bounds = WeightedBounds(first, second, serves, effort=Effort())
        sets = every_set(len(first))
        served = (sets @ serves.T.astype(int)) > 0
        least = bounds.least(sets @ first, sets @ second, served)
        sums = bounds.reach(sets @ first, sets @ second)
        for place, part in enumerate(sets):
            beyond = served.all(axis=1) & (sets | ~part).all(axis=1)
            assert (sums[beyond] >= least[place]).all(), number
            reached += int((sums[beyond] == least[place]).any()) if beyond.any() else 0
    assert reached > 100


def test_what_takes_too_much_is_left_to_others() -> None:
    """Too few parts allowed, no time, sums too large for exact floats; whoever leaves ends it."""
    rng = np.random.default_rng(11)
    first, second, serves = rng.integers(1, 90, 40), rng.integers(1, 90, 40), rng.random((12, 40)) < 0.2
    serves[:, 0] = True
    assert non_dominated_covers(first, second, serves, most=NO_LIMIT, effort=Effort(nodes=20)) is None
    late = Effort(clock=lambda: 0.0, until=-1.0)
    assert non_dominated_covers(first, second, serves, most=NO_LIMIT, effort=late) is None
    assert non_dominated_covers(first * 2**40, second, serves, most=NO_LIMIT, effort=Effort()) is None

    gone = Event()
    gone.set()
    with pytest.raises(Cancelled):
        non_dominated_covers(first, second, serves, most=NO_LIMIT, effort=Effort(cancelled=gone))
    with pytest.raises(Cancelled):
        WeightedBounds(first, second, serves, effort=Effort(cancelled=gone))
