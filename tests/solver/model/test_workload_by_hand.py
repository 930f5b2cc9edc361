"""The day's work of a kit on cases small enough to share out by hand, in milliseconds and kcal."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np
import pytest
from stated_trips import KNIFE, own

from solver import Trip
from solver.forms.effort import Effort
from solver.model.case import EDGE, FIXED, NEVER, Case, Renewal
from solver.model.day_work import NO_WORK, Workload, workload
from solver.model.firewood import Firewood
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
        "wear": np.zeros(times.shape, dtype=np.int64),
        "kcal": np.where(times < NEVER, times, 0) * 10_000,
        "part": np.full(times.shape, EDGE),
    }
    return replace(limited, **figures | more)


def millionths(figures: Any) -> Any:
    """Kcal or lives as whole millionths, rounded."""
    return np.rint(np.array(figures) * 1e6).astype(np.int64)


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
    case = case_of(
        [[LONG, SHORT, SHORT], [SHORT, LONG, NO]], kcal=millionths(np.array([[1.0, 2.0, 3.0], [4.0, 5.0, 0.0]]))
    )
    both = found(case, "a", "b", "c")
    assert (both.work, both.kcal, both.done, both.kg) == (2 * SHORT, 6_000_000, {(0, 1, 0): 1.0, (1, 0, 0): 1.0}, {})
    assert found(case, "a", "c").done == {(0, 2, 0): 1.0, (1, 0, 0): 1.0}
    assert found(case, "b").work == SHORT + LONG
    assert day(case, "c") is None
    assert day(case) is None


def test_no_jobs_are_no_work() -> None:
    """Whoever goes."""
    case = case_of([[SHORT]]).only_jobs(np.array([], dtype=np.int64))
    assert found(case, "a") == found(case) == NO_WORK


WOOD = Firewood(
    demand_g=5000,
    reach_g=np.array([2000, 9000, 4000]),
    gather=np.array([100, 300, 900], dtype=np.int64),
    gather_kcal=np.array([1_000_000, 2_000_000, 3_000_000]),
)


def wood_case(**more: Any) -> Case:
    """One fixed job, and three classes of firewood with a job each, the first with two."""
    work = [[SHORT, NO], [50, NO], [NO, 60], [500, 700], [100, 200]]
    kcal = millionths([[10.0, 0.0], [0.5, 0.0], [0.0, 0.25], [4.0, 6.0], [5.0, 7.0]])
    return case_of(work, wood_class=np.array([FIXED, 0, 0, 1, 2]), kcal=kcal, **{"firewood": WOOD} | more)


def test_firewood_comes_from_the_quickest_classes_as_far_as_they_reach() -> None:
    """Classes take 210, 800 and 1,000 ms a kilogram: 2 kg of the first, 3 kg of the second."""
    load = found(wood_case(), "a", "b")
    assert load.work == SHORT + 2 * 210 + 3 * 800
    assert load.kcal == pytest.approx(1e6 * (10 + 2 * 1.75 + 3 * 6))
    assert load.kg == {0: 2.0, 1: 3.0}
    assert load.done == {(0, 0, 0): 1.0, (1, 0, 0): 2.0, (2, 1, 0): 2.0, (3, 0, 0): 3.0}


def test_a_class_counts_only_where_each_of_its_jobs_has_a_worker() -> None:
    """Without b the first class can't be worked; the others reach."""
    load = found(wood_case(), "a")
    assert (load.work, load.kg) == (SHORT + 5 * 800, {1: 5.0})
    assert day(wood_case(), "b") is None
    lacking = Firewood(14_000, WOOD.reach_g, WOOD.gather, WOOD.gather_kcal)
    assert found(wood_case(firewood=lacking), "a", "b").work == SHORT + 2 * 210 + 9 * 800 + 3 * 1000
    assert day(wood_case(firewood=lacking), "a") is None


def test_of_classes_that_take_equally_long_the_first_counts() -> None:
    """800 ms a kilogram each: 9 kg of the first lie within reach, and 5 are wanted."""
    equal = Firewood(5000, np.array([0, 9000, 9000]), np.array([100, 300, 700], dtype=np.int64), WOOD.gather_kcal)
    assert found(wood_case(firewood=equal), "a").kg == {1: 5.0}


def test_the_order_of_classes_is_that_of_their_times() -> None:
    """1,400 and 200 ms a kilogram; what little there is of a class counts, a gram too."""
    swapped = Firewood(5000, np.array([0, 9000, 4000]), np.array([100, 900, 100], dtype=np.int64), WOOD.gather_kcal)
    load = found(wood_case(firewood=swapped), "a")
    assert (load.work, load.kg) == (SHORT + 4 * 200 + 1 * 1400, {2: 4.0, 1: 1.0})
    for by_kcal in (False, True):
        little = found(wood_case(firewood=replace(WOOD, demand_g=1)), "a", "b", by_kcal=by_kcal)
        assert little.kg == {0: Fraction(1, 1000)}


