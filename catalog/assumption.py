"""Figures that no publication settles: value, band, and what would replace each."""

from functools import cache

from pydantic import BaseModel, ConfigDict

from catalog.row import parse_table
from catalog.table import read_rows


class Assumption(BaseModel):
    """A judged figure with its band; answers name the ones they used."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    value: float
    low: float
    high: float
    unit: str
    used_for: str
    source: str
    replaced_by: str
    note: str | None = None


@cache
def assumptions() -> dict[str, Assumption]:
    """Return the assumptions by id, in the order of the table."""
    rows = parse_table(read_rows("assumptions.csv"), Assumption, file="assumptions.csv")
    return {row.id: row for row in rows}


def assumed(name: str) -> float:
    """Return the value of the assumption `name`.

    Raises:
        KeyError: no such assumption.
    """
    return assumptions()[name].value
