"""A day's route: its legs up, level and down, and what a gram in the pack costs on them."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic

from catalog.tables.assumption import assumed
from catalog.tables.number import N, maximum, minimum, somewhere, where
from catalog.tables.remembered import tabled
from catalog.tables.validity import require, validities
from catalog.walking.load_carriage import lcda_w_per_kg, terrains, walking_w_per_kg
from catalog.walking.pace import tobler_km_h

# Unit factor: joules in a thermochemical kilocalorie.
J_PER_KCAL = 4184


@dataclass(frozen=True)
class Leg(Generic[N]):
    """A stretch of even slope: its way [km], grade [%], speed [m/s] and time [s]."""

    name: str
    way_km: N
    grade_pct: N
    speed_m_s: N
    seconds: N


@dataclass(frozen=True)
class CarryingCost(Generic[N]):
    """What one more gram costs a day by both models [kcal/g], the hours walked [h], and what is outside an equation.

    `outside` tells each figure that an equation does not hold for and that counts as the end of its range.
    """

    pandolf_santee_kcal_per_g: N
    lcda_kcal_per_g: N
    walking_h: N
    assumptions: tuple[str, ...]
    outside: tuple[str, ...] = ()


def _leg(name: str, way_km: N, grade_pct: N, changed: Mapping[str, N] | None) -> Leg[N]:
    share = assumed("loaded_pace", changed)
    speed_m_s = share * tobler_km_h(grade=grade_pct / 100) * 1000 / 3600
    return Leg(name, way_km, grade_pct, speed_m_s, 1000 * way_km / speed_m_s)


def legs_of_day(*, km_per_day: N, climb_m_per_day: N, changed: Mapping[str, N] | None = None) -> tuple[Leg[N], ...]:
    """Split a day's way into legs up, level and down.

    Assumptions: what is climbed is descended the same day; slopes have the assumed grade, and only where
    the way is too short for that, half of it goes up and half down at the grade that results. The speed of
    a leg is Tobler's on its grade times an assumed share for the pack; terrain does not change it.

    Args:
        km_per_day: Way [km].
        climb_m_per_day: Metres gained [m].
        changed: Assumptions tried instead of the table's, by id.

    Returns:
        The legs that have any length, in arrays those that have some in any draw; none on a day without walking.

    Raises:
        RangeError: Outside ranges.csv, among them slopes too steep (feet given for metres?) and days of
            more than 24 h.
    """
    require("walking.route.legs_of_day", km_per_day=km_per_day, climb_m_per_day=climb_m_per_day)
    usual_pct = assumed("slope_grade", changed)
    usual_km = climb_m_per_day / (10 * usual_pct)
    half_km = km_per_day / 2
    too_short = 2 * usual_km > km_per_day
    slope_km = where(too_short, lambda: half_km, lambda: usual_km)

    def steeper() -> N:
        return where(half_km > 0, lambda: climb_m_per_day / (10 * half_km), lambda: math.inf)

    grade_pct = where(too_short, steeper, lambda: usual_pct)
    require("walking.route.legs_of_day", grade_pct=grade_pct)
    ways = (
        ("up", slope_km, grade_pct),
        ("level", km_per_day - 2 * slope_km, 0.0),
        ("down", slope_km, -grade_pct),
    )
    legs = tuple(_leg(name, way_km, grade, changed) for name, way_km, grade in ways if somewhere(way_km > 0))
    require("walking.route.legs_of_day", walking_h=sum(leg.seconds for leg in legs) / 3600)
    return legs


def _terrain_factor(terrain: str) -> float:
    """Return the factor of a terrain id [-].

    Raises:
        KeyError: No such terrain in terrain.csv.
    """
    return terrains()[terrain]


def _leg_joules_per_kg(
    leg: Leg[N], *, body_kg: N, pack_kg: N, terrain: N, changed: Mapping[str, N] | None
) -> tuple[N, N]:
    """Return the energy that a kilogram costs on a leg by Pandolf-Santee and by LCDA [J/kg]."""
    steepest_down = validities()["walking.load_carriage.santee_w"]["grade_pct"].low
    lcda_ranges = validities()["walking.load_carriage.lcda_w_per_body_kg"]
    pandolf_santee = walking_w_per_kg(
        body_kg=body_kg,
        load_kg=pack_kg,
        speed_m_s=leg.speed_m_s,
        grade_pct=maximum(leg.grade_pct, steepest_down),
        terrain=terrain,
        changed=changed,
    )
    lcda = lcda_w_per_kg(
        body_kg=body_kg,
        load_kg=minimum(pack_kg, lcda_ranges["load_ratio"].high * body_kg),
        speed_m_s=maximum(leg.speed_m_s, lcda_ranges["speed_m_s"].low),
        grade_pct=leg.grade_pct,
        terrain=terrain,
    )
    return pandolf_santee * leg.seconds, lcda * leg.seconds


def _outside(legs: tuple[Leg[N], ...], *, body_kg: N, pack_kg: N) -> tuple[str, ...]:
    """Return in words what an equation does not hold for, and counts as the end of its range instead."""
    lcda = validities()["walking.load_carriage.lcda_w_per_body_kg"]
    down = validities()["walking.load_carriage.santee_w"]["grade_pct"].low
    found = []
    if somewhere(pack_kg > lcda["load_ratio"].high * body_kg):
        found.append(f"a pack of more than {100 * lcda['load_ratio'].high:g} % of the body (LCDA)")
    if any(somewhere(leg.speed_m_s < lcda["speed_m_s"].low) for leg in legs):
        found.append(f"a speed below {lcda['speed_m_s'].low:g} m/s (LCDA)")
    if any(somewhere(leg.grade_pct < down) for leg in legs):
        found.append(f"a descent steeper than {-down:g} % (Santee)")
    return tuple(found)


def cost_on_legs(
    legs: tuple[Leg[N], ...],
    *,
    body_kg: N,
    pack_kg: N,
    terrain: N,
    changed: Mapping[str, N] | None = None,
) -> CarryingCost[N]:
    """Return what one more gram in the pack costs over given legs.

    Marginal: the derivative at the pack as it is, so rest and the unloaded walk drop out. Down slopes
    steeper than Santee's form is used for count at its steepest grade; a load or a speed that LCDA does not hold
    for counts as the end of its range. `outside` says so.

    Args:
        legs: The day's legs.
        body_kg: Person [kg].
        pack_kg: Pack without the tools weighed [kg].
        terrain: Terrain factor [-].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv.
    """
    pandolf_santee_j: N = 0.0
    lcda_j: N = 0.0
    for leg in legs:
        one, other = _leg_joules_per_kg(leg, body_kg=body_kg, pack_kg=pack_kg, terrain=terrain, changed=changed)
        pandolf_santee_j += one
        lcda_j += other
    return CarryingCost(
        pandolf_santee_kcal_per_g=pandolf_santee_j / J_PER_KCAL / 1000,
        lcda_kcal_per_g=lcda_j / J_PER_KCAL / 1000,
        walking_h=sum(leg.seconds for leg in legs) / 3600,
        assumptions=("slope_grade", "loaded_pace", "santee_from_grade"),
        outside=_outside(legs, body_kg=body_kg, pack_kg=pack_kg) if legs else (),
    )


@tabled
def carrying_cost(
    *,
    km_per_day: N,
    climb_m_per_day: N,
    terrain: str,
    body_kg: N,
    pack_kg: N,
    changed: Mapping[str, N] | None = None,
) -> CarryingCost[N]:
    """Return what one more gram costs on a day of this route, by both models.

    Args:
        km_per_day: Way [km].
        climb_m_per_day: Metres gained, and lost again [m].
        terrain: Id in terrain.csv.
        body_kg: Person [kg].
        pack_kg: Pack without the tools weighed [kg].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv.
        KeyError: No such terrain.
    """
    require("walking.route.carrying_cost", body_kg=body_kg, pack_kg=pack_kg)
    legs = legs_of_day(km_per_day=km_per_day, climb_m_per_day=climb_m_per_day, changed=changed)
    return cost_on_legs(legs, body_kg=body_kg, pack_kg=pack_kg, terrain=_terrain_factor(terrain), changed=changed)
