"""Random trips as a planner would put them in cells: the form that POST /v1/kits takes, and the same as cells.

The two are drawn side by side, so that neither is made from the other.
"""

from random import Random
from typing import Any
from urllib.parse import urlencode

from random_trips import chance

Row = dict[str, Any]
Cells = dict[str, str]

SIZES_MM = {
    "split": (70, 90, 110, 140, 180),
    "saw": (40, 60, 90, 120),
    "chop": (30, 50, 80),
    "buck": (60, 90, 130),
    "carve": (20, 30, 50),
}
PLAIN = {
    "people": (1, 2, 3, 5),
    "nights": (1, 2, 4, 7),
    "knife": ("one", "each", "none"),
    "skill": ("novice", "practised", "expert"),
    "air_c": (-12, 0, 10, 24),
    "elevation_m": (0, 850, 1900),
    "backup": ("none", "critical", "all"),
    "aim": ("mass", "mass", "effort", "work_time"),
    "field_methods": (True, False),
    "life": (True, False),
    "upkeep": (True, False),
}
NESTED = {
    "species": ("wood", ("white-spruce", "paper-birch", "douglas-fir-coast")),
    "state": ("wood", ("dead-dry", "dead-wet", "green")),
    "knotty": ("wood", (True, False)),
    "frozen": ("wood", (True, False)),
    "km_per_day": ("route", (8, 14, 20)),
    "climb_m_per_day": ("route", (100, 300)),
    "body_kg": ("route", (60, 82.5)),
    "pack_kg": ("route", (9, 12.5)),
    "work_min_per_day": ("limits", (15, 45, 60, 120)),
    "mass_g": ("limits", (400, 900, 2000)),
    "edge_mm": ("limits", (120, 300)),
    "packed_mm": ("limits", (250, 500)),
    "hot_water_l_per_person": ("fire", (1, 2.5)),
    "warmth_h": ("fire", (0.5, 1)),
    "hearth": ("fire", ("open", "shielded", "pot-stove", "tent-stove")),
    "tools_at_most": ("limits", (1, 2, 3)),
}
LISTS = {
    "must_carry": (None, ("fixed-knife-90", "folding-saw-210", "hatchet-600")),
    "leave_home": (None, ("long-knife-180", "hand-chain-saw-600", "fixed-knife-120")),
    "banned_kinds": ("limits", ("axe", "machete", "wire saw", "saws")),
}


def random_sheet_trip(rng: Random, *, comma: bool = False) -> tuple[Row, Cells]:
    """A trip as a JSON form and as cells, with decimals by point or by comma."""
    form: Row = {"tasks": [], "detail": "kit"}
    cells: Cells = {}
    for task in rng.sample(list(SIZES_MM), rng.choice((1, 2, 3))):
        add_task(rng, form, cells, task)
    for name, values in PLAIN.items():
        if chance(rng, 30):
            form[name] = rng.choice(values)
            cells[name] = cell(form[name], comma=comma)
    for name, (part, values) in NESTED.items():
        if chance(rng, 20):
            value = rng.choice(values)
            form.setdefault(part, {})[name] = value
            cells[name] = cell(value, comma=comma)
    for name, (above, values) in LISTS.items():
        if chance(rng, 12):
            chosen = rng.sample(values, rng.choice((1, 2)))
            (form if above is None else form.setdefault(above, {}))[name] = chosen
            cells[name] = rng.choice(("|", ";", " | ")).join(chosen)
    add_camp_work(rng, form, cells)
    # Stated tasks go by their kind in a sheet, so their order is that of its columns.
    form["tasks"].sort(key=lambda row: list(SIZES_MM).index(row["task"]))
    return form, cells


def add_task(rng: Random, form: Row, cells: Cells, task: str) -> None:
    """One or two stated tasks of a kind, with amounts said for each, for all, or not at all."""
    sizes = rng.sample(SIZES_MM[task], rng.choice((1, 1, 2)))
    rows: list[Row] = [{"task": task, "diameter_mm": size} for size in sizes]
    cells[f"{task}_mm"] = "|".join(map(str, sizes))
    if chance(rng, 50):
        amounts = [rng.randint(1, 9) for _ in rows]
        amounts = amounts if chance(rng, 50) else amounts[:1]
        for i, row in enumerate(rows):
            row["per_day"] = amounts[i] if len(amounts) > 1 else amounts[0]
        cells[f"{task}_per_day"] = "|".join(map(str, amounts))
    if chance(rng, 20):
        for row in rows:
            row["critical"] = True
        cells[f"{task}_critical"] = "yes"
    form["tasks"] += rows


def add_camp_work(rng: Random, form: Row, cells: Cells) -> None:
    """Camp work by the day and by the trip, now and then."""
    if chance(rng, 25):
        form["camp_work"] = [{"id": "toggle", "per_day": 2}, {"id": "peg", "per_trip": 8}]
        cells |= {"camp_per_day": "toggle:2", "camp_per_trip": "peg:8"}


def cell(value: Any, *, comma: bool) -> str:
    """A value as a spreadsheet writes it into a URL or a CSV."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value).replace(".", ",") if comma and isinstance(value, float) else str(value)


def query(cells: Cells, **more: Any) -> str:
    """Cells as a query string."""
    return urlencode(cells | more)
