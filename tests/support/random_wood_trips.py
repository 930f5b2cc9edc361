"""Random trips with a fire, camp work and tools that wear, coarse on purpose: every rule is often on."""

from random import Random

from oracle import CUTTING_TASKS, MS_PER_MIN, Row, usable_tools
from random_trips import chance, companions_field, few_tools, pick_some, random_task, sawing
from wood_oracle import Kits

from catalog.equipment.camp_work import camp_items
from catalog.wood.species import woods

KINDS = ("fixed knife", "folding saw", "bow saw", "hatchet", "axe")
SCORES = (0.5, 1, 2, 3, 4.5, 6, 8, 12.5)
LARGEST_MM = (45, 80, 110, 130, 160, 200, 250)
MASSES_G = (40, 90, 150, 150, 260, 400, 700)
COVERS_G = (0, 0, 20, 50)
# About what a week or two of firewood spends: clefts, cm2 of cut face, pieces, cm3 of notch.
LIVES = {"split": (40, 150, 600), "saw": (600, 3_000, 15_000), "carve": (8, 30, 200), "chop": (500, 4_000, 30_000)}
STONES_G = (20, 60, 120)
NIGHTS = (1, 2, 4, 7, 12)
AIR_C = (-30, -18, -8, -2, 4, 10, 18)
HEIGHTS_M = (0, 0, 900, 2400)
STATES = ("dead-dry", "dead-dry", "dead-wet", "green")
THICK_MM = (25, 40, 45, 60, 75, 76, 90, 120, 150)
REACH_KG = (0, 2.5, 6, 30, 60)
PIECES = (1, 2, 5)
WORK_MIN = (20, 45, 90, 180, 600, 1440)
ROUTES: tuple[Row, ...] = (
    {},
    {"km_per_day": 14, "climb_m_per_day": 900},
    {"km_per_day": 8, "climb_m_per_day": 0, "terrain": "hard-snow", "pack_kg": 20},
    {"body_kg": 62.5, "terrain": "light-brush"},
)
TENTHS = 10


def random_wood_tool(rng: Random, tool_id: str) -> Row:
    """A tool able at one to four tasks, with a life at some of them."""
    tool: Row = {"id": tool_id, "kind": rng.choice(KINDS), "mass_g": rng.choice(MASSES_G)}
    tool |= {"cover_g": rng.choice(COVERS_G), "price": rng.choice((5, 10, 20, 40))}
    for task in pick_some(rng, CUTTING_TASKS, 4):
        tool |= {f"{task}_score": rng.choice(SCORES), f"{task}_max_mm": rng.choice(LARGEST_MM)}
        if chance(rng, 60):
            tool[f"{task}_life"] = rng.choice(LIVES[task])
    if "knife" in tool["kind"] and "split_score" in tool:
        tool["tang"] = "full"  # it splits under a baton
    elif tool["kind"] == "hatchet":
        tool["tang"] = "none"  # a head has none
    return tool | sawing(tool)


def add_upkeep(rng: Random, tools: list[Row]) -> None:
    """Let some rows renew others: stones that cut nothing, spares that state a life, another cutting tool."""
    renewers = rng.sample(tools, min(len(tools) - 1, rng.choice((0, 1, 1, 2, 2, 3))))
    for renewer in renewers:
        served = pick_some(rng, [tool for tool in tools if tool is not renewer], 3)
        if chance(rng, 80):
            idle = {"id": renewer["id"], "kind": "sharpening stone", "mass_g": rng.choice(STONES_G)}
            renewer.clear()
            renewer.update(idle)
            lives = [
                (task, tool[f"{task}_life"]) for tool in served for task in CUTTING_TASKS if f"{task}_life" in tool
            ]
            if lives and chance(rng, 60):
                task, life = rng.choice(lives)
                renewer |= {f"{task}_life": life * rng.choice((0.5, 1, 2))}
            apart = Random(repr(renewer))  # leaves the other draws of a trip as they were
            if chance(apart, 40):
                renewer["renews"] = apart.choice(("teeth", "edge", "both"))
        for tool in served:
            old = tool.get("sharpened_by")
            tool["sharpened_by"] = f"{old}|{renewer['id']}" if old else renewer["id"]


def add_needs(rng: Random, tools: list[Row]) -> None:
    """Now and then a tool needs another one."""
    if chance(rng, 20):
        tool = rng.choice(tools)
        others = [one["id"] for one in tools if one is not tool] + ["can:split", "can:carve"]
        tool["needs"] = companions_field([pick_some(rng, others, 2)])


