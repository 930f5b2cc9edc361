"""The cases along an axis of draws are those that each draw makes by itself, to the last whole number."""

from collections.abc import Iterable
from random import Random
from typing import Any

import numpy as np
import pytest
from case_figures import figures_of
from random_trips import random_trip
from random_wood_trips import random_wood_trip, with_binding_work

from api.examples.invented import example_trips
from catalog import assumptions
from catalog.tables.ledger import Ledger
from solver import Trip
from solver.draws.axis_day import held_by
from solver.forms.effort import Effort
from solver.model.case import Case
from solver.needs.case_axis import CaseAxis, cases_over
from solver.needs.probe import holds_for
from solver.needs.question import Question, question_of
from solver.search.choice import choose

pytestmark = pytest.mark.quick

TRIPS, DRAWS = 4, 6
# A fire that is wanted no more where 15 C are warm enough: with it go all jobs, or all but the one stated.
LUKEWARM = {"fire": {"hot_water_l_per_person": 0, "warmth_h": 2}, "air_c": 17, "wood": {"state": "dead-wet"}}
STATED = {"tasks": [{"task": "split", "diameter_mm": 100, "per_day": 2}]}
BACKED = {"fire": {"hot_water_l_per_person": 2, "warmth_h": 3}, "backup": "all", "air_c": -6}


def forms() -> list[dict[str, Any]]:
    """The invented trips, and random ones, most with a fire."""
    rng = Random(29)
    found = [*example_trips().values(), LUKEWARM, LUKEWARM | STATED, BACKED]
    for _ in range(TRIPS):
        found += [random_trip(rng, fewest=3, most=8), random_wood_trip(rng, fewest=3, most=8)]
    return found


def alike(one: Case, other: Case) -> bool:
    """Whether two cases agree in every figure."""
    a, b = figures_of(one), figures_of(other)
    same = len(a) == len(b) and all(np.array_equal(left, right) for left, right in zip(a, b, strict=True))
    return same and one.rest == other.rest and one.ids == other.ids


def ends_of(question: Question, names: Iterable[str]) -> tuple[CaseAxis, list[dict[str, float]]]:
    """The trip as it is, then each end of the bands of some assumptions by itself: their cases, and what changes."""
    ends: list[dict[str, float]] = [{}]
    ends += [{name: value} for name in names for value in (assumptions()[name].low, assumptions()[name].high)]
    drawn = {
        name: np.array([end.get(name, Ledger(question.ledger.changed)(name)) for end in ends])
        for name in sorted({name for end in ends for name in end})
    }
    return cases_over(question, drawn), ends


@pytest.mark.parametrize("form", forms(), ids=lambda _: "trip")
def test_every_end_of_every_band_is_the_case_asked_by_itself(form: dict[str, Any]) -> None:
    """Those of assumptions included that the trip does not use."""
    trip = Trip.model_validate(form)
    axis, ends = ends_of(question_of(trip), sorted(assumptions().keys() - trip.assumptions.keys()))
    for place, end in enumerate(ends):
        assert alike(axis.case(place), question_of(trip, changed=end).case), end


@pytest.mark.parametrize("form", forms(), ids=lambda _: "trip")
def test_draws_of_all_figures_at_once_are_the_cases_asked_by_themselves(form: dict[str, Any]) -> None:
    """Each drawn anywhere within its band."""
    trip, rng = Trip.model_validate(form), Random(7)
    free = [row for row in assumptions().values() if row.id not in trip.assumptions]
    drawn = {row.id: np.array([rng.uniform(row.low, row.high) for _ in range(DRAWS)]) for row in free}
    axis = cases_over(question_of(trip), drawn)
    for place in range(DRAWS):
        changed = {name: float(values[place]) for name, values in drawn.items()}
        assert alike(axis.case(place), question_of(trip, changed=changed).case), place


def test_what_is_told_of_a_case_at_a_glance_is_so() -> None:
    """That it asks the same as another, that it is as hard in every figure, and that a kit does its work in time."""
    rng, seen = Random(3), {"same": 0, "hard": 0, "held": 0, "late": 0, "unsure": 0}
    for _ in range(2 * DRAWS):
        form = random_wood_trip(rng, fewest=3, most=8)
        trip = Trip.model_validate(with_binding_work(rng, form) or form)
        question = question_of(trip)
        case, effort = question.case, Effort()
        chosen = choose(case, effort=effort)
        if chosen.ids is None:
            continue
        axis, _ = ends_of(question, sorted(question.ledger.used - trip.assumptions.keys()))
        worn = np.append(case.mortal, np.zeros(len(case.methods), dtype=bool))
        same, hard = axis.compared(0, worn)
        held, sure = held_by(axis, case.kit(chosen.ids))
        for place in range(len(axis)):
            other = axis.case(place)
            truly = holds_for(other, other.kit(chosen.ids), effort=effort)
            assert not sure[place] or bool(held[place]) == truly
            if same[place]:
                assert [figure.tolist() for figure in figures_of(other)[:1]] == [case.work.tolist()]
                assert truly
            if hard[place] and place % 4 == 0:
                best = choose(other, effort=effort)
                assert best.ids is None or best.mass >= chosen.mass
            seen["same"] += bool(same[place])
            seen["hard"] += bool(hard[place] and not same[place])
            seen["held"] += bool(sure[place] and held[place])
            seen["late"] += bool(sure[place] and not held[place])
            seen["unsure"] += not sure[place]
    assert min(seen.values()) > 0, seen
