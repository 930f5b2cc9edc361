"""How far a made piece may differ from its drawing: a tolerance of each measure, by how it is made."""

from dataclasses import dataclass
from functools import cache
from typing import Literal, get_args

from pydantic import BaseModel, ConfigDict

from catalog.bench.design import Design
from catalog.bench.design_measure import value_at
from catalog.tables.row import parse_table
from catalog.tables.table import read_rows

Process = Literal["by hand", "by machine"]
PROCESSES: tuple[Process, ...] = get_args(Process)


class _ToleranceRow(BaseModel):
    """How far a measure of one form of drawing may be off, either way; a relative one is a share of the measure."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    form: str
    field: str
    by_hand: float
    by_machine: float
    relative: Literal["yes", "no"]
    unit: str
    source: str
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Tolerance:
    """How far a measure of a design may be off.

    Attributes:
        field: its path in the design.
        value: as drawn, in `unit`.
        off: how far it may be off either way, in `unit`.
        unit: mm, deg, g, HRC, C or %.
        source: id of the source of the tolerance.
    """

    field: str
    value: float
    off: float
    unit: str
    source: str


@cache
def _tolerance_rows(form: str) -> tuple[_ToleranceRow, ...]:
    """Return the rows of a form of drawing."""
    rows = parse_table(read_rows("bench/tolerances.csv"), _ToleranceRow, file="tolerances.csv")
    return tuple(row for row in rows if row.form == form)


def tolerances(design: Design, process: Process) -> tuple[Tolerance, ...]:
    """Return the tolerance of each measure that a design has, in the order of the table; one of 0 is not there."""
    form = design.model_dump()
    found = []
    for row in _tolerance_rows(design.drawing.form):
        value = value_at(form, row.field)
        if not value:
            continue
        off = row.by_hand if process == "by hand" else row.by_machine
        share = row.relative == "yes"
        found.append(
            Tolerance(
                field=row.field,
                value=float(value),
                off=off * float(value) if share else off,
                unit="g" if share else row.unit,
                source=row.source,
            )
        )
    return tuple(found)