def random_fire(rng: Random) -> Row:
    """What the fire is for, sometimes not allowed."""
    fire: Row = {"hot_water_l_per_person": rng.choice((0, 1, 2.5, 4))}
    if chance(rng, 25):
        fire["melt_snow"] = True
    fire |= {"warmth_h": rng.choice((0, 0, 1, 2.5)), "drying_h": rng.choice((0, 0, 1))}
    if chance(rng, 40):
        fire["hearth"] = rng.choice(("shielded", "pot-stove", "tent-stove"))
    return fire | ({"allowed": False} if chance(rng, 5) else {})


def random_wood(rng: Random) -> Row:
    """Species, state and what lies within reach."""
    form: Row = {"species": rng.choice(list(woods())), "state": rng.choice(STATES), "knotty": chance(rng, 25)}
    if chance(rng, 20):
        form["frozen"] = chance(rng, 50)
    if chance(rng, 60):
        sizes = pick_some(rng, THICK_MM, 4)
        if chance(rng, 25):
            form["diameters_mm"] = sizes
        else:
            form["diameters"] = [{"mm": mm, "reach_kg_per_day": rng.choice(REACH_KG)} for mm in sizes]
    return form


def random_camp_work(rng: Random) -> list[Row]:
    """A few pieces, a day or over the trip."""
    ids = pick_some(rng, list(camp_items()), 2) if chance(rng, 60) else []
    return [{"id": one, rng.choice(("per_day", "per_trip")): rng.choice(PIECES)} for one in ids]


def random_rules(rng: Random, tools: list[Row]) -> Row:
    """Whole-trip rules, each on now and then."""
    rules: Row = {"field_methods": chance(rng, 70), "aim": rng.choice(("mass", "mass", "effort", "work_time"))}
    rules |= {"life": chance(rng, 85), "upkeep": chance(rng, 85), "route": rng.choice(ROUTES)}
    limits: Row = {"work_min_per_day": rng.choice(WORK_MIN)}
    if chance(rng, 10):
        limits["mass_g"] = rng.choice((500, 900))
    if chance(rng, 10):
        limits["price"] = rng.choice((30, 60))
    if chance(rng, 10):
        rules["backup"] = rng.choice(("critical", "all"))
    usable = usable_tools({"tools": tools})
    if usable and chance(rng, 15):
        rules["must_carry"] = [rng.choice(usable)["id"]]
    return rules | {"limits": limits | few_tools(limits, tools)}


def random_wood_trip(rng: Random, *, fewest: int, most: int) -> Row:
    """A trip with its own tools, as a caller would send it."""
    count = rng.randint(fewest, most)
    tools = [random_wood_tool(rng, f"t{number:02d}") for number in rng.sample(range(100), count)]
    add_upkeep(rng, tools)
    add_needs(rng, tools)
    trip: Row = {"people": rng.randint(1, 6), "nights": rng.choice(NIGHTS), "air_c": rng.choice(AIR_C)}
    trip |= {"elevation_m": rng.choice(HEIGHTS_M), "skill": rng.choice(("novice", "practised", "practised", "expert"))}
    trip |= {"fire": random_fire(rng), "wood": random_wood(rng), "camp_work": random_camp_work(rng)}
    trip |= {"tasks": [random_task(rng)] if chance(rng, 30) else [], "tools": tools}
    return trip | random_rules(rng, tools) | random_knife(rng, trip)


def random_knife(rng: Random, trip: Row) -> Row:
    """What a trip says of the knife that stays in the pack; each has one only in a small party."""
    several = {"people": min(trip["people"], 4), "knife": "each"}
    return rng.choice(({}, {"knife": "one"}, several, {"knife": "none"}))


def with_binding_work(rng: Random, trip: Row) -> Row | None:
    """The trip with a work limit that the fastest kit keeps and the lightest breaks; None if none does."""
    kits = Kits(trip)
    fastest_ms, lightest_ms = kits.fastest_ms(), kits.lightest_ms()
    if fastest_ms is None or lightest_ms is None:
        return None
    tenth_ms = MS_PER_MIN / TENTHS
    low = max(TENTHS, int(kits.told_ms(fastest_ms) // tenth_ms) + 1)
    high = min(1440 * TENTHS, int((kits.told_ms(lightest_ms) - 2) // tenth_ms))
    if low > high:
        return None
    return trip | {"limits": trip["limits"] | {"work_min_per_day": rng.randint(low, high) / TENTHS}}
