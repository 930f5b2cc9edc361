"""From a trip's allowed tools and needs to the case that the program solves."""

import math
from collections.abc import Sequence

import numpy as np

from solver.ability import MS_PER_MINUTE, Ability, Workers
from solver.case import Bools, Case, Group, Ints
from solver.need import Need
from solver.trip import Trip

UNITS_PER_GRAM = 100
UNITS_PER_PRICE = 100
TOLERANCE = 1e-6  # of a unit: 17.4 g x 100 is 1739.9999999999998 in binary


def frame(trip: Trip, needs: Sequence[Need], workers: Workers, ability: Ability) -> Case:
    """Return the case of a trip; tools that must go but may not are left to the caller."""
    tools = workers.rows[: workers.carried]
    place = {tool.id: index for index, tool in enumerate(tools)}
    limits = trip.limits
    return Case(
        ids=tuple(tool.id for tool in tools),
        mass=whole([tool.packed_mass_g for tool in tools], UNITS_PER_GRAM),
        price=whole([tool.price or 0.0 for tool in tools], UNITS_PER_PRICE),
        work=ability.work,
        able=ability.able,
        backup=np.array([need.backup for need in needs], dtype=np.int64),
        methods=tuple(method.id for method in workers.rows[workers.carried :]),
        groups=tuple(companions(workers, place)),
        must=frozenset(place[name] for name in trip.must_carry if name in place),
        mass_cap=cap(limits.mass_g, UNITS_PER_GRAM),
        price_cap=cap(limits.price, UNITS_PER_PRICE),
        work_cap=cap(limits.work_min_per_day, MS_PER_MINUTE),
    )


def whole(values: Sequence[float], per_unit: int) -> Ints:
    """Return values as whole units, rounded half to even."""
    units: Ints = np.rint(np.array(values, dtype=float) * per_unit).astype(np.int64)
    return units


def cap(limit: float | None, per_unit: int) -> int | None:
    """Return a limit in whole units; what is finer is cut off."""
    return None if limit is None else math.floor(limit * per_unit + TOLERANCE)


def companions(workers: Workers, place: dict[str, int]) -> list[Group]:
    """Return a rule per companion group of every tool and method."""
    return [
        Group(index, members(group, workers, place)) for index, row in enumerate(workers.rows) for group in row.needs
    ]


def members(group: Sequence[str], workers: Workers, place: dict[str, int]) -> Bools:
    """Return which tools serve a companion group: those named, and those able at a task it names."""
    serving = np.zeros(workers.carried, dtype=bool)
    for member in group:
        if member.startswith("can:"):
            serving |= workers.score[member.removeprefix("can:")][: workers.carried] > 0
        elif member in place:
            serving[place[member]] = True
    return serving


def grams(units: int) -> float:
    """Return whole 0.01 g as grams."""
    return units / UNITS_PER_GRAM


def minutes(milliseconds: int) -> float:
    """Return milliseconds as minutes."""
    return round(milliseconds / MS_PER_MINUTE, 6)
