"""Random trips with inline tools, coarse on purpose: ties, binding limits and companions are frequent.

Diameters are multiples of 20 mm, so that no time falls on half a millisecond, where the last bit of a
float would decide the rounding.
"""

from collections.abc import Sequence
from random import Random
from typing import Any

from oracle import CUTTING_TASKS, MS_PER_MIN, Board, Row, packed_cg, told_ms

KINDS = ("fixed knife", "folding knife", "folding saw", "bow saw", "hatchet", "axe")
SCORES = (0.5, 1, 2, 2, 4, 4, 6, 6, 7.5, 12.5)
GAINS = (1.3, 1.6, 2.2, 2.6)
TURNED = (1, 1.25, 1.6, 2)  # of the largest diameter
BANNED = (*KINDS, "knives", "saws", "axes")
LARGEST_MM = (40, 80, 100, 150, 150, 200, 200, 300)
MASSES_G = (100, 100, 100, 200, 200, 300, 400)
COVERS_G = (0, 0, 0, 100, 50)
# The sum lies on half a hundredth: half-even of the decimal decides.
HALVES_G = ((100, 0.005), (100.01, 0.005), (33.335, 0), (0.1, 0.2), (0, 0.015))
EXTRAS = {"price": (10, 20, 30, 60), "edge_mm": (80, 120, 300), "packed_mm": (200, 400)}
DIAMETERS_MM = (20, 40, 60, 60, 80, 80, 100, 120, 140, 160)
PER_DAY = (1, 1, 2, 3, 6, 10)
MIN_SCORES = (0, 0, 0, 0, 1, 2, 4)
WORK_MIN = (5, 10, 20, 30, 45, 60, 90, 240)
# The service takes at least one minute of work a day.
LEAST_WORK_MIN = 1
TENTHS = 10
NO_WORK_LIMIT_MIN = 10**7  # far above any sum of times that these trips can reach


def companions_field(groups: Sequence[Sequence[str]]) -> str:
    """Companion groups as a row carries them: ``a|b;c``."""
    return ";".join("|".join(group) for group in groups)


def chance(rng: Random, percent: int) -> bool:
    """True so many times in a hundred."""
    return rng.randint(1, 100) <= percent


def pick_some(rng: Random, items: Sequence[Any], most: int) -> list[Any]:
    """One or more distinct items."""
    return rng.sample(list(items), rng.randint(1, min(most, len(items))))


def random_tool(rng: Random, tool_id: str) -> Row:
    """A row able at one to three tasks; absent columns stay absent."""
    mass_g, cover_g = rng.choice(HALVES_G) if chance(rng, 8) else (rng.choice(MASSES_G), rng.choice(COVERS_G))
    kind = rng.choice(KINDS)
    tool: Row = {"id": tool_id, "name": f"Tool {tool_id}", "kind": kind, "mass_g": mass_g, "cover_g": cover_g}
    for task in pick_some(rng, CUTTING_TASKS, 3):
        tool |= {f"{task}_score": rng.choice(SCORES), f"{task}_max_mm": rng.choice(LARGEST_MM)}
    for column, values in EXTRAS.items():
        if chance(rng, 60):
            tool[column] = rng.choice(values)
    if "knife" in tool["kind"] and "split_score" in tool:
        tool["tang"] = "full"  # it splits under a baton
    elif tool["kind"] == "hatchet":
        tool["tang"] = "none"  # a head has none
    return tool | sawing(tool)


def wearing_trip(seed: int, *, nights: int) -> Row:
    """Thirty tools of which each wears at all it does, and a day of every task for a party of four; invented."""
    rng = Random(seed)
    tools = [random_tool(rng, f"t{number:02d}") for number in range(30)]
    tools = [
        tool | {f"{task}_life": rng.choice((40, 100, 300)) for task in CUTTING_TASKS if f"{task}_score" in tool}
        for tool in tools
    ]
    tasks = [{"task": task, "diameter_mm": 60, "per_day": 5} for task in CUTTING_TASKS]
    trip = {"tools": tools, "tasks": tasks, "nights": nights, "people": 4, "field_methods": False}
    return trip | {"limits": {"work_min_per_day": 2_000}}


def sawing(tool: Row) -> Row:
    """Two at a saw and turned logs, now and then: drawn apart, so that they change nothing else of a seeded trip."""
    rng, found = Random(f"{tool}"), dict[str, Any]()
    if not tool.get("saw_score"):
        return found
    if chance(rng, 30):
        found["second_worker_gain"] = rng.choice(GAINS)
    if chance(rng, 20):
        found["one_person"] = False
    if chance(rng, 40):
        found["turned_max_mm"] = tool["saw_max_mm"] * rng.choice(TURNED)
    return found


def add_twins(rng: Random, tools: list[Row]) -> None:
    """Make some tools equal to another but for the id, or with its mass only, so that kits tie."""
    for i, tool in enumerate(tools):
        other = rng.choice(tools)
        if chance(rng, 15):
            tools[i] = other | {"id": tool["id"]}
        elif chance(rng, 15):
            tools[i] = tool | {"mass_g": other["mass_g"], "cover_g": other["cover_g"]}


