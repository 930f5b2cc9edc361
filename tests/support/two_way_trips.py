"""Random trips whose tools can do a job in several ways and hardly last: teeth and edge, and what renews each.

Lives and work limits are set after the work is known, half of them within a few per cent of what it takes.
"""

from collections import defaultdict
from random import Random
from typing import Any

from oracle import CUTTING_TASKS, MS_PER_MIN, Row
from random_trips import chance, pick_some
from wood_oracle import Kits
from wood_work import Wood

SCORES = (0.5, 1, 2, 4, 7, 10, 12)
LARGEST_MM = (80, 110, 160, 250)
MASSES_G = (60, 150, 150, 400, 700, 1200)
SIZES_MM = {"buck": (50, 60, 90), "saw": (60, 90), "chop": (50, 80), "carve": (30, 60), "split": (90, 140, 200)}
NEAR = (-0.03, -0.01, -0.002, 0.0, 0.002, 0.01, 0.03)
FAR = (-0.7, -0.3, 0.3, 1.0, 4.0)
PARTS = ("teeth", "edge", "both")
SHORT_WAY = {"km_per_day": 4, "climb_m_per_day": 100}  # so that what work costs decides


def two_way_trip(rng: Random, *, most: int = 4, fewest: int = 1) -> Row:
    """A trip of a few tools and what renews them; tasks, and now and then a fire."""
    tools = [_two_way_tool(rng, f"t{number:02d}") for number in range(rng.randint(fewest, most))]
    tasks = [_task(rng) for _ in range(rng.choice((1, 2, 3)))]
    trip: Row = {"tools": tools, "tasks": tasks, "nights": rng.choice((1, 2, 5)), "field_methods": chance(rng, 25)}
    trip |= {"aim": rng.choice(("mass", "mass", "effort", "work_time")), "knife": "none", "route": SHORT_WAY}
    trip |= {"upkeep": chance(rng, 85), "limits": {"work_min_per_day": 1440}}
    if chance(rng, 30):
        reach = [{"mm": mm, "reach_kg_per_day": 30} for mm in pick_some(rng, (40, 75, 120), 2)]
        trip |= {"fire": {"hot_water_l_per_person": 1}, "wood": {"diameters": reach}}
    _wear_down(rng, trip)
    _add_renewers(rng, trip)
    return with_near_limit(rng, trip) if chance(rng, 50) else trip


def _two_way_tool(rng: Random, name: str) -> Row:
    """A tool that mostly saws and chops, and often carves or splits."""
    tool: Row = {"id": name, "kind": "other", "mass_g": rng.choice(MASSES_G), "price": 5}
    odds = {"saw": 85, "chop": 85, "carve": 50, "split": 50}
    for task in CUTTING_TASKS:
        if chance(rng, odds[task]):
            tool |= {f"{task}_score": rng.choice(SCORES), f"{task}_max_mm": rng.choice(LARGEST_MM)}
    return tool


def _task(rng: Random) -> Row:
    """A task, mostly cutting to length."""
    name = rng.choice(("buck", "buck", "buck", "saw", "chop", "carve", "split"))
    return {"task": name, "diameter_mm": rng.choice(SIZES_MM[name]), "per_day": rng.choice((1, 3, 8))}


def _wear_down(rng: Random, trip: Row) -> None:
    """Give each tool lives that last for about a share of the work by teeth and the rest by edge."""
    for tool in trip["tools"]:
        for task in CUTTING_TASKS:
            if f"{task}_score" in tool:
                tool[f"{task}_life"] = 1.0
    loads: dict[tuple[str, str], float] = defaultdict(float)
    wood = Wood(trip)
    for job, doings in zip(wood.jobs, wood.doings, strict=True):
        amount = 1.0 if job.wood_class is None else wood.demand_kg / len(wood.klasses)
        for name, ways in doings.items():
            for doing in ways:
                loads[name, doing.way] += doing.wear * amount
    for tool in trip["tools"]:
        by_teeth, off = rng.random(), rng.choice(NEAR if chance(rng, 60) else FAR)
        for task in CUTTING_TASKS:
            share = by_teeth if task == "saw" else 1 - by_teeth
            load = share * loads[tool["id"], task] * (1 + off)
            tool.pop(f"{task}_life", None)
            if f"{task}_score" in tool and load > 0 and chance(rng, 90):
                tool[f"{task}_life"] = load


def _add_renewers(rng: Random, trip: Row) -> None:
    """Now and then a stone or a spare that renews teeth, edge or both of some tools."""
    for number in range(rng.choice((0, 0, 1, 1, 2))):
        row: dict[str, Any] = {"id": f"r{number}", "kind": "other", "mass_g": rng.choice((20, 60, 200)), "price": 5}
        row |= {"renews": rng.choice(PARTS)} if chance(rng, 85) else {}
        served = pick_some(rng, trip["tools"], 2)
        lives = [(task, one[f"{task}_life"]) for one in served for task in CUTTING_TASKS if f"{task}_life" in one]
        if lives and chance(rng, 60):
            task, life = rng.choice(lives)
            row[f"{task}_life"] = life * rng.choice((0.02, 0.5, 1))
        for tool in served:
            tool["sharpened_by"] = [*tool.get("sharpened_by", []), row["id"]]
        trip["tools"] = [*trip["tools"], row]


def with_near_limit(rng: Random, trip: Row) -> Row:
    """The trip with a work limit within a millisecond or two of the day of the fastest or the lightest kit."""
    kits = Kits(trip)
    days = [one for one in (kits.fastest_ms(), kits.lightest_ms()) if one is not None]
    if not days:
        return trip
    limit_min = round((kits.told_ms(rng.choice(days)) + rng.choice((-2, -1, 0, 1, 2))) / MS_PER_MIN, 6)
    return trip | {"limits": {"work_min_per_day": min(max(limit_min, 1.0), 1440.0)}}
