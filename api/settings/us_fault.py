"""A wrong figure in US units, with its own beside it: `0.2 in (5 mm) is outside 0.4 to 39.37 in (10 to 1000 mm)`."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from api.settings.units import Units
from catalog import GRAMS_PER_OUNCE, RangeError
from catalog.tables.wrong_value import sentence_of
from solver.forms.unit_range import FAHRENHEIT_AT_0_C, FAHRENHEIT_PER_C, KG_PER_POUND, M_PER_FOOT, MM_PER_INCH

_MEASURED = re.compile(r"(?:.*_)?(mm|g|kg|c|m|km|l)(?:_per_(?:day|person))?")
_RULES = {
    "greater_than_equal": "must be at least",
    "greater_than": "must be above",
    "less_than_equal": "must be at most",
    "less_than": "must be below",
}
_BOUNDS = {"greater_than_equal": "ge", "greater_than": "gt", "less_than_equal": "le", "less_than": "lt"}
_HUNDRED = 100
_LARGEST = 1e15  # beyond it a figure is not worth reading


@dataclass(frozen=True)
class UsMeasure:
    """A metric unit, the US unit of the same measure, how many of it there are in one, and where it begins."""

    metric: str
    us: str
    each: float
    start: float = 0.0

    def in_us(self, value: float) -> float:
        """Return a metric figure in the US unit."""
        return value * self.each + self.start

    def in_metric(self, value: float) -> float:
        """Return a US figure in the metric unit, to a millionth of it."""
        return round((value - self.start) / self.each, 6)

    def told(self, value: float) -> str:
        """Return a figure in both units."""
        return f"{_figure(round(self.in_us(value), 2))} {self.us} ({_figure(value)} {self.metric})"

    def least(self, value: float) -> str:
        """Return a lower end in the US unit, rounded so that it keeps the range."""
        return _figure(math.ceil(round(self.in_us(value) * _HUNDRED, 6)) / _HUNDRED)

    def most(self, value: float) -> str:
        """Return an upper end in the US unit, rounded so that it keeps the range."""
        return _figure(math.floor(round(self.in_us(value) * _HUNDRED, 6)) / _HUNDRED)

    def outside(self, value: float, low: float, high: float) -> str:
        """Return what is wrong with a figure outside a range."""
        ends = f"{self.least(low)} to {self.most(high)} {self.us} ({_figure(low)} to {_figure(high)} {self.metric})"
        return f"{self.told(value)} is outside {ends}"


US_MEASURES = {
    "mm": UsMeasure("mm", "in", 1 / MM_PER_INCH),
    "g": UsMeasure("g", "oz", 1 / GRAMS_PER_OUNCE),
    "kg": UsMeasure("kg", "lb", 1 / KG_PER_POUND),
    "m": UsMeasure("m", "ft", 1 / M_PER_FOOT),
    "km": UsMeasure("km", "mi", 1 / 1.609344),  # international mile
    "l": UsMeasure("l", "qt", 1 / 0.946352946),  # US liquid quart
    "c": UsMeasure("C", "F", FAHRENHEIT_PER_C, FAHRENHEIT_AT_0_C),
}


def sentence_in(detail: Mapping[str, Any], value: Any, units: Units) -> str:
    """Return what is wrong, as `sentence_of`; where US units are asked for, a measured figure is told in both.

    Args:
        detail: an error of pydantic's `ValidationError.errors()`.
        value: the wrong value, fit for JSON.
        units: the units that the caller asked for.
    """
    plain, measure, given = sentence_of(detail, value), measure_at(detail["loc"]), detail.get("input")
    if units != "us" or measure is None or isinstance(given, bool) or not isinstance(given, int | float):
        return plain
    if not -_LARGEST < given < _LARGEST:
        return plain
    kind, context = detail["type"], detail.get("ctx", {})
    if kind == "out_of_range":
        return measure.outside(given, context["ge"], context["le"])
    if kind not in _RULES:
        return plain
    bound = context[_BOUNDS[kind]]
    end = measure.least(bound) if kind.startswith("greater") else measure.most(bound)
    return f"{measure.told(given)} {_RULES[kind]} {end} {measure.us} ({_figure(bound)} {measure.metric})"


def range_in(error: RangeError, units: Units) -> str:
    """Return what is wrong with a figure outside the range of its formula, in the units that the caller asked for."""
    measure = US_MEASURES.get(error.unit.lower()) if units == "us" else None
    if measure is None:
        return str(error)
    return f"{error.quantity} {measure.outside(error.value, error.low, error.high)} ({error.source})"


def measure_at(place: tuple[int | str, ...]) -> UsMeasure | None:
    """Return what a field measures, by the unit in its name; of a list, its members; None where it has none."""
    names = [step for step in place if isinstance(step, str)]
    found = _MEASURED.fullmatch(names[-1]) if names else None
    return None if found is None else US_MEASURES[found[1]]


def _figure(value: float) -> str:
    """Return a number with at most two decimals."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