def add_companions(rng: Random, tools: list[Row]) -> None:
    """Give some tools companions: single ids, choices, abilities, absent ids; sometimes a chain or a ring."""
    ids = [tool["id"] for tool in tools]
    for tool in tools:
        if chance(rng, 25):
            others = [i for i in ids if i != tool["id"]] + [f"can:{task}" for task in CUTTING_TASKS]
            groups = [pick_some(rng, others, 3) for _ in range(rng.choice((1, 1, 2)))]
            if chance(rng, 10):
                groups[0] = [*groups[0][1:], "no-such-tool"]
            tool["needs"] = companions_field(groups)
    if chance(rng, 25):
        links = rng.sample(tools, min(len(tools), rng.choice((2, 3, 4))))
        followers = links[1:] + (links[:1] if chance(rng, 50) else [])
        for tool, follower in zip(links, followers, strict=False):
            tool["needs"] = companions_field([[follower["id"]]])


def random_task(rng: Random) -> Row:
    """A stated task; defaults are sometimes left to the service."""
    task: Row = {"task": rng.choice((*CUTTING_TASKS, "buck")), "diameter_mm": rng.choice(DIAMETERS_MM)}
    if task["task"] == "carve":
        task["diameter_mm"] = min(task["diameter_mm"], 60)
    for column, values in {"per_day": PER_DAY, "min_score": MIN_SCORES, "critical": (True, False)}.items():
        if chance(rng, 70):
            task[column] = rng.choice(values)
    return task


def random_limits(rng: Random, tools: Sequence[Row]) -> Row:
    """Limits that often bind, each present now and then."""
    typical_g = sum(packed_cg(tool) for tool in tools) / len(tools) / 100
    limits: Row = {}
    if chance(rng, 40):
        limits["work_min_per_day"] = rng.choice(WORK_MIN)
    if chance(rng, 15):
        limits["mass_g"] = 1 + round(typical_g * rng.choice((1, 2, 3, 4)))
    if chance(rng, 20):
        limits["price"] = rng.choice((20, 40, 60, 100))
    if chance(rng, 12):
        limits["edge_mm"] = rng.choice((100, 120, 200))
    if chance(rng, 12):
        limits["packed_mm"] = rng.choice((200, 300))
    if chance(rng, 15):
        limits["banned_kinds"] = pick_some(rng, BANNED, 2)
    return limits | few_tools(limits, tools)


def few_tools(limits: Row, tools: Sequence[Row]) -> Row:
    """A limit on the number of tools, now and then: drawn apart, so that it changes nothing else of a seeded trip."""
    rng = Random(f"{limits} {tools}")
    return {"tools_at_most": rng.choice((1, 2, 2, 3, 3, 4))} if chance(rng, 25) else {}


def random_rules(rng: Random, tools: Sequence[Row]) -> Row:
    """Whole-trip rules, each switched on now and then."""
    ids = [tool["id"] for tool in tools]
    rules: Row = {"field_methods": chance(rng, 40)}
    if chance(rng, 40):
        rules["backup"] = rng.choice(("none", "critical", "all"))
    if chance(rng, 20):
        rules["must_carry"] = pick_some(rng, ids, 2)
    if chance(rng, 20):
        rules["leave_home"] = pick_some(rng, ids, 2)
    if chance(rng, 30):
        rules |= {"people": rng.randint(1, 4), "nights": rng.randint(1, 9), "name": "random trip"}
    return rules | knives(rng)


def knives(rng: Random) -> Row:
    """What a trip says of the knife that stays in the pack, and of the cold that a folding one is no such knife in."""
    return rng.choice(({}, {"knife": "one", "air_c": -3}, {"knife": "each"}, {"knife": "each"}, {"knife": "none"}))


def one_knife(trip: Row) -> Row:
    """The trip with one knife for the party where it asks for one each: for what is told of sets of tools."""
    return trip | {"knife": "one"} if trip.get("knife") == "each" else trip


def random_trip(rng: Random, *, fewest: int, most: int, needs_most: int = 5) -> Row:
    """A trip with its own tools, as a caller would send it.

    Args:
        rng: source of all choices.
        fewest: least number of tools.
        most: greatest number of tools.
        needs_most: greatest number of stated tasks.
    """
    count = rng.randint(fewest, most)
    tools = [random_tool(rng, f"t{number:02d}") for number in rng.sample(range(100), count)]
    add_twins(rng, tools)
    add_companions(rng, tools)
    tasks = [random_task(rng) for _ in range(rng.randint(1, needs_most))]
    return {"tasks": tasks, "tools": tools, "limits": random_limits(rng, tools), **random_rules(rng, tools)}


def with_binding_work_limit(rng: Random, trip: Row, methods: Sequence[Row]) -> Row | None:
    """The trip with a work limit that the fastest kit keeps and the lightest breaks; None if none does."""
    board = Board(trip, methods)
    fastest_ms, people = board.fastest_ms(), trip.get("people", 1)
    most_min = 1440 * people  # minutes in a day, for each of the party
    if fastest_ms is None:
        return None
    fastest_told, lightest_told = (told_ms(ms, people) for ms in (fastest_ms, board.best(NO_WORK_LIMIT_MIN).ms))
    low = max(LEAST_WORK_MIN * TENTHS, int(fastest_told * TENTHS // MS_PER_MIN) + 1)
    high = min(most_min * TENTHS, int((lightest_told * TENTHS - 2) // MS_PER_MIN))
    if low > high:
        return None
    return trip | {"limits": trip["limits"] | {"work_min_per_day": rng.randint(low, high) / TENTHS}}
