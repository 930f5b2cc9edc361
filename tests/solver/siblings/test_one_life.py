"""Days on which one life binds, told by prices: against a day by hand and the exact program of each by itself."""

from random import Random

import numpy as np
import pytest
from worn_draws import long_trips, worn_draws

from catalog.tables.number import Floats
from solver import Effort, Trip
from solver.draws.kit_ways import KitWays
from solver.model.case import FIXED
from solver.model.day_work import workload
from solver.needs.question import question_of
from solver.siblings.kit_days import KitDays
from solver.siblings.one_life import one_life_work

pytestmark = pytest.mark.quick

COUNT = 64


def days_of(time: list[list[float]], wear: list[list[Floats]]) -> KitDays:
    """Days of two jobs, each in a quick way that spends the only life and in a slow one that spends none."""
    count = len(wear)
    life = np.tile(np.array([0, 1]), (count, 2, 1))
    none = np.zeros((count, 0))
    due = np.ones((count, 2), dtype=bool)
    return KitDays(np.full(2, FIXED), 1, due, np.tile(time, (count, 1, 1)), np.array(wear), life, none, none)


def test_two_jobs_share_a_life_where_it_saves_most_for_what_it_spends() -> None:
    """By hand. Times that are no whole milliseconds: floats leave whole ones to the exact program.

    First day: quick ways save 30,000 ms for 0.75 of the life and 20,001 ms for 1 of it, so the first job has it first;
    a quarter is left for a quarter of the second: 10,000 + 10,000 / 4 + 30,001 x 3 / 4 = 35,000.75 ms. Second day: they
    save 10,000 and 10,000.5 ms for a whole life, so half the second job has it: 40,000 + 5,000 + 15,000.5 ms.
    """
    days = days_of([[10_000, 40_000], [10_000, 30_001]], [[[0.75, 0], [1.0, 0]], [[3.0, 0], [2.0, 0]]])
    places, work = one_life_work(days, effort=Effort())
    assert places.tolist() == [0, 1]
    assert work.tolist() == [35_001, 60_001]


def test_a_life_that_no_way_spares_ends_the_day() -> None:
    """Both ways of the second job spend the life, and together with the first more of it than there is."""
    days = days_of([[10_000, 40_000], [10_000, 30_000]], [[[0.75, 0], [1.5, 0]]])
    life = np.zeros((1, 2, 2), dtype=np.int64)
    wear = np.array([[[0.75, 0.0], [1.5, 1.25]]])
    days = KitDays(days.classes, 1, days.due, days.time, wear, life, days.reach, days.gather)
    places, work = one_life_work(days, effort=Effort())
    assert places.tolist() == [0]
    assert work.tolist() == [-1]


def test_days_are_those_of_the_exact_program_and_most_are_told() -> None:
    """The invented trips for longer, and random ones, kits of any tools; what isn't told is left to others."""
    rng = Random(29)
    seen = {"asked": 0, "done": 0, "ended": 0}
    for form in long_trips(rng, 80):
        question = question_of(Trip.model_validate(form | {"aim": "mass"}))
        kit = frozenset(rng.sample(range(question.case.tools), min(question.case.tools, 3)))
        axis, places = worn_draws(question, kit, count=COUNT, seed=rng.randrange(9))
        going = frozenset(range(axis.like.tools))
        if not len(places):
            continue
        told, found = one_life_work(KitWays(axis, going, places).at(places), effort=Effort())
        for place, work in zip(places[told].tolist(), found.tolist(), strict=True):
            load = workload(axis.case(place), going, effort=Effort())
            assert work == (-1 if load is None else load.work), (form, place)
            seen["ended" if load is None else "done"] += 1
        seen["asked"] += len(places)
    assert min(seen["done"], seen["ended"]) > 50, seen
    assert seen["done"] + seen["ended"] > 0.7 * seen["asked"], seen
