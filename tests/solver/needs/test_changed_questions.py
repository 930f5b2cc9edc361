"""A question under other assumptions takes over what has not changed: it must be the one asked anew."""

from random import Random
from typing import Any

import numpy as np
import pytest
from random_trips import random_trip
from random_wood_trips import random_wood_trip

from api.examples.invented import example_trips
from catalog import RangeError, assumptions
from catalog.tables.ledger import Ledger
from catalog.wood.species import species_of
from catalog.wood.work import time_factor
from solver import Trip
from solver.model.case import Case
from solver.needs.question import Question, changed_question, question_of

pytestmark = pytest.mark.quick

TRIPS = 8
# A fire that is wanted no more where 15 C are warm enough: with it go all jobs, or all but the one stated.
LUKEWARM = {"fire": {"hot_water_l_per_person": 0, "warmth_h": 2}, "air_c": 17, "wood": {"state": "dead-wet"}}
STATED = {"tasks": [{"task": "split", "diameter_mm": 100, "per_day": 2}]}


def figures_of(case: Case) -> list[Any]:
    """All figures of a case that hang on the assumptions."""
    wood = case.firewood
    kilograms = [] if wood is None else [[wood.demand_g], wood.reach_g, wood.gather, wood.gather_kcal]
    return [case.work, case.able, case.wear, case.kcal, case.backup, case.wood_class, [case.carry], *kilograms]


def asks_the_same(one: Question, other: Question) -> bool:
    """Whether two questions agree in every figure and every job."""
    both = list(zip(figures_of(one.case), figures_of(other.case), strict=True))
    return one.jobs == other.jobs and one.uses == other.uses and all(np.array_equal(a, b) for a, b in both)


def forms() -> list[dict[str, Any]]:
    """The invented trips, and random ones, some with a fire."""
    rng = Random(29)
    return [
        *example_trips().values(),
        LUKEWARM,
        LUKEWARM | STATED,
        *(random_trip(rng, fewest=3, most=8) for _ in range(TRIPS)),
        *(random_wood_trip(rng, fewest=3, most=8) for _ in range(TRIPS)),
    ]


@pytest.mark.parametrize("place", range(len(forms())))
def test_a_changed_question_is_the_one_asked_anew(place: int) -> None:
    """At both ends of every assumption's band, those included of which the trip makes no use."""
    trip = Trip.model_validate(forms()[place])
    question = question_of(trip)
    moved = 0
    for name, row in assumptions().items():
        for value in (row.low, row.high):
            changed = {name: value}
            anew, taken_over = question_of(trip, changed=changed), changed_question(question, changed)
            if taken_over is question:  # only what is told of the walk may differ
                assert np.array_equal(anew.case.work, question.case.work), changed
                continue
            assert asks_the_same(taken_over, anew), changed
            assert taken_over.ledger.used == anew.ledger.used, changed
            moved += 1
    assert moved


def test_a_step_is_taken_anew_where_what_it_used_or_was_given_has_changed() -> None:
    """And only there."""
    calls: list[float] = []

    def multiple(given: tuple[int, ...], ledger: Ledger) -> float:
        calls.append(given[0] * ledger("body_kg"))
        return calls[-1]

    given = (2,)
    before = Ledger()
    assert before.step(multiple, given) == 2 * assumptions()["body_kg"].value
    assert Ledger({"pack_kg": assumptions()["pack_kg"].low}, before=before).step(multiple, given) == calls[0]
    assert len(calls) == 1
    moved = Ledger({"body_kg": assumptions()["body_kg"].high}, before=before)
    assert moved.step(multiple, given) == 2 * assumptions()["body_kg"].high
    assert moved.used == {"body_kg"}
    assert Ledger(before=before).step(multiple, (3,)) == 1.5 * calls[0]
    assert len(calls) == 3


def test_a_formula_that_remembers_still_heeds_a_changed_assumption() -> None:
    """The same wood asked for by the table, by a changed exponent, and beyond its hard limits."""
    row = assumptions()["saw_hardness_exponent"]
    oak = species_of("white-oak")
    plain = time_factor(oak, "saw", state="dead-dry", air_c=0)
    assert time_factor(oak, "saw", state="dead-dry", air_c=0, changed={row.id: row.high}).factor > plain.factor
    assert time_factor(oak, "saw", state="dead-dry", air_c=0, changed={}) == plain
    with pytest.raises(RangeError):
        time_factor(oak, "saw", state="dead-dry", air_c=0, changed={row.id: row.hard_high + 1})
