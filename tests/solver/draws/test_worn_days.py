"""Days on which tools may wear out, many at once: against the exact program of each by itself."""

from functools import partial
from random import Random

import numpy as np
import pytest
from worn_draws import long_trips, worn_draws

from solver import Effort, Trip
from solver.draws.worn_days import worn_work
from solver.draws.worn_limits import worn_at_a_look, worn_exactly
from solver.model.day_work import workload
from solver.needs.question import question_of
from solver.search.choice import choose

pytestmark = pytest.mark.quick

COUNT = 48


def test_days_are_those_of_each_draw_by_itself_and_few_need_a_program_of_their_own() -> None:
    """The invented trips for longer, and random ones: the lightest kit, and kits of any tools."""
    rng = Random(23)
    seen = {"done": 0, "worn": 0, "alone": 0}
    for form in long_trips(rng, 60):
        question = question_of(Trip.model_validate(form | {"aim": "mass"}))
        chosen = choose(question.case, effort=Effort())
        kits = [frozenset(rng.sample(range(question.case.tools), min(question.case.tools, 3)))]
        kits += [question.case.kit(chosen.ids)] if chosen.ids else []
        for kit in kits:
            axis, places = worn_draws(question, kit, count=COUNT, seed=rng.randrange(9))
            going = frozenset(range(axis.like.tools))
            solved: list[None] = []
            found = worn_work(axis, going, places, effort=Effort(on_solve=partial(solved.append, None)))
            for place, work in zip(places.tolist(), found.tolist(), strict=True):
                load = workload(axis.case(place), going, effort=Effort())
                assert work == (-1 if load is None else load.work), (form, place)
                seen["worn" if load is None else "done"] += 1
            seen["alone"] += len(solved)
    assert min(seen["done"], seen["worn"]) > 50, seen
    assert seen["alone"] < (seen["done"] + seen["worn"]) / 10, seen


def test_limits_are_kept_where_the_exact_program_of_each_draw_keeps_them() -> None:
    """Limits at, just below and far from what the exact program takes; most are told without it."""
    rng = Random(31)
    seen = {"kept": 0, "not kept": 0, "near": 0, "alone": 0}
    for form in long_trips(rng, 60):
        question = question_of(Trip.model_validate(form | {"aim": "mass"}))
        kit = frozenset(rng.sample(range(question.case.tools), min(question.case.tools, 3)))
        axis, places = worn_draws(question, kit, count=COUNT, seed=rng.randrange(9))
        going = frozenset(range(axis.like.tools))
        work = worn_work(axis, going, places, effort=Effort())
        for factor in (0.0, 0.9, 1.0, 1.1):
            caps = np.full(COUNT, 1e6 * rng.random())
            if factor:
                caps[places] = np.where(work >= 0, np.rint(work * factor) - rng.randrange(2), caps[places])
            axis.__dict__["work_caps"] = caps  # in the place of what it would reckon
            solved: list[None] = []
            effort = Effort(on_solve=partial(solved.append, None))
            held, known = worn_at_a_look(axis, going, places, effort=effort)
            assert not held[~known].any()
            held[~known] = worn_exactly(axis, going, places[~known], effort=effort)
            assert held.tolist() == ((work >= 0) & (work <= caps[places])).tolist(), form
            seen["kept"] += int(held.sum())
            seen["not kept"] += int((~held).sum())
            seen["alone"] += len(solved)
            seen["near"] += int((np.abs(work - caps[places]) <= 1).sum())
    assert min(seen["kept"], seen["not kept"], seen["near"]) > 50, seen
    assert seen["alone"] < (seen["kept"] + seen["not kept"]) / 10, seen