# Classes take 210, 800 and 1,000 ms and 1.75, 4 + 9 = 13 and 5 + 3 = 8 kcal a kilogram, by their quickest workers.
HARD = Firewood(5000, WOOD.reach_g, WOOD.gather, millionths([1.0, 9.0, 3.0]))


def test_firewood_comes_from_the_easiest_classes_where_kcal_count() -> None:
    """2 kg of the first, then the third before the second: 3 of its 4 kg, or all of them and one of the second."""
    load = found(wood_case(firewood=HARD), "a", "b", by_kcal=True)
    assert load.kg == pytest.approx({0: 2, 2: 3})
    assert load.kcal == pytest.approx(1e6 * (10 + 2 * 1.75 + 3 * 8))
    assert load.work == pytest.approx(SHORT + 2 * 210 + 3 * 1000)
    assert load.done == pytest.approx({(0, 0, 0): 1, (1, 0, 0): 2, (2, 1, 0): 2, (4, 0, 0): 3})
    more = found(wood_case(firewood=replace(HARD, demand_g=7000)), "a", "b", by_kcal=True)
    assert more.kg == pytest.approx({0: 2, 1: 1, 2: 4})
    assert more.kcal == pytest.approx(1e6 * (10 + 2 * 1.75 + 4 * 8 + 13))
    assert more.work == pytest.approx(SHORT + 2 * 210 + 4 * 1000 + 800)
    # 2 + 9 + 4 kg lie within reach.
    assert found(wood_case(firewood=replace(HARD, demand_g=15_000)), "a", "b", by_kcal=True).kg[1] == pytest.approx(9)
    assert day(wood_case(firewood=replace(HARD, demand_g=15_010)), "a", "b", by_kcal=True) is None


def test_firewood_that_wears_a_tool_out_comes_from_elsewhere() -> None:
    """a spends 0.4 of its life on each kilogram of the second class, so that it does 2.5 kg of it."""
    wear = np.zeros((5, 2), dtype=np.int64)
    wear[3, 0] = 400_000
    # Of 3 kg half a kilogram is left, to b in 300 + 700 ms a kilogram, or from the third class in 900 + 100.
    load = found(wood_case(wear=wear), "a", "b")
    assert load.kg[0] == pytest.approx(2)
    assert load.work == pytest.approx(SHORT + 2 * 210 + 2.5 * 800 + 0.5 * 1000)
    assert load.done[3, 0, 0] == pytest.approx(2.5)
    # Without b, whom the first class needs, the third gives the other half of the 5 kg.
    alone = found(wood_case(wear=wear), "a")
    assert alone.kg == pytest.approx({1: 2.5, 2: 2.5})
    assert alone.work == pytest.approx(SHORT + 2.5 * 800 + 2.5 * 1000)


def worn(share: float) -> np.ndarray:
    """The first tool wears by a share of its life over the first job, half of that over the second."""
    return millionths([[share, 0.0], [share / 2, 0.0]])


def test_a_tool_that_wears_out_leaves_the_rest_to_the_others() -> None:
    """a lasts for two thirds of 1.5 lives: the job that costs it most time a life saved goes to b."""
    case = case_of([[SHORT, LONG], [SHORT, LONG]], wear=worn(1.0))
    load = found(case, "a", "b")
    # Both jobs spend 1.5 lives: half a life of the first, whose life costs 5 minutes against 10, goes to b.
    assert load.work == pytest.approx(2 * SHORT + 0.5 * (LONG - SHORT))
    assert load.done == {(0, 0, 0): pytest.approx(0.5), (0, 1, 0): pytest.approx(0.5), (1, 0, 0): pytest.approx(1.0)}
    assert day(case, "a") is None
    assert found(case_of([[SHORT, LONG], [SHORT, LONG]], wear=worn(2 / 3)), "a").work == 2 * SHORT


def test_a_sharpener_renews_without_end_and_a_spare_by_its_own_life() -> None:
    """b as either; a spends 1.5 lives."""
    work = [[SHORT, NO], [SHORT, NO]]
    nobody, itself = np.array([False, False]), np.array([False, True])
    for renewal, works in (
        (Renewal(0, EDGE, itself), True),
        (Renewal(0, EDGE, nobody, {1: 500_000}), True),
        (Renewal(0, EDGE, nobody, {1: 490_000}), False),
        (Renewal(1, EDGE, itself), False),
    ):
        case = case_of(work, wear=worn(1.0), renewals=(renewal,))
        assert (day(case, "a", "b") is not None) == works
        assert day(case, "a") is None


@pytest.mark.parametrize(("minutes", "work_min", "kcal"), [(90, 6, 1.0), (6, 6, 1.0), (3.5, 3.5, 5.5)])
def test_the_least_kcal_within_the_work_limit(minutes: float, work_min: float, kcal: float) -> None:
    """a is slow and easy, b quick and hard; in 3.5 minutes half goes to each."""
    case = case_of([[LONG, SHORT]], kcal=millionths(np.array([[1.0, 10.0]])), minutes=minutes)
    load = found(case, "a", "b", by_kcal=True)
    assert load.work == pytest.approx(work_min * MS_PER_MIN, abs=1)
    assert load.kcal == kcal * 1e6
    assert found(case, "a", "b").work == SHORT


