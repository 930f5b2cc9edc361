"""The measures of a drawing that a search for the best design may move, each with its range and what ties it."""

import math
from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from pydantic import BaseModel, ConfigDict

from catalog.bench.design import Design
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows


class _DesignMeasure(BaseModel):
    """A measure of one form of drawing: judged range, and the measures that tie it.

    It may not fall below `times` that of `at_least`, nor exceed that of `at_most`.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    form: str
    field: str
    low: float
    high: float
    at_least: str | None = None
    times: float
    at_most: str | None = None
    only_if: str | None = None
    unit: str
    source: str


@cache
def design_measures(form: str) -> dict[str, _DesignMeasure]:
    """Return the measures of a form of drawing by field, in the order of the table."""
    rows = parse_table(read_rows("bench/design_measures.csv"), _DesignMeasure, file="design_measures.csv")
    return {row.field: row for row in rows if row.form == form}


def usual_measures(design: Design) -> tuple[_DesignMeasure, ...]:
    """Return the measures that a drawing has: those that hang on a tang or a grind only where it has that."""
    form = design.model_dump()
    return tuple(row for row in design_measures(design.drawing.form).values() if _applies(row, form))


def _applies(row: _DesignMeasure, form: Mapping[str, Any]) -> bool:
    """Tell whether what a measure hangs on is so."""
    if row.only_if is None:
        return True
    field, _, values = row.only_if.partition("=")
    return value_at(form, field) in values.split("|")


def value_at(form: Mapping[str, Any], field: str) -> Any:
    """Return what stands at a path of a design as plain data; None where nothing does."""
    place: Any = form
    for step in field.split("."):
        if not isinstance(place, Mapping):
            return None
        place = place.get(step)
    return place


def tied(values: Mapping[str, float], form: Mapping[str, Any]) -> dict[str, float]:
    """Return values with each drawn to what it may not fall below or exceed, so that they make a drawing.

    Args:
        values: the measures by field.
        form: the design as plain data, for measures that are not moved.
    """
    found = dict(values)
    for field in values:
        least, most = tied_ends(field, found, form)
        found[field] = min(max(found[field], least), most)
    return found


def tied_ends(field: str, values: Mapping[str, float], form: Mapping[str, Any]) -> tuple[float, float]:
    """Return what a measure may not fall below, and what it may not exceed, by the measures that tie it.

    Args:
        field: the measure.
        values: other measures by field.
        form: the design as plain data, for measures that are not among those.
    """
    row = design_measures(form["drawing"]["form"]).get(field)

    def bound(other: str | None) -> float | None:
        return None if other is None else values.get(other, value_at(form, other))

    least, most = (None, None) if row is None else (bound(row.at_least), bound(row.at_most))
    times = 1.0 if row is None else row.times
    return -math.inf if least is None else times * least, math.inf if most is None else most


def tie_order(fields: Iterable[str], form_name: str) -> list[str]:
    """Return measures with each behind those that tie it."""
    rows, left, found = design_measures(form_name), list(fields), list[str]()
    while left:
        ties = {field: {rows[field].at_least, rows[field].at_most} for field in left if field in rows}
        ready = [field for field in left if not ties.get(field, set()) & set(left)]
        found += ready
        left = [field for field in left if field not in ready]
    return found
