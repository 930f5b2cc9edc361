"""From a trip's allowed tools and needs to the case that the program solves."""

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from catalog.labour import activity_of, net_kcal_per_min
from solver.ability import MS_PER_MINUTE, WEARING, Ability, Workers
from solver.case import FIXED, NEVER, Bools, Case, Firewood, Group, Ints, Renewal
from solver.firewood import WoodClass
from solver.need import Need
from solver.trip import Trip

UNITS_PER_GRAM = 100
UNITS_PER_PRICE = 100
DIGITS = 6  # judged: digits after the point that an answer carries
TOLERANCE = 1e-6  # judged: of a unit; 17.4 g x 100 is 1739.9999999999998 in binary


def frame(
    trip: Trip,
    needs: Sequence[Need],
    classes: Sequence[WoodClass],
    workers: Workers,
    ability: Ability,
    *,
    demand_kg: float,
    kcal_per_g: float,
    body_kg: float,
    like: Case | None = None,
) -> Case:
    """Return the case of a trip; tools that must go but may not are left to the caller.

    The jobs are the needs, then those of each class of firewood.

    Args:
        trip: what the traveller asks.
        needs: jobs with a fixed amount a day.
        classes: classes of firewood.
        workers: tools, then methods.
        ability: who does which job in what time.
        demand_kg: firewood of a day [kg].
        kcal_per_g: what carrying costs a day.
        body_kg: body of who works [kg].
        like: a case of the same trip and tools, whose masses and rules are taken over.
    """
    klass = [FIXED] * len(needs) + [c for c, one in enumerate(classes) for _ in one.jobs]
    work, able = without_fire_methods(ability, classes, klass, workers)
    jobs: dict[str, Any] = {
        "work": work,
        "able": able,
        "backup": np.array([need.backup for need in needs] + [0] * (len(klass) - len(needs)), dtype=np.int64),
        "klass": np.array(klass, dtype=np.int64),
        "wear": ability.wear,
        "kcal": ability.kcal,
        "carry": kcal_per_g / UNITS_PER_GRAM,
        "firewood": firewood_of(classes, demand_kg, body_kg),
    }
    return Case(**rules_of(trip, workers), **jobs) if like is None else replace(like, **jobs)


def rules_of(trip: Trip, workers: Workers) -> dict[str, Any]:
    """Return the fields of a case that do not hang on its jobs: masses, prices, rules between tools, limits."""
    tools = workers.rows[: workers.carried]
    place = {tool.id: index for index, tool in enumerate(tools)}
    limits = trip.limits
    return {
        "ids": tuple(tool.id for tool in tools),
        "mass": whole([tool.packed_mass_g for tool in tools], UNITS_PER_GRAM),
        "price": whole([tool.price or 0.0 for tool in tools], UNITS_PER_PRICE),
        "methods": tuple(method.id for method in workers.rows[workers.carried :]),
        "groups": tuple(companions(workers, place)),
        "renewals": tuple(renewals(trip, workers, place)),
        "must": frozenset(place[name] for name in trip.must_carry if name in place),
        "mass_cap": cap(limits.mass_g, UNITS_PER_GRAM),
        "price_cap": cap(limits.price, UNITS_PER_PRICE),
        "work_cap": cap(limits.work_min_per_day, MS_PER_MINUTE),
    }


def without_fire_methods(
    ability: Ability, classes: Sequence[WoodClass], klass: Sequence[int], workers: Workers
) -> tuple[Ints, Bools]:
    """Return work and ability with the fire's own methods only where wood needs no splitting after."""
    work, able = ability.work.copy(), ability.able.copy()
    burning = burning_of(workers)
    for job, one in enumerate(klass):
        if one == FIXED or classes[one].split is not None:
            work[job, burning], able[job, burning] = NEVER, False
    return work, able


def burning_of(workers: Workers) -> list[int]:
    """Return the methods that serve only the trip's own fire."""
    methods = range(workers.carried, len(workers.rows))
    return [w for w in methods if getattr(workers.rows[w], "own_fire", False)]


def firewood_of(classes: Sequence[WoodClass], demand_kg: float, body_kg: float) -> Firewood | None:
    """Return the firewood of a day, or None where none is wanted."""
    if not demand_kg:
        return None
    rate = net_kcal_per_min(met=activity_of("gather").met, body_kg=body_kg)
    minutes = [one.gather_min_per_kg for one in classes]
    return Firewood(
        demand_kg=demand_kg,
        reach_kg=np.array([one.reach_kg for one in classes]),
        gather=whole(minutes, MS_PER_MINUTE),
        gather_kcal=np.array(minutes) * rate,
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


def renewals(trip: Trip, workers: Workers, place: dict[str, int]) -> list[Renewal]:
    """Return what renews each tool that something renews; without upkeep a tool is its own sharpener."""
    return [
        renewal(index, workers, place) if trip.upkeep else own_renewal(index, workers)
        for index, row in enumerate(workers.rows[: workers.carried])
        if row.sharpened_by
    ]


def renewal(index: int, workers: Workers, place: dict[str, int]) -> Renewal:
    """Return what renews one tool.

    A renewer that states a life at a task of the tool and can't do that task itself is a spare: it adds
    its life once. Any other renews without end.
    """
    tool = workers.rows[index]
    sharpeners = np.zeros(workers.carried, dtype=bool)
    spares: dict[int, float] = {}
    for name in tool.sharpened_by:
        if name not in place:
            continue
        share = spare_share(index, place[name], workers)
        if share is None:
            sharpeners[place[name]] = True
        else:
            spares[place[name]] = share
    return Renewal(index, sharpeners, spares)


def spare_share(tool: int, spare: int, workers: Workers) -> float | None:
    """Return the life that a spare adds, as a share of the tool's, or None where it is no spare."""
    worn, whole = workers.rows[tool], workers.rows[spare]
    for way in WEARING:
        life, added = getattr(worn, f"{way}_life"), getattr(whole, f"{way}_life")
        if life is not None and added is not None and not getattr(whole, f"{way}_score"):
            return float(added / life)
    return None


def own_renewal(index: int, workers: Workers) -> Renewal:
    """Return the renewal of a tool that stays sharp by itself."""
    sharpeners = np.zeros(workers.carried, dtype=bool)
    sharpeners[index] = True
    return Renewal(index, sharpeners)


def grams(units: float) -> float:
    """Return 0.01 g as grams."""
    return round(units / UNITS_PER_GRAM, DIGITS)


def minutes(milliseconds: float) -> float:
    """Return milliseconds as minutes."""
    return round(milliseconds / MS_PER_MINUTE, DIGITS)
