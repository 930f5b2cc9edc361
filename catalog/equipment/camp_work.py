"""Camp work beside the fire: pieces with their task, diameter, amount and least score."""

from functools import cache
from typing import Literal

from pydantic import BaseModel, ConfigDict

from catalog.tables.row import parse_table
from catalog.tables.table import read_rows


class CampItem(BaseModel):
    """One piece of camp work; amount is minutes at score 10 for carving, else cuts or rounds a piece."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    name: str
    task: Literal["split", "saw", "carve", "chop", "buck"]
    diameter_mm: float
    amount: float
    unit: str
    min_score: float
    source: str
    note: str | None = None


@cache
def camp_items() -> dict[str, CampItem]:
    """Return the camp work by id, in the order of the table."""
    return {row.id: row for row in parse_table(read_rows("equipment/camp_work.csv"), CampItem, file="camp_work.csv")}
