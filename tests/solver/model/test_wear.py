"""Kits that wear rules out, and what larger kits need, against the day's work of every kit worked out by itself."""

from itertools import combinations
from random import Random

import numpy as np
import pytest
from random_trips import wearing_trip
from random_wood_trips import random_wood_trip, with_binding_work

from solver import Trip
from solver.answers.gap import unmet
from solver.forms.effort import Effort
from solver.model.case import Case, mass_of, present_workers
from solver.model.day_work import workload
from solver.model.wear import Wear
from solver.needs.question import question_of
from solver.programs.engine import Status
from solver.search.choice import choose

pytestmark = pytest.mark.quick

TRIPS = 60
MOST_TOOLS = 6


def worn_cases() -> list[Case]:
    """Cases of small trips in which some tool can wear out, every other with a day that some kit just fills."""
    found = []
    for number in range(TRIPS):
        rng = Random(number)
        form = random_wood_trip(rng, fewest=3, most=MOST_TOOLS)
        question = question_of(Trip.model_validate((with_binding_work(rng, form) if number % 2 else None) or form))
        case, _, _ = unmet(question, question.case)
        if case.mortal.any():
            found.append(case)
    return found


def does(case: Case, kit: frozenset[int]) -> bool:
    """Whether a kit does its work within lives and the work limit."""
    load = workload(case, kit, effort=Effort())
    assert case.work_cap is not None
    return load is not None and load.work <= case.work_cap


def test_what_wear_rules_out_no_kit_does_and_relief_is_in_every_larger_kit_that_does() -> None:
    """In each order of kits, so that the program starts from wherever the kit before left it."""
    ruled, failed, larger = 0, 0, 0
    for number, case in enumerate(worn_cases()):
        assert case.work_cap is not None
        wear = Wear(case, [])
        kits = [frozenset(kit) for size in range(1, case.tools + 1) for kit in combinations(range(case.tools), size)]
        Random(number).shuffle(kits)
        doing = {kit for kit in kits if does(case, kit)}
        for kit in kits:
            has = present_workers(case, kit)
            failed += kit not in doing
            if not wear.rules_out(kit, has):
                assert wear.relief(kit) is None
                continue
            ruled += 1
            assert kit not in doing
            relief = wear.relief(kit)
            assert relief is not None
            for more in doing:
                if kit < more:
                    larger += 1
                    added = np.array(sorted(more - kit))
                    room = mass_of(case, more) - mass_of(case, kit)
                    others = np.array(sorted(frozenset(range(case.tools)) - kit))
                    fits = others[relief.fits(others, case.mass[others], room)]
                    assert np.isin(added, fits).any()
    assert ruled > failed * 0.9
    assert larger > TRIPS


def test_the_work_of_a_day_is_told_whatever_the_seconds() -> None:
    """A stop would pass for a kit that can't do its work."""
    days = 0
    for case in worn_cases():
        everything = frozenset(range(case.tools))
        for by_kcal in (False, True):
            usual, hurried = (
                workload(case, everything, effort=Effort(seconds=seconds), by_kcal=by_kcal) for seconds in (30, 1e-9)
            )
            assert hurried == usual
            days += usual is not None
    assert days >= TRIPS / 3  # in many a day of all tools breaks the limit or wears them out: then None is the same


def test_a_day_takes_as_long_once_the_time_is_over() -> None:
    """Then any of the ways of the least time is told, but never a longer one."""
    days = 0
    for case in worn_cases()[::3]:
        everything = frozenset(range(case.tools))
        usual, late = (
            workload(case, everything, effort=one) for one in (Effort(), Effort(answer_seconds=1e-9).begun())
        )
        assert (usual and (usual.work, usual.time)) == (late and (late.work, late.time))
        days += usual is not None
    assert days


@pytest.mark.parametrize("seed", range(1, 4))
def test_where_nothing_lasts_a_few_kits_prove_it_for_all(seed: int) -> None:
    """Thirty tools that wear, fifteen nights: all of them together do not do the work; by kits there are thousands."""
    case = question_of(Trip.model_validate(wearing_trip(seed, nights=15))).case
    found = choose(case, effort=Effort(nodes=100))
    assert (found.status, found.prover) == (Status.INFEASIBLE, "enumeration")  # no program was asked for
    assert workload(case.capped("work_min_per_day", None), frozenset(range(case.tools)), effort=Effort()) is None


def test_without_a_limit_wear_rules_out_only_kits_that_never_do_the_work() -> None:
    """On the same trips, without their work limit."""
    ruled = 0
    for case in worn_cases():
        endless = case.capped("work_min_per_day", None)
        wear = Wear(endless, [])
        for size in range(1, case.tools + 1):
            for kit in map(frozenset, combinations(range(case.tools), size)):
                if wear.rules_out(kit, present_workers(endless, kit)):
                    ruled += 1
                    assert workload(endless, kit, effort=Effort()) is None
    assert ruled
