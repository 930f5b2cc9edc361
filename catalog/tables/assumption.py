"""Figures that no publication settles: value, band, and what would replace each."""

from collections.abc import Mapping
from functools import cache

from numpy import ndarray
from pydantic import BaseModel, ConfigDict

from catalog.tables.errors import RangeError
from catalog.tables.number import N, farthest_outside
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows


class Assumption(BaseModel):
    """A judged figure with its band. Answers list the ones that they used.

    A trip may state a value of its own from `hard_low` to `hard_high`: beyond them no trip can be.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    value: float
    low: float
    high: float
    hard_low: float
    hard_high: float
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


class _NotOfTrip(BaseModel):
    """An assumption that no trip reads, and what it is of."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    why: str


@cache
def not_of_a_trip() -> dict[str, str]:
    """Return the assumptions that no trip reads, each with what it is of instead."""
    rows = parse_table(read_rows("tables/not_of_a_trip.csv"), _NotOfTrip, file="not_of_a_trip.csv")
    return {row.id: row.why for row in rows}


def assumed(assumption_id: str, changed: Mapping[str, N] | None = None) -> N:
    """Return the value in force: the changed one where given, else the table's.

    Args:
        assumption_id: id in assumptions.csv.
        changed: values in place of the table's, by id, each a number or an array of draws.

    Raises:
        KeyError: no such assumption.
        RangeError: the changed value is outside the assumption's hard limits.
    """
    one = assumptions()[assumption_id]
    value: N = one.value if changed is None else changed.get(assumption_id, one.value)
    outside: float
    if isinstance(value, ndarray):
        farthest = farthest_outside(value, low=one.hard_low, high=one.hard_high)
        if farthest is None:
            return value
        outside = farthest[0]
    elif one.hard_low <= value <= one.hard_high:
        return value
    else:
        outside = value
    raise RangeError(
        quantity=assumption_id, value=outside, low=one.hard_low, high=one.hard_high, unit=one.unit, source=one.source
    )
