"""Trips with every kind of wish at once, drawn at random from the built-in tables: what people may send."""

from random import Random
from typing import Any

from catalog import tools
from catalog.wood.hearth import hearths

WOODS = ("white-spruce", "red-pine", "paper-birch", "sugar-maple")
CAMP_WORK = ("peg", "pot-hanger", "toggle")
FIGURES = {"saw_rate": (100, 500), "body_kg": (50, 110), "handling_cut": (0.1, 0.6)}  # inside their hard limits
MOST_TOOLS = 14


def invented_trip(rng: Random) -> dict[str, Any]:
    """A trip that may be sent, of a few of the tools so that its answer is quick; it may well be uncovered."""
    going = sorted(rng.sample([tool.id for tool in tools()], MOST_TOOLS))
    trip: dict[str, Any] = {
        "people": rng.randint(1, 4),
        "nights": rng.randint(1, 9),
        "air_c": rng.choice((-25, -5, 8, 20)),
        "skill": rng.choice(("novice", "practised", "expert")),
        "knife": rng.choice(("one", "each", "each", "none")),
        "wood": {"species": rng.choice(WOODS), "state": rng.choice(("dead-dry", "dead-wet", "green"))},
        "backup": rng.choice(("none", "none", "critical", "all")),
        "aim": rng.choice(("mass", "mass", "effort", "work_time")),
        "only": going,
        "tasks": [
            {"task": task, "diameter_mm": rng.choice((25, 60, 110, 160)), "per_day": rng.randint(1, 9)}
            for task in rng.sample(("split", "saw", "buck", "chop", "carve"), rng.randint(1, 3))
        ],
        "limits": {"work_min_per_day": rng.choice((20, 90, 200))},
    }
    if rng.random() < 0.7:
        trip["fire"] = {
            "hot_water_l_per_person": rng.choice((0, 2)),
            "warmth_h": rng.choice((1, 3)),
            "hearth": rng.choice(sorted(hearths())),
        }
    if rng.random() < 0.5:
        trip["camp_work"] = [{"id": rng.choice(CAMP_WORK), "per_trip": rng.randint(1, 9)}]
    if rng.random() < 0.4:
        name = rng.choice(sorted(FIGURES))
        trip["assumptions"] = {name: round(rng.uniform(*FIGURES[name]), 2)}
    if rng.random() < 0.3:
        trip["limits"] |= {"banned_kinds": [rng.choice(("axes", "saws", "knives"))]}
    if rng.random() < 0.3:
        trip["limits"] |= {rng.choice(("mass_g", "tools_at_most")): rng.choice((1, 3, 400))}
    return trip
