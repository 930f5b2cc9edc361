"""The day's work of a kit on cases small enough to share out by hand, in milliseconds and kcal."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from stated_trips import KNIFE, own

from solver import Trip
from solver.model.case import FIXED, NEVER, Case, Firewood, Renewal
from solver.model.day_work import Workload, workload
from solver.model.engine import Effort
from solver.needs.question import question_of

MS_PER_MIN = 60_000
LONG, SHORT = 6 * MS_PER_MIN, MS_PER_MIN  # ms
NO = int(NEVER)


def case_of(work: list[list[int]], *, minutes: float = 90, **more: Any) -> Case:
    """Tools a, b, ... against jobs with a fixed amount, where nothing else is said, in so many minutes."""
    limited = question_of(Trip.model_validate(own(KNIFE, limits={"work_min_per_day": minutes}))).case
    times = np.array(work, dtype=np.int64)
    jobs, workers = times.shape
    figures: dict[str, Any] = {
        "ids": tuple("abcdef"[:workers]),
        "mass": np.full(workers, 100, dtype=np.int64),
        "price": np.zeros(workers, dtype=np.int64),
        "work": times,
        "able": times < NEVER,
        "backup": np.zeros(jobs, dtype=np.int64),
        "wood_class": np.full(jobs, FIXED),
        "wear": np.zeros(times.shape),
        "kcal": np.where(times < NEVER, times, 0) / 100.0,
    }
    return replace(limited, **figures | more)


def day(case: Case, *tools: str, **more: Any) -> Workload | None:
    """The day of a kit."""
    return workload(case, case.kit(tools), effort=Effort(), **more)


def found(case: Case, *tools: str, **more: Any) -> Workload:
    """The day of a kit that does every job."""
    load = day(case, *tools, **more)
    assert load is not None
    return load


def test_each_job_goes_to_its_fastest_worker_in_the_kit() -> None:
    """Ties to the first; the kcal are those of who does it."""
    case = case_of([[LONG, SHORT, SHORT], [SHORT, LONG, NO]], kcal=np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 0.0]]))
    both = found(case, "a", "b", "c")
    assert (both.work, both.kcal, both.done, both.kg) == (2 * SHORT, 6.0, {(0, 1): 1.0, (1, 0): 1.0}, {})
    assert found(case, "a", "c").done == {(0, 2): 1.0, (1, 0): 1.0}
    assert found(case, "b").work == SHORT + LONG
    assert day(case, "c") is None
    assert day(case) is None


def test_no_jobs_are_no_work() -> None:
    """Whoever goes."""
    case = case_of([[SHORT]]).only_jobs(np.array([], dtype=np.int64))
    assert found(case, "a") == found(case) == Workload(0.0, 0.0, {}, {})


WOOD = Firewood(
    demand_kg=5.0,
    reach_kg=np.array([2.0, 9.0, 4.0]),
    gather=np.array([100, 300, 900], dtype=np.int64),
    gather_kcal=np.array([1.0, 2.0, 3.0]),
)


def wood_case(**more: Any) -> Case:
    """One fixed job, and three classes of firewood with a job each, the first with two."""
    work = [[SHORT, NO], [50, NO], [NO, 60], [500, 700], [100, 200]]
    kcal = np.array([[10.0, 0.0], [0.5, 0.0], [0.0, 0.25], [4.0, 6.0], [5.0, 7.0]])
    return case_of(work, wood_class=np.array([FIXED, 0, 0, 1, 2]), kcal=kcal, **{"firewood": WOOD} | more)


def test_firewood_comes_from_the_quickest_classes_as_far_as_they_reach() -> None:
    """Classes take 210, 800 and 1,000 ms a kilogram: 2 kg of the first, 3 kg of the second."""
    load = found(wood_case(), "a", "b")
    assert load.work == SHORT + 2 * 210 + 3 * 800
    assert load.kcal == pytest.approx(10 + 2 * 1.75 + 3 * 6)
    assert load.kg == {0: 2.0, 1: 3.0}
    assert load.done == {(0, 0): 1.0, (1, 0): 2.0, (2, 1): 2.0, (3, 0): 3.0}


def test_a_class_counts_only_where_each_of_its_jobs_has_a_worker() -> None:
    """Without b the first class can't be worked; the others reach."""
    load = found(wood_case(), "a")
    assert (load.work, load.kg) == (SHORT + 5 * 800, {1: 5.0})
    assert day(wood_case(), "b") is None
    lacking = Firewood(14.0, WOOD.reach_kg, WOOD.gather, WOOD.gather_kcal)
    assert found(wood_case(firewood=lacking), "a", "b").work == SHORT + 2 * 210 + 9 * 800 + 3 * 1000
    assert day(wood_case(firewood=lacking), "a") is None


def worn(share: float) -> np.ndarray:
    """The first tool wears by a share of its life over the first job, half of that over the second."""
    return np.array([[share, 0.0], [share / 2, 0.0]])


def test_a_tool_that_wears_out_leaves_the_rest_to_the_others() -> None:
    """a lasts for two thirds of 1.5 lives: the job that costs it most time a life saved goes to b."""
    case = case_of([[SHORT, LONG], [SHORT, LONG]], wear=worn(1.0))
    load = found(case, "a", "b")
    # Both jobs spend 1.5 lives: half a life of the first, whose life costs 5 minutes against 10, goes to b.
    assert load.work == pytest.approx(2 * SHORT + 0.5 * (LONG - SHORT))
    assert load.done == {(0, 0): pytest.approx(0.5), (0, 1): pytest.approx(0.5), (1, 0): pytest.approx(1.0)}
    assert day(case, "a") is None
    assert found(case_of([[SHORT, LONG], [SHORT, LONG]], wear=worn(2 / 3)), "a").work == 2 * SHORT


def test_a_sharpener_renews_without_end_and_a_spare_by_its_own_life() -> None:
    """b as either; a spends 1.5 lives."""
    work = [[SHORT, NO], [SHORT, NO]]
    nobody, itself = np.array([False, False]), np.array([False, True])
    for renewal, works in (
        (Renewal(0, itself), True),
        (Renewal(0, nobody, {1: 0.5}), True),
        (Renewal(0, nobody, {1: 0.49}), False),
        (Renewal(1, itself), False),
    ):
        case = case_of(work, wear=worn(1.0), renewals=(renewal,))
        assert (day(case, "a", "b") is not None) == works
        assert day(case, "a") is None


@pytest.mark.parametrize(("minutes", "work_min", "kcal"), [(90, 6, 1.0), (6, 6, 1.0), (3.5, 3.5, 5.5)])
def test_the_least_kcal_within_the_work_limit(minutes: float, work_min: float, kcal: float) -> None:
    """a is slow and easy, b quick and hard; in 3.5 minutes half goes to each."""
    case = case_of([[LONG, SHORT]], kcal=np.array([[1.0, 10.0]]), minutes=minutes)
    load = found(case, "a", "b", by_kcal=True)
    assert load.work == pytest.approx(work_min * MS_PER_MIN, abs=1)
    assert load.kcal == pytest.approx(kcal, abs=1e-3)
    assert found(case, "a", "b").work == SHORT


def test_of_days_of_the_least_kcal_the_shortest_counts() -> None:
    """Equal kcal."""
    case = case_of([[LONG, SHORT]], kcal=np.array([[3.0, 3.0]]))
    assert found(case, "a", "b", by_kcal=True).work == pytest.approx(SHORT)
    assert day(case_of([[LONG, NO]], minutes=6 - 2 / MS_PER_MIN), "a", by_kcal=True) is None
