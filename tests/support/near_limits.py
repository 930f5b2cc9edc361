"""Random trips whose limits stand at the exact figures of their own kits, or one unit beside them.

A unit is 0.01 g, 0.01 of the price, one tool, the last decimal of the minutes, a gram of firewood, and about a
millionth of a life.
"""

import math
from collections import Counter
from fractions import Fraction
from random import Random
from typing import Any

from exact_trip import EDGE, GRAMS, LIFE, TEETH, DayProgram, ExactTrip, Packed
from oracle import HUNDREDTHS, MS_PER_MIN, Row
from random_trips import chance, random_trip
from random_wood_trips import random_wood_trip

MOST_MIN = 1440
ASIDE = (-1, 0, 0, 1)  # units from a kit's own figure
DIGITS = (5, 5, 7, 9)  # of the minutes of a limit
TASKS_OF = {TEETH: ("saw",), EDGE: ("split", "carve", "chop")}
TRIES = 60
MOST_MEMBERS = 3  # every way to deal a kit out is looked at


def near_trip(rng: Random, *, most: int = 6, wood: int = 50, robust: bool = False, members: bool = False) -> Row:
    """A trip near its limits; now and then one that has no kit at all.

    Args:
        rng: source of all choices.
        most: greatest number of tools.
        wood: in how many of a hundred there may be a fire, camp work and wear.
        robust: whether safety against a loss is asked for now and then.
        members: whether the members of the party may state what they carry.
    """
    for _ in range(TRIES):
        trip = drawn(rng, most=most, wood=wood)
        if robust and chance(rng, 30):
            trip["robust"] = {"needs": rng.choice(("critical", "all")), "work_multiple": rng.choice((1, 1.5, 2))}
        kits = ExactTrip(trip).all_kits
        if kits or chance(rng, 3):
            return near(rng, trip, members=members) if kits else trip
    raise AssertionError(f"no such trip in {TRIES} draws")


def drawn(rng: Random, *, most: int, wood: int) -> Row:
    """A random trip of least mass."""
    if chance(rng, wood):
        trip = random_wood_trip(rng, fewest=3, most=max(3, most - 1))
    else:
        trip = random_trip(rng, fewest=3, most=most, needs_most=4)
    if chance(rng, 30):
        for tool in trip["tools"]:
            tool["mass_g"] = round(tool["mass_g"] * rng.choice((0.1, 1, 10)) + rng.randint(0, 300) / 100, 2)
    return trip | {"aim": "mass"}


def near(rng: Random, trip: Row, *, members: bool = False) -> Row:
    """The trip with lives, firewood and limits near the figures of one of its kits."""
    if chance(rng, 40):
        trip = near_life(rng, trip)
    if chance(rng, 30):
        trip = near_reach(rng, trip)
    exact = ExactTrip(trip)
    if not exact.all_kits:
        return trip
    kits = exact.all_kits
    target = rng.choice(kits[: max(1, math.ceil(len(kits) * rng.choice((0.1, 0.3, 1))))])
    limits = dict(trip.get("limits", {}))
    if chance(rng, 70):
        limits["work_min_per_day"] = near_minutes(rng, exact, target)
    elif chance(rng, 70):
        limits["work_min_per_day"] = MOST_MIN * exact.people
    if chance(rng, 30):
        limits["mass_g"] = max(0, target.mass_cg + rng.choice(ASIDE)) / HUNDREDTHS
    if chance(rng, 25):
        limits["price"] = max(0, target.cents + rng.choice(ASIDE)) / HUNDREDTHS
    if chance(rng, 15):
        limits["tools_at_most"] = max(0, target.count + rng.choice(ASIDE))
    trip = trip | {"limits": limits}
    few = trip.get("people", 1) <= MOST_MEMBERS
    return near_members(rng, trip, target) if members and few and chance(rng, 25) else trip


def near_minutes(rng: Random, exact: ExactTrip, kit: Packed) -> float:
    """A work limit at a kit's day or at the next decimal below it, or a millisecond off."""
    scale = 10 ** rng.choice(DIGITS)
    told = exact.told_ms(max(0, kit.ms + rng.choice((-1, 0, 0, 0, 1)))) / MS_PER_MIN
    just = Fraction(math.ceil(told * scale), scale)
    below = Fraction(math.ceil(told * scale) - 1, scale)
    value = float(rng.choice((just, just, below)))
    return min(max(1.0, value), float(MOST_MIN * exact.people))


def near_life(rng: Random, trip: Row) -> Row:
    """The trip in which the teeth or the edge of a tool last about as long as a kit asks of them."""
    exact = ExactTrip(trip)
    worn = [
        (ids, name, part)
        for ids in (kit.ids for kit in exact.all_kits)
        for (name, part), spent in spent_by(exact, ids).items()
        if spent
    ]
    if not worn:
        return trip
    ids, name, part = rng.choice(worn)
    wanted = GRAMS * (LIFE + rng.choice(ASIDE))
    for _ in range(4):
        spent = spent_by(ExactTrip(trip), ids)[name, part]
        if spent in (0, wanted):
            break
        tools = [_lasting(tool, part, spent / wanted) if tool["id"] == name else tool for tool in trip["tools"]]
        trip = trip | {"tools": tools}
    return trip


def _lasting(tool: Row, part: int, times: float) -> Row:
    """The tool with so many times the lives of a part."""
    lives = {f"{task}_life": tool[f"{task}_life"] * times for task in TASKS_OF[part] if tool.get(f"{task}_life")}
    return tool | {field: min(max(life, 1e-3), 1e12) for field, life in lives.items()}


def spent_by(exact: ExactTrip, ids: tuple[str, ...]) -> Counter[tuple[str, int]]:
    """What a kit spends of each part [millionths, in thousandths] where each job goes to the quickest."""
    program = DayProgram(exact, [exact.tools[name] for name in sorted(set(ids))], exact.jobs, life=False)
    return program.quickest()[1]


def near_reach(rng: Random, trip: Row) -> Row:
    """The trip with just as much wood within reach as it wants, or a gram more or less."""
    sizes = trip.get("wood", {}).get("diameters")
    exact = ExactTrip(trip)
    if not sizes or not exact.demand_g or sum(one["reach_kg_per_day"] for one in sizes) == 0:
        return trip
    others = sum(round(one["reach_kg_per_day"] * GRAMS) for one in sizes[1:])
    left = exact.demand_g - others + rng.choice(ASIDE)
    if left < 0:
        return trip
    first = sizes[0] | {"reach_kg_per_day": left / GRAMS}
    return trip | {"wood": trip["wood"] | {"diameters": [first, *sizes[1:]]}}


def near_members(rng: Random, trip: Row, kit: Packed) -> Row:
    """The trip whose members can just carry a kit, or just not."""
    people: int = trip.get("people", 1)
    room: list[Any] = [kit.mass_cg * rng.choice((0.3, 0.5, 0.7)) / HUNDREDTHS for _ in range(people - 1)]
    left = kit.mass_cg - sum(math.floor(one * HUNDREDTHS) for one in room) + rng.choice(ASIDE)
    room.append(max(0, left) / HUNDREDTHS)
    members = [{"name": f"member {n}", "carries_at_most_g": round(one, 2)} for n, one in enumerate(room, start=1)]
    return trip | {"members": members}
