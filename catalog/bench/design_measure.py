"""The measures of a drawing that a search for the best design may move, each with its range and what ties it."""

from collections.abc import Mapping
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
    rows = design_measures(form["drawing"]["form"])
    for field in values:
        row = rows.get(field)
        if row is None:
            continue
        for other, times, pick in ((row.at_least, row.times, max), (row.at_most, 1.0, min)):
            bound = None if other is None else found.get(other, value_at(form, other))
            if bound is not None:
                found[field] = pick(found[field], times * bound)
    return found
