"""Figures that no publication settles: value, band, and what would replace each."""

from collections.abc import Mapping
from functools import cache

from pydantic import BaseModel, ConfigDict

from catalog.tables.errors import RangeError
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows


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
    rows = parse_table(read_rows("tables/assumptions.csv"), Assumption, file="assumptions.csv")
    return {row.id: row for row in rows}


def assumed(assumption_id: str, changed: Mapping[str, float] | None = None) -> float:
    """Return the value in force: the changed one where given, else the table's.

    Args:
        assumption_id: id in assumptions.csv.
        changed: values tried instead of the table's, by id; how a band is swept.

    Raises:
        KeyError: no such assumption.
        RangeError: the changed value is outside the assumption's band.
    """
    one = assumptions()[assumption_id]
    value = one.value if changed is None else changed.get(assumption_id, one.value)
    if not one.low <= value <= one.high:
        raise RangeError(
            quantity=assumption_id, value=value, low=one.low, high=one.high, unit=one.unit, source=one.source
        )
    return value
