"""Generated cases for benchmarks: tools of coarse scores against twelve needs, with a work limit that binds.

The rivals get the same figures as arrays: masses in whole 0.01 g, times in whole milliseconds.
"""

from dataclasses import dataclass, replace

import numpy as np

from solver.case import FIXED, NEVER, Case, Ints
from solver.choice import choose

NEEDS = 12
TASKS = 4
SIZES_MM = (60, 100, 150, 220, 300)
LIMITS = {"medium": 0.5, "tight": 0.15}  # where between the fastest kit's day and the lightest kit's the limit lies


@dataclass(frozen=True)
class Instance:
    """One case as arrays: mass [T], work [J, T] (NEVER where a tool can't), the work limit [ms]."""

    name: str
    mass: Ints
    work: Ints
    cap: int

    def case(self) -> Case:
        """The case as the service frames it, not yet reduced."""
        return framed(self.mass, self.work, self.cap)


def framed(mass: Ints, work: Ints, cap: int | None) -> Case:
    """A case of single-task jobs without rules between tools."""
    jobs, tools = work.shape
    return Case(
        ids=tuple(f"t{number:06d}" for number in range(tools)),
        mass=mass,
        price=np.zeros(tools, dtype=np.int64),
        work=work,
        able=work < NEVER,
        backup=np.zeros(jobs, dtype=np.int64),
        klass=np.full(jobs, FIXED),
        wear=np.zeros((jobs, tools)),
        kcal=np.zeros((jobs, tools)),
        work_cap=cap,
    )


def instance(tools: int, seed: int, limit: str) -> Instance:
    """Tools able at one to three tasks with scores of whole points; able and quick tools weigh more."""
    rng = np.random.default_rng([tools, seed])
    able = rng.random((TASKS, tools)) < 1 / 2
    able[rng.integers(TASKS, size=tools), np.arange(tools)] = True
    score = np.where(able, rng.integers(1, 11, size=(TASKS, tools)), 0)
    largest = rng.choice(SIZES_MM, size=(TASKS, tools))
    bulk = (score * largest).sum(axis=0)
    mass = np.rint(3_000 + 100 * bulk * rng.uniform(0.1, 1.0, size=tools)).astype(np.int64)
    task = np.arange(NEEDS) % TASKS
    diameter = rng.integers(2, 20, size=NEEDS) * 10
    minutes = rng.integers(1, 9, size=NEEDS) * diameter / 20
    with np.errstate(divide="ignore"):
        times = np.rint(minutes[:, None] * 10 / score[task] * 60_000)
    can = able[task] & (largest[task] >= diameter[:, None])
    work = np.where(can, np.minimum(times, 2.0**46), float(NEVER)).astype(np.int64)
    work = work[can.any(axis=1)]
    free = framed(mass, work, None)
    slow = choose(free).ids
    assert slow is not None
    lightest = int(work[:, sorted(free.place[name] for name in slow)].min(axis=1).sum())
    fastest = int(work.min(axis=1).sum())
    cap = fastest + int((lightest - fastest) * LIMITS[limit])
    return Instance(f"{tools}/{seed}/{limit}", mass, work, cap)


def reduced(one: Instance) -> Case:
    """The case of an instance as our reductions leave it."""
    from solver.reduction import reduce

    return reduce(replace(one.case()), by_effort=False)
