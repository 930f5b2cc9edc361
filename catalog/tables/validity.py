"""The range in which each formula holds: one row of ranges.csv for each formula and quantity."""

from dataclasses import dataclass
from functools import cache

from numpy import ndarray

from catalog.tables.errors import RangeError
from catalog.tables.number import Number, farthest_outside
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
