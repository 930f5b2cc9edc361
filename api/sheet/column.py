"""The columns that a trip has in a spreadsheet: query names of GET /v1/sheet/..., header of POST /v1/sheet/trips."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from api.sheet import cell
from solver.forms.barring import LIMIT_BARS, Bar
from solver.forms.limit import LIMITS
from solver.forms.task import TASK_ROWS

Read = Callable[[str], Any]
OF_A_TASK: dict[str, tuple[str, Read]] = {
    "mm": ("diameter_mm", cell.numbers),
    "per_day": ("per_day", cell.numbers),
    "min_score": ("min_score", cell.numbers),
    "critical": ("critical", cell.truths),
}


@dataclass(frozen=True)
class Column:
    """A column: its name, its place in the trip's form, and how its cell is read."""

    name: str
    place: tuple[str, ...]
    read: Read


def _task_column(task: str, part: str) -> Column:
    """Return a column of a task, which may hold a list: one member per diameter."""
    field, read = OF_A_TASK[part]
    return Column(f"{task}_{part}", ("tasks", task, field), read)


def _read_of(bar: Bar) -> Read:
    """Return how the cell of a rule that keeps tools home is read: names, or a length."""
    return cell.words if bar.names else cell.number


COLUMNS: dict[str, Column] = {
    column.name: column
    for column in (
        Column("name", ("name",), cell.word),
        Column("people", ("people",), cell.number),
        Column("members", ("members",), cell.members),
        Column("nights", ("nights",), cell.number),
        Column("skill", ("skill",), cell.word),
        *(_task_column(task, part) for task in TASK_ROWS for part in OF_A_TASK),
        Column("hot_water_l_per_person", ("fire", "hot_water_l_per_person"), cell.number),
        Column("melt_snow", ("fire", "melt_snow"), cell.truth),
        Column("warmth_h", ("fire", "warmth_h"), cell.number),
        Column("drying_h", ("fire", "drying_h"), cell.number),
        Column("fire_allowed", ("fire", "allowed"), cell.truth),
        Column("hearth", ("fire", "hearth"), cell.word),
        Column("camp_per_day", ("camp_work", "per_day"), cell.amounts),
        Column("camp_per_trip", ("camp_work", "per_trip"), cell.amounts),
        Column("species", ("wood", "species"), cell.word),
        Column("state", ("wood", "state"), cell.word),
        Column("frozen", ("wood", "frozen"), cell.truth),
        Column("knotty", ("wood", "knotty"), cell.truth),
        Column("diameters_mm", ("wood", "diameters_mm"), cell.numbers),
        Column("reach_kg_per_day", ("wood", "diameters"), cell.numbers),
        Column("air_c", ("air_c",), cell.number),
        Column("elevation_m", ("elevation_m",), cell.number),
        Column("km_per_day", ("route", "km_per_day"), cell.number),
        Column("climb_m_per_day", ("route", "climb_m_per_day"), cell.number),
        Column("terrain", ("route", "terrain"), cell.word),
        Column("body_kg", ("route", "body_kg"), cell.number),
        Column("pack_kg", ("route", "pack_kg"), cell.number),
        *(Column(limit.field, ("limits", limit.field), cell.number) for limit in LIMITS),
        *(Column(bar.field, ("limits", bar.field), _read_of(bar)) for bar in LIMIT_BARS),
        Column("must_carry", ("must_carry",), cell.words),
        Column("leave_home", ("leave_home",), cell.words),
        Column("only", ("only",), cell.words),
        Column("field_methods", ("field_methods",), cell.truth),
        Column("life", ("life",), cell.truth),
        Column("upkeep", ("upkeep",), cell.truth),
        Column("backup", ("backup",), cell.word),
        Column("knife", ("knife",), cell.word),
        Column("robust_needs", ("robust", "needs"), cell.word),
        Column("robust_work_multiple", ("robust", "work_multiple"), cell.number),
        Column("sure_confidence", ("sure", "confidence"), cell.number),
        Column("sure_draws", ("sure", "draws"), cell.number),
        Column("sure_seed", ("sure", "seed"), cell.number),
        Column("aim", ("aim",), cell.word),
        Column("catalog", ("catalog",), cell.word),
        Column("own_tools", ("extra_tools",), cell.own_tools),
        Column("assumptions", ("assumptions",), cell.figures),
        Column("alternatives", ("alternatives",), cell.number),
        Column("ask_about", ("ask_about",), cell.words),
    )
}
