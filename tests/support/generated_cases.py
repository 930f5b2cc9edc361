"""Generated cases for benchmarks: tools of whole scores against twelve needs, with a work limit that binds."""

import json
from random import Random

import numpy as np
from random_trips import random_tool
from rival_solvers import Instance

from solver import Trip
from solver.answers.gap import met_case
from solver.model.case import EDGE, FIXED, NEVER, Case
from solver.needs.question import question_of
from solver.search.choice import choose

NEEDS = 12
TASKS = 4
TASK_NAMES = ("split", "saw", "carve", "chop")
SIZES_MM = (60, 100, 150, 220, 300)
LIMITS = {"medium": 0.5, "tight": 0.15}  # where between the fastest kit's day and the lightest kit's the limit lies


def framed(one: Instance) -> Case:
    """The case of an instance, without rules between tools, not yet reduced."""
    jobs, tools = one.work.shape
    return Case(
        ids=tuple(f"t{number:06d}" for number in range(tools)),
        mass=one.mass,
        price=np.zeros(tools, dtype=np.int64),
        work=one.work,
        able=one.work < NEVER,
        backup=np.zeros(jobs, dtype=np.int64),
        wood_class=np.full(jobs, FIXED),
        wear=np.zeros((jobs, tools), dtype=np.int64),
        kcal=np.zeros((jobs, tools), dtype=np.int64),
        part=np.full((jobs, tools), EDGE),
        caps={"work_min_per_day": one.cap},
    )


def instance(tools: int, seed: int, limit: str, *, by_ability: bool, needs: int = NEEDS) -> Instance:
    """Tools able at one to three tasks, with scores from 1 to 10.

    Args:
        tools: how many.
        seed: of the generator.
        limit: medium or tight.
        by_ability: whether able and quick tools weigh more, so that far fewer can be set aside.
        needs: how many.
    """
    rng = np.random.default_rng([tools, seed])
    able = rng.random((TASKS, tools)) < 1 / 2
    able[rng.integers(TASKS, size=tools), np.arange(tools)] = True
    score = np.where(able, rng.integers(1, 11, size=(TASKS, tools)), 0)
    largest = rng.choice(SIZES_MM, size=(TASKS, tools))
    bulk = (score * largest).sum(axis=0) if by_ability else rng.integers(60, 6_000, size=tools)
    mass = np.rint(3_000 + 100 * bulk * rng.uniform(0.1, 1.0, size=tools)).astype(np.int64)
    task = np.arange(needs) % TASKS
    diameter = rng.integers(2, 20, size=needs) * 10
    minutes = rng.integers(1, 9, size=needs) * diameter / 20
    with np.errstate(divide="ignore"):
        times = np.rint(minutes[:, None] * 10 / score[task] * 60_000)
    can = able[task] & (largest[task] >= diameter[:, None])
    work = np.where(can, np.minimum(times, 2.0**46), float(NEVER)).astype(np.int64)
    work = work[can.any(axis=1)]
    fastest = int(work.min(axis=1).sum())
    free = framed(Instance(mass, work, 2**50))
    found = choose(free)
    assert found.ids is not None
    lightest = int(work[:, sorted(free.place[name] for name in found.ids)].min(axis=1).sum())
    return Instance(mass, work, fastest + int((lightest - fastest) * LIMITS[limit]))


def whole_trip(tools: int, seed: int, limit: str) -> tuple[Instance, str]:
    """A trip of twelve stated needs with a catalog of its own, as a caller sends it, and the case that it makes.

    Args:
        tools: how many.
        seed: of the generator.
        limit: medium or tight.
    """
    rng = Random(f"{tools}-{seed}")
    form = {
        "tools": [random_tool(rng, f"t{number:06d}") for number in range(tools)],
        "tasks": [
            {
                "task": TASK_NAMES[n % TASKS],
                "diameter_mm": rng.choice((20, 40, 60, 80, 100)),
                "per_day": rng.randint(1, 8),
            }
            for n in range(NEEDS)
        ],
        "people": 4,
        "field_methods": False,
        "life": False,
        "detail": "kit",
        "limits": {"work_min_per_day": 5760},
    }
    case = met_case(question_of(Trip.model_validate(form)))
    assert not case.groups
    found = choose(case)
    assert found.ids is not None
    fastest = int(case.work.min(axis=1).sum())
    lightest = int(case.work[:, sorted(case.kit(found.ids))].min(axis=1).sum())
    minutes = round((fastest + (lightest - fastest) * LIMITS[limit]) / 60_000, 2)
    form["limits"] = {"work_min_per_day": minutes}
    return Instance(case.mass, case.work, round(minutes * 60_000)), json.dumps(form)
