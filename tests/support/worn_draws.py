"""Kits in fresh draws of a trip in which their tools wear out, with the invented trips for longer and random ones."""

from random import Random
from typing import Any

import numpy as np
from random_wood_trips import random_wood_trip

from api.examples.invented import example_trips
from catalog.tables.number import Ints
from solver import Effort
from solver.draws.axis_day import day_of
from solver.draws.joint_draws import draws_of
from solver.model.day_work import usable
from solver.needs.case_axis import CaseAxis
from solver.needs.question import Question


def long_trips(rng: Random, count: int) -> list[dict[str, Any]]:
    """The invented trips for five times as long, and so many random ones."""
    longer = [form | {"nights": 5 * form.get("nights", 1)} for form in example_trips().values()]
    return longer + [random_wood_trip(rng, fewest=3, most=7) for _ in range(count)]


def worn_draws(question: Question, kit: frozenset[int], *, count: int, seed: int) -> tuple[CaseAxis, Ints]:
    """Draws of the usable tools of a kit alone, and those (places) in which all is done unless tools wear out."""
    tools = np.array(sorted(usable(question.case, kit)), dtype=np.int64)
    axis = draws_of(question, count=count, seed=seed, effort=Effort(), fresh=True).of_kit(tools).axis(0, count)
    day = day_of(axis, frozenset(range(len(tools))))
    return axis, np.flatnonzero(day.able & ~day.lasting)
