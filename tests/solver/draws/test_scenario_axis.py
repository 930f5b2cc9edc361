"""Cases of scenarios made side by side, against each scenario's question put by itself."""

from dataclasses import fields
from random import Random
from typing import Any

import numpy as np
import pytest
from random_trips import random_task, random_trip
from random_wood_trips import random_wood, random_wood_trip

from solver.draws.scenario_axis import ScenarioAxis
from solver.forms.trip import Task, Trip, WoodForm
from solver.model.case import Case
from solver.needs.question import Question, question_of

pytestmark = pytest.mark.quick

TRIPS = 14


def variants(rng: Random) -> list[Trip]:
    """A trip with and without a fire, in other woods and with other tasks; some tasks come again."""
    row = (
        random_trip(rng, fewest=4, most=6, needs_most=3)
        if rng.random() < 0.5
        else random_wood_trip(rng, fewest=3, most=4)
    )
    trip = Trip(**row)
    woods = [trip.wood, *(WoodForm(**random_wood(rng)) for _ in range(2))]
    tasks = [Task(**random_task(rng)) for _ in range(4)]
    found = [trip]
    for _ in range(7):
        update = {"wood": rng.choice(woods), "tasks": rng.sample(tasks, rng.randint(1, 3))}
        found.append(trip.model_copy(update=update))
    return found


def alike(one: Any, other: Any) -> bool:
    """Whether two figures of cases are the same, arrays by what they hold."""
    if isinstance(one, np.ndarray):
        return np.array_equal(one, other)
    if isinstance(one, tuple):
        return len(one) == len(other) and all(map(alike, one, other))
    if hasattr(one, "__dataclass_fields__"):
        return all(alike(getattr(one, each.name), getattr(other, each.name)) for each in fields(one))
    return bool(one == other)


@pytest.mark.parametrize("held", [True, False])
def test_each_case_is_that_of_its_own_question(*, held: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every field of every case; wear, further ways, backups, knives and firewood among them."""
    monkeypatch.setattr("solver.model.case_blocks.MOST_IN_BLOCK", 3)
    monkeypatch.setattr("solver.draws.scenario_axis._MOST_HELD", 10**6 if held else 0)
    slower = burning = 0
    for number in range(TRIPS):
        trips = variants(Random(number))

        def ask(place: int, like: Question | None, trips: list[Trip] = trips) -> Question:
            return question_of(trips[place], like=like)

        axis = ScenarioAxis(trips, ask)
        cases = [*axis.block(0, 5), *axis.block(5, len(trips))]
        assert held or not (axis.bases or axis.held)  # what stays in memory is bounded
        for place, (case, trip) in enumerate(zip(cases, trips, strict=True)):
            own = question_of(trip).case
            for each in fields(Case):
                assert alike(getattr(case, each.name), getattr(own, each.name)), (number, place, each.name)
            slower += len(case.slower) > 0
            burning += case.firewood is not None
    assert min(slower, burning) >= 3