def test_of_days_of_the_least_kcal_the_shortest_counts() -> None:
    """Equal kcal."""
    case = case_of([[LONG, SHORT]], kcal=millionths(np.array([[3.0, 3.0]])))
    assert found(case, "a", "b", by_kcal=True).work == pytest.approx(SHORT)
    assert day(case_of([[LONG, NO]], minutes=6 - 2 / MS_PER_MIN), "a", by_kcal=True) is None


def test_a_day_of_the_least_kcal_is_never_over_the_limit() -> None:
    """3.5 minutes are 210,000 ms, and what b does more takes 9 kcal a job."""
    case = case_of([[LONG, SHORT]], kcal=millionths(np.array([[1.0, 10.0]])), minutes=3.5)
    assert found(case, "a", "b", by_kcal=True).work == 210_000


def test_no_crumb_of_work_moves() -> None:
    """Not even a millionth of a kcal's worth."""
    case = case_of([[LONG, SHORT]], kcal=millionths(np.array([[1.0, 10.0]])))
    assert found(case, "a", "b", by_kcal=True).done == {(0, 0, 0): 1.0}
    load = found(wood_case(firewood=HARD), "a", "b", by_kcal=True)
    assert (set(load.kg), set(load.done)) == ({0, 2}, {(0, 0, 0), (1, 0, 0), (2, 1, 0), (4, 0, 0)})


@pytest.mark.parametrize(
    ("slow", "more", "work"), [(LONG, 0, SHORT), (LONG, 1, LONG), (SHORT + 1, 0, SHORT), (SHORT + 1, 1, SHORT + 1)]
)
def test_of_days_of_equal_millionths_of_a_kcal_the_shorter_counts(slow: int, more: int, work: int) -> None:
    """a takes a kcal, and b so many millionths more for a shorter day."""
    case = case_of([[slow, SHORT]], kcal=np.array([[1_000_000, 1_000_000 + more]]))
    assert found(case, "a", "b", by_kcal=True).work == work


def counted(case: Case, *tools: str, **more: Any) -> tuple[Workload | None, int]:
    """The day of a kit, and how many programs were solved for it."""
    solves: list[int] = []
    load = workload(case, case.kit(tools), effort=Effort(on_solve=lambda: solves.append(1)), **more)
    return load, len(solves)


@pytest.mark.parametrize(
    ("share", "renewal", "solved"),
    [
        (2 / 3, None, 0),  # 2/3 + 1/3 of a life: just one
        (2 / 3 + 1e-6, None, 1),
        (1.0, Renewal(0, EDGE, np.array([False, False]), {1: 500_000}), 0),  # just 1.5 lives
        (1.1, Renewal(0, EDGE, np.array([False, False]), {1: 500_000}), 1),
        (9.0, Renewal(0, EDGE, np.array([False, True])), 0),
    ],
)
def test_a_kit_that_lasts_takes_no_program(share: float, renewal: Renewal | None, solved: int) -> None:
    """a does both jobs in a minute each."""
    renewals = () if renewal is None else (renewal,)
    load, solves = counted(case_of([[SHORT, LONG], [SHORT, LONG]], wear=worn(share), renewals=renewals), "a", "b")
    assert solves == solved
    assert load is not None
    assert (load.work == 2 * SHORT) is (solved == 0)


def test_a_spare_counts_where_the_work_is_shared_out() -> None:
    """a would spend 1.6 lives and has 1.5: 15/16 of the job are its own. With a stone it does all of it."""
    nobody, itself = np.array([False, False]), np.array([False, True])
    case = case_of(
        [[SHORT, LONG]], wear=millionths(np.array([[1.6, 0.0]])), renewals=(Renewal(0, EDGE, nobody, {1: 500_000}),)
    )
    load = found(case, "a", "b")
    assert load.done == {(0, 0, 0): pytest.approx(15 / 16), (0, 1, 0): pytest.approx(1 / 16)}
    assert load.work == pytest.approx(SHORT * 15 / 16 + LONG / 16)
    stone = replace(case, renewals=(Renewal(0, EDGE, itself),))
    assert found(stone, "a", "b", by_kcal=True).done == {(0, 0, 0): pytest.approx(1.0)}


def test_wear_that_rules_a_kit_out_is_asked_of_its_workers() -> None:
    """It is asked only where a tool wears out; what it says holds."""
    case = case_of(
        [[SHORT, LONG, NO], [SHORT, LONG, NO]], wear=millionths(np.array([[1.0, 0.0, 0.0], [0.5, 0.0, 0.0]]))
    )
    asked: list[list[bool]] = []

    def rules_out(has: np.ndarray) -> bool:
        asked.append(has.tolist())
        return bool(has[2])

    assert day(case, "a", "b", "c", ruled_out=rules_out) is None
    assert found(case, "a", "b", ruled_out=rules_out).work > 2 * SHORT
    assert found(case, "b", ruled_out=rules_out).work == 2 * LONG
    assert asked == [[True, True, True], [True, True, False]]
