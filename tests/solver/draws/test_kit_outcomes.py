"""What a kit does in each draw: against the rules and the day's work of each draw by itself."""

from fractions import Fraction
from math import inf
from random import Random
from typing import Any

import numpy as np
import pytest
from counted_clock import cut_after
from random_trips import random_trip
from random_wood_trips import random_wood_trip, with_binding_work

from api.examples.invented import example_trips
from solver import Effort, Trip, Unfinished
from solver.draws.joint_draws import draws_of
from solver.draws.kit_outcomes import KitOutcomes, outcomes_in_time, outcomes_of
from solver.forms.limit import WORK
from solver.model.case import keeps_rules
from solver.model.day_work import workload
from solver.needs.probe import holds_for
from solver.needs.question import question_of
from solver.search.choice import choose

pytestmark = pytest.mark.quick

COUNT = 24
MS = 60_000  # of a minute


def forms() -> list[dict[str, Any]]:
    """The invented trips, and random ones, most with a fire and a limit near the work."""
    rng = Random(11)
    found = list(example_trips().values())
    for _ in range(8):
        wood = random_wood_trip(rng, fewest=3, most=7)
        found += [random_trip(rng, fewest=3, most=7), with_binding_work(rng, wood) or wood]
    return found


def test_outcomes_are_those_of_each_draw_by_itself() -> None:
    """Suffices, cannot or late, and the minutes of the day with its rest, exact to float."""
    seen = {"suffices": 0, "cannot": 0, "late": 0, "worn": 0, "reach": 0}
    for form in forms():
        question = question_of(Trip.model_validate(form | {"aim": "mass"}))
        chosen = choose(question.case, effort=Effort())
        if chosen.ids is None:
            continue
        kit = question.case.kit(chosen.ids)
        draws = draws_of(question, count=COUNT, seed=4, effort=Effort())
        found = outcomes_of(draws, kit)
        assert not (found.suffices & found.cannot).any()
        for place, case in enumerate(draws.block(0, COUNT)):
            own = case.kit(chosen.ids)
            loose = case.capped(WORK.field, None)
            able = keeps_rules(loose, own)
            load = workload(loose, own, effort=Effort()) if able else None
            assert bool(found.suffices[place]) == holds_for(case, own, effort=Effort()), (form, place)
            assert bool(found.cannot[place]) == (load is None), (form, place)
            told = inf if load is None else float(case.told_ms(load.work))
            assert found.told_ms[place] == pytest.approx(told, rel=1e-12)
            lacks = {name for name, where in found.lacking.items() if where[place]}
            assert bool(lacks) == (load is None), (form, place)
            if "life" in lacks:
                assert workload(loose.unworn(), own, effort=Effort()) is not None
            seen["suffices"] += bool(found.suffices[place])
            seen["cannot"] += load is None
            seen["late"] += bool(found.late[place])
            seen["worn"] += "life" in lacks
            seen["reach"] += "reach" in lacks
    assert min(seen.values()) > 0, seen


def test_a_kit_without_the_knife_asked_for_never_suffices() -> None:
    form = example_trips()["summer-alpine"]
    question = question_of(Trip.model_validate(form))
    saw = question.case.kit(["folding-saw-240"])
    found = outcomes_of(draws_of(question, count=COUNT, seed=1, effort=Effort()), saw)
    assert found.cannot.all()
    assert found.lacking["knife"].all()
    assert found.probability == 0


def test_minutes_are_quantiles_of_the_draws() -> None:
    """By numpy's inverted distribution function, rounded up to what minutes are told to."""
    question = question_of(Trip.model_validate(example_trips()["stream-survey"]))
    chosen = choose(question.case, effort=Effort())
    assert chosen.ids is not None
    found: KitOutcomes = outcomes_of(
        draws_of(question, count=64, seed=1, effort=Effort()), question.case.kit(chosen.ids)
    )
    for percent in (10, 50, 90, 100):
        expected = np.quantile(found.told_ms, percent / 100, method="inverted_cdf") / MS
        assert found.minutes_at(Fraction(percent, 100)) == pytest.approx(expected, abs=2e-5)
    limit = question.trip.limits.work_min_per_day
    assert found.within(limit) == found.probability
    assert found.within(1e9) == 1
    assert found.within(limit + 30) == Fraction(int((found.told_ms <= (limit + 30) * MS).sum()), 64)


def test_what_the_time_allows_are_the_first_draws() -> None:
    """Each as among all; or the time was over before any, and that is said."""
    question = question_of(Trip.model_validate(example_trips()["stream-survey"]))
    kit = question.case.kit(choose(question.case, effort=Effort()).ids or ())
    draws, seen = draws_of(question, count=512, seed=1, effort=Effort(), fresh=True), set[int]()
    whole = outcomes_of(draws, kit)
    for looks in range(1, 150, 4):
        effort = cut_after(looks).begun()
        try:
            found = outcomes_in_time(draws_of(question, count=512, seed=1, effort=effort, fresh=True), kit)
        except Unfinished:
            seen.add(0)
            continue
        count = len(found.suffices)
        assert (found.suffices == whole.suffices[:count]).all()
        assert found.told_ms == pytest.approx(whole.told_ms[:count])
        seen.add(count)
    assert {0, 512} < seen
