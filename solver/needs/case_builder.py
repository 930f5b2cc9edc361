"""From a trip's allowed tools and needs to the case that the program solves."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, cached_property, lru_cache
from typing import Any

import numpy as np

from catalog import Method
from catalog.tables.number import Bools, Ints, N, Truth, abreast, negated, somewhere
from catalog.walking.labour import activity_of, net_kcal_per_min
from solver.exact.members import Members
from solver.forms.aim import AIMS
from solver.forms.limit import LIMITS, MEMBERS, WORK
from solver.forms.quantity import GRAMS_PER_KG, MILLIONTHS, MS_PER_MINUTE, UNITS_PER_GRAM, decimal_of
from solver.forms.trip import Trip
from solver.model.case import FIXED, Case
from solver.model.firewood import Firewood
from solver.model.rest import Rest
from solver.needs.ability import Ability, Workers
from solver.needs.candidates import Candidates, whole_units
from solver.needs.job import KNIFE
from solver.needs.need import Need
from solver.needs.wood_class import WoodClass
from solver.place.fire_use import FireUse

ANSWER_DIGITS = 6  # judged: digits after the point that an answer carries


@dataclass(frozen=True)
class Asked:
    """What each of some jobs is due for: a need, then its backup; or a class of firewood; and whether it is a knife."""

    backup: Ints
    wood_class: Ints
    knife: Bools

    @cached_property
    def each_carries(self) -> frozenset[int]:
        """The jobs of which each member carries a tool, where members are limited: knives, with a backup."""
        return frozenset(np.flatnonzero(self.knife & (self.backup > 0)).tolist())

    def of_jobs(self, jobs: Ints) -> "Asked":
        """Return that of some of the jobs (places)."""
        return Asked(self.backup[jobs], self.wood_class[jobs], self.knife[jobs])


def asked_of(needs: Sequence[Need[N]], classes: Sequence[WoodClass[N]]) -> Asked:
    """Return what the jobs of needs, then of classes of firewood, are due for."""
    wood_class = [FIXED] * len(needs) + [c for c, one in enumerate(classes) for _ in one.jobs]
    backup, knife = np.zeros(len(wood_class), dtype=np.int64), np.zeros(len(wood_class), dtype=bool)
    backup[: len(needs)] = [need.backup for need in needs]
    knife[: len(needs)] = [need.job.task == KNIFE for need in needs]
    return Asked(backup, np.array(wood_class, dtype=np.int64), knife)


def build_case(
    trip: Trip,
    asked: Asked,
    ability: Ability,
    *,
    firewood: Firewood | None,
    kcal_per_g: float,
    rest: Rest,
    rules: Case | Candidates,
) -> Case:
    """Return the case of a trip; tools that must go but may not are left to the caller.

    Args:
        trip: what the traveller asks.
        asked: what each job is due for.
        ability: who does which job in what time, where the fire's own methods are shut out.
        firewood: firewood of a day.
        kcal_per_g: what carrying costs a day.
        rest: what a day's work takes besides.
        rules: the tools and methods, or a case of the same trip and tools, whose masses, rules and limits are taken
            over.
    """
    jobs: dict[str, Any] = {
        "work": ability.work,
        "able": ability.able,
        "backup": asked.backup,
        "wood_class": asked.wood_class,
        "wear": ability.wear,
        "kcal": ability.kcal,
        "part": ability.part,
        "slower": ability.further.ways,
        "carry": kcal_per_g / UNITS_PER_GRAM,
        "firewood": firewood,
        "rest": rest,
        "each_carries": asked.each_carries,
    }
    if isinstance(rules, Case):
        case = rules.changed(**jobs)
    else:
        caps = _caps_of(trip, rest) | ({MEMBERS.field: 0} if trip.members else {})
        case = Case(**_rules_of(trip, rules), **jobs, caps=caps)
    return case if AIMS[trip.aim].by_kcal else with_ways_against_wear(case)


def with_ways_against_wear(case: Case) -> Case:
    """Return the case with further ways only of tools that can wear out: the fastest way serves any other."""
    if not len(case.slower):
        return case
    worn = np.append(case.mortal, np.zeros(len(case.methods), dtype=bool))
    return case.changed(slower=case.slower.chosen(worn[case.slower.worker])).as_mortal_as(case)


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


def _caps_of(trip: Trip, rest: Rest) -> dict[str, int]:
    """Return the limits that are set in whole units, by their fields."""
    limits = trip.limits
    found = {limit.field: cap(getattr(limits, limit.field), limit.per_unit) for limit in LIMITS}
    found[WORK.field] = work_cap_of(trip, rest)
    return {field: value for field, value in found.items() if value is not None}


def work_cap_of(trip: Trip, rest: Rest) -> int | None:
    """Return the limit on a day's work without rest [ms]: the longest day that is within it with its rest."""
    limit = trip.limits.work_min_per_day
    return None if limit is None else _longest_work(limit, rest)


