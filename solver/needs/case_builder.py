"""From a trip's allowed tools and needs to the case that the program solves."""

import math
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

import numpy as np

from catalog import Method
from catalog.tables.ledger import Ledger
from catalog.tables.number import Bools, Ints
from catalog.walking.labour import activity_of, net_kcal_per_min
from solver.forms.aim import AIMS
from solver.forms.limit import LIMITS, MEMBERS, WORK
from solver.forms.quantity import GRAMS_PER_KG, MILLIONTHS, MS_PER_MINUTE, UNITS_PER_GRAM, decimal_of
from solver.forms.trip import Limits, Trip
from solver.model.case import FIXED, NEVER, Case, Firewood
from solver.model.members import Members
from solver.model.rest import Rest
from solver.needs.ability import Ability, Workers
from solver.needs.candidates import Candidates, whole_units
from solver.needs.job import KNIFE
from solver.needs.need import Need
from solver.needs.wood_class import WoodClass

ANSWER_DIGITS = 6  # judged: digits after the point that an answer carries


def build_case(
    trip: Trip,
    needs: Sequence[Need],
    classes: Sequence[WoodClass],
    workers: Workers,
    ability: Ability,
    *,
    demand_kg: float,
    kcal_per_g: float,
    body_kg: float,
    rest: Rest,
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
        rest: what a day's work takes besides.
        like: a case of the same trip and tools, whose masses and rules are taken over.
    """
    wood_class = [FIXED] * len(needs) + [c for c, one in enumerate(classes) for _ in one.jobs]
    work, able = _without_fire_methods(ability, classes, wood_class, workers)
    jobs: dict[str, Any] = {
        "work": work,
        "able": able,
        "backup": np.array([need.backup for need in needs] + [0] * (len(wood_class) - len(needs)), dtype=np.int64),
        "wood_class": np.array(wood_class, dtype=np.int64),
        "wear": ability.wear,
        "kcal": ability.kcal,
        "part": ability.part,
        "slower": ability.further.ways.chosen(_there(ability, work)),
        "carry": kcal_per_g / UNITS_PER_GRAM,
        "firewood": _firewood_of(classes, demand_kg, body_kg),
        "rest": rest,
        "each_carries": frozenset(n for n, need in enumerate(needs) if need.job.task == KNIFE and need.backup),
    }
    caps = _caps_of(trip.limits, rest) | ({MEMBERS.field: 0} if trip.members else {})
    if like is None:
        case = Case(**_rules_of(trip, workers.candidates), **jobs, caps=caps)
    else:
        if WORK.field in like.caps:
            jobs["caps"] = {**like.caps, WORK.field: caps[WORK.field]}
        case = replace(like, **jobs)
    return case if AIMS[trip.aim].by_kcal else with_ways_against_wear(case)


def _there(ability: Ability, work: Ints) -> Bools:
    """Tell of which further ways the worker may do the job."""
    ways = ability.further.ways
    return np.asarray(work[ways.job, ways.worker] < NEVER)


def with_ways_against_wear(case: Case) -> Case:
    """Return the case with further ways only of tools that can wear out: the fastest way serves any other."""
    if not len(case.slower):
        return case
    worn = np.append(case.mortal, np.zeros(len(case.methods), dtype=bool))
    return replace(case, slower=case.slower.chosen(worn[case.slower.worker]))


def _rules_of(trip: Trip, candidates: Candidates) -> dict[str, Any]:
    """Return the fields of a case that do not hang on its jobs: masses, prices, rules between tools."""
    return {
        "ids": candidates.ids,
        "mass": candidates.mass,
        "price": candidates.price,
        "methods": candidates.methods,
        "groups": candidates.groups,
        "renewals": candidates.renewals(upkeep=trip.upkeep),
        "must": frozenset(candidates.place[name] for name in trip.must_carry if name in candidates.place),
        "members": _members_of(trip),
    }


def _members_of(trip: Trip) -> Members | None:
    """Return what the members of the party carry at most; what is finer than 0.01 g is cut off."""
    if not trip.members:
        return None
    return Members(tuple(cap(one.carries_at_most_g, UNITS_PER_GRAM) or 0 for one in trip.members))


def _caps_of(limits: Limits, rest: Rest) -> dict[str, int]:
    """Return the limits that are set in whole units, by their fields."""
    found = {limit.field: cap(getattr(limits, limit.field), limit.per_unit) for limit in LIMITS}
    found[WORK.field] = _work_cap(limits.work_min_per_day, rest)
    return {field: value for field, value in found.items() if value is not None}


def _work_cap(limit: float | None, rest: Rest) -> int | None:
    """Return the limit on a day's work without rest [ms]: the longest day that is within it with its rest."""
    return None if limit is None else math.floor(rest.work(decimal_of(limit) * MS_PER_MINUTE))


def rest_of(people: int, ledger: Ledger) -> Rest:
    """Return the rest that a day's work of so many people takes."""
    return Rest(decimal_of(ledger("rest_share")), decimal_of(ledger("rest_free_min")) * MS_PER_MINUTE * people)


def _without_fire_methods(
    ability: Ability, classes: Sequence[WoodClass], wood_class: Sequence[int], workers: Workers
) -> tuple[Ints, Bools]:
    """Return work and ability with the fire's own methods, and broken wood, only where wood may be so long."""
    work, able = ability.work.copy(), ability.able.copy()
    burning = burning_of(workers)
    for job, one in enumerate(wood_class):
        shut = burning if one == FIXED else _too_long(classes[one], workers)
        work[job, shut], able[job, shut] = NEVER, False
    return work, able


def _too_long(one: WoodClass, workers: Workers) -> list[int]:
    """Return the methods that leave the wood of a class longer than it must be."""
    methods = range(workers.carried, len(workers.rows))
    rows = ((w, workers.rows[w]) for w in methods)
    return [w for w, row in rows if isinstance(row, Method) and not one.worked_by(row)]


def burning_of(workers: Workers) -> list[int]:
    """Return the methods that serve only the trip's own fire."""
    methods = range(workers.carried, len(workers.rows))
    return [w for w in methods if getattr(workers.rows[w], "own_fire", False)]


def _firewood_of(classes: Sequence[WoodClass], demand_kg: float, body_kg: float) -> Firewood | None:
    """Return the firewood of a day, or None where none is wanted."""
    if not demand_kg:
        return None
    rate = net_kcal_per_min(met=activity_of("gather").met, body_kg=body_kg)
    minutes = [one.gather_min_per_kg for one in classes]
    return Firewood(
        demand_g=max(1, round(demand_kg * GRAMS_PER_KG)),
        reach_g=whole_units([one.reach_kg for one in classes], GRAMS_PER_KG),
        gather=whole_units(minutes, MS_PER_MINUTE),
        gather_kcal=whole_units([each * rate for each in minutes], MILLIONTHS),
    )


def cap(limit: float | None, per_unit: int) -> int | None:
    """Return a limit, read as a decimal, in whole units; what is finer is cut off."""
    return None if limit is None else math.floor(decimal_of(limit) * per_unit)


def grams(units: float) -> float:
    """Return 0.01 g as grams."""
    return round(units / UNITS_PER_GRAM, ANSWER_DIGITS)


def minutes(milliseconds: Fraction | float) -> float:
    """Return milliseconds as minutes, to the nearest."""
    return round(float(milliseconds) / MS_PER_MINUTE, ANSWER_DIGITS)
