"""Figures that no publication settles: value, band, and what would replace each."""

from collections.abc import Mapping
from functools import cache
from typing import Literal

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


class _SpreadRow(BaseModel):
    """How an assumption is drawn: its value is the median, the ends of its band are its 5 % and 95 % points.

    Attributes:
        id: of the assumption.
        transform: the scale on which it is normal: the logarithm, the logit, the logarithm of what is above 1, or its
            own.
        sides: two: a spread below the median and another above it; one: the mean of both on either side, so that
            records can narrow it as a normal figure.
        basis: what the spread rests on.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    transform: Literal["log", "logit", "log_above_1", "identity"]
    sides: Literal["one", "two"]
    basis: str


@cache
def spread_rows() -> dict[str, _SpreadRow]:
    """Return how each assumption is drawn that draws of a trip may draw, by id."""
    return {row.id: row for row in parse_table(read_rows("tables/spreads.csv"), _SpreadRow, file="spreads.csv")}


class _LeftOut(BaseModel):
    """An assumption that a table leaves out, and why."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    id: str
    why: str


@cache
def not_of_a_trip() -> dict[str, str]:
    """Return the assumptions that no trip reads, each with what it is of instead."""
    rows = parse_table(read_rows("tables/not_of_a_trip.csv"), _LeftOut, file="not_of_a_trip.csv")
    return {row.id: row.why for row in rows}


@cache
def never_drawn() -> dict[str, str]:
    """Return the assumptions of trips that draws leave as they are, habits and choices, each with what it is."""
    rows = parse_table(read_rows("tables/never_drawn.csv"), _LeftOut, file="never_drawn.csv")
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