@lru_cache
def _longest_work(limit_min: float, rest: Rest) -> int:
    """Return the work of the longest day within a limit with its rest [ms]."""
    return math.floor(rest.work(decimal_of(limit_min) * MS_PER_MINUTE))


def rest_of(people: int, *, share: float, free_min: float) -> Rest:
    """Return the rest that a day's work of so many people takes.

    Args:
        people: who works.
        share: of all work beyond what asks for no rest [-].
        free_min: what asks for none [min a person].
    """
    return Rest(decimal_of(share), decimal_of(free_min) * MS_PER_MINUTE * people)


def shut_methods(
    needs: Sequence[Need[N]], classes: Sequence[WoodClass[N]], workers: Workers
) -> list[list[tuple[int, Truth]]]:
    """Return the methods that can't do each job, with where they can't: those of the fire's own, and broken wood.

    They do only where wood may be so long.
    """
    burning: list[tuple[int, Truth]] = [(worker, True) for worker in burning_of(workers)]
    methods = [(w, workers.rows[w]) for w in range(workers.carried, len(workers.rows))]
    found: list[list[tuple[int, Truth]]] = [burning for _ in needs]
    for one in classes:
        worked = [(w, negated(one.worked_by(row))) for w, row in methods if isinstance(row, Method)]
        found += [[(w, shut) for w, shut in worked if somewhere(shut)]] * len(one.jobs)
    return found


def burning_of(workers: Workers) -> list[int]:
    """Return the methods that serve only the trip's own fire."""
    methods = range(workers.carried, len(workers.rows))
    return [w for w in methods if getattr(workers.rows[w], "own_fire", False)]


@dataclass(frozen=True)
class WoodFigures:
    """The figures of `Firewood`, of one trip, or along an axis of draws, int[E] and int[E, C]; 0 where none is due."""

    demand_g: Ints
    reach_g: Ints
    gather: Ints
    gather_kcal: Ints

    def over(self, size: int) -> "WoodFigures":
        """Return the figures along an axis of a size, where they may be the same all along it."""
        demand, *others = self.demand_g, self.reach_g, self.gather, self.gather_kcal
        wide = (np.broadcast_to(each, (size, each.shape[-1])) for each in others)
        return WoodFigures(np.broadcast_to(demand, size), *wide)

    def at(self, *element: int) -> Firewood | None:
        """Return the firewood of a day, of an axis that of an element; None where none is wanted."""
        if not self.demand_g[element]:
            return None
        return Firewood(
            int(self.demand_g[element]), self.reach_g[element], self.gather[element], self.gather_kcal[element]
        )


def firewood_of(uses: Sequence[FireUse[N]], classes: Sequence[WoodClass[N]], body_kg: N) -> WoodFigures:
    """Return the firewood of a day."""
    if not uses and not classes:
        return _no_wood()
    demand_kg: N = sum(use.kg for use in uses)
    rate = net_kcal_per_min(met=activity_of("gather").met, body_kg=body_kg)
    minutes = [one.gather_min_per_kg for one in classes]
    grams_due = np.maximum(1, np.rint(np.multiply(demand_kg, GRAMS_PER_KG)))
    return WoodFigures(
        np.where(np.asarray(demand_kg) > 0, grams_due, 0).astype(np.int64),
        whole_units(abreast([one.reach_kg for one in classes]), GRAMS_PER_KG),
        whole_units(abreast(minutes), MS_PER_MINUTE),
        whole_units(abreast([each * rate for each in minutes]), MILLIONTHS),
    )


@cache
def _no_wood() -> WoodFigures:
    """Return the firewood of a day without a fire."""
    none = np.zeros(0, dtype=np.int64)
    return WoodFigures(np.zeros((), dtype=np.int64), none, none, none)


def cap(limit: float | None, per_unit: int) -> int | None:
    """Return a limit, read as a decimal, in whole units; what is finer is cut off."""
    return None if limit is None else math.floor(decimal_of(limit) * per_unit)


def grams(units: float) -> float:
    """Return 0.01 g as grams."""
    return round(units / UNITS_PER_GRAM, ANSWER_DIGITS)


def minutes(milliseconds: Fraction | float) -> float:
    """Return milliseconds as minutes, to the nearest."""
    return round(float(milliseconds) / MS_PER_MINUTE, ANSWER_DIGITS)
