"""The range in which each formula holds: a row of ranges.csv for each formula and quantity, or the rows of a table."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from numpy import ndarray

from catalog.tables.errors import RangeError
from catalog.tables.number import N, Number, between, farthest_outside
from catalog.tables.table import read_rows


@dataclass(frozen=True)
class Validity:
    """Lowest and highest value of one quantity for one formula, in `unit`."""

    formula: str
    quantity: str
    low: float
    high: float
    unit: str
    source: str
    note: str


@cache
def validities() -> dict[str, dict[str, Validity]]:
    """Return formula (room.module.function) -> quantity -> range. Source: ranges.csv, a source id a row."""
    found: dict[str, dict[str, Validity]] = {}
    for row in read_rows("tables/ranges.csv"):
        one = Validity(
            formula=row["formula"],
            quantity=row["quantity"],
            low=float(row["low"]),
            high=float(row["high"]),
            unit=row["unit"],
            source=row["source"],
            note=row["note"],
        )
        found.setdefault(one.formula, {})[one.quantity] = one
    return found


def require(formula: str, **values: Number) -> None:
    """Refuse values outside the formula's range, and values that are not numbers.

    Of an array each element is held to the range, and the one farthest outside is named.

    Args:
        formula: Name as in ranges.csv, such as ``walking.load_carriage.pandolf_w``.
        **values: Quantity -> value, in the unit that the table names.

    Raises:
        RangeError: A value is outside its range.
        KeyError: The table has no such formula or quantity.
    """
    ranges = validities()[formula]
    for quantity, value in values.items():
        one = ranges[quantity]
        if isinstance(value, ndarray):
            outside = farthest_outside(value, low=one.low, high=one.high)
            if outside is None:
                continue
            value = outside[0]
        elif one.low <= value <= one.high:
            continue
        raise RangeError(
            quantity=quantity,
            value=value,
            low=one.low,
            high=one.high,
            unit=one.unit,
            source=one.source,
        )


def tabulated(knots: Sequence[tuple[float, float]], at: N, *, quantity: str, unit: str, source: str) -> N:
    """Return a value of a table, linear between its rows.

    Args:
        knots: (place, value) of its rows, two at least, places rising.
        at: place, in the unit of the knots'.
        quantity: what a place is, for the error.
        unit: of a place.
        source: the table, for the error.

    Raises:
        RangeError: a place outside the table; of an array the one farthest outside is named.
    """
    low, high = knots[0][0], knots[-1][0]
    outside = farthest_outside(at, low=low, high=high)
    if outside is not None:
        raise RangeError(quantity=quantity, value=outside[0], low=low, high=high, unit=unit, source=source)
    return between(knots, at)
