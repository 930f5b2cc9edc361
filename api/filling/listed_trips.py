"""A table of trips as a question about many takes them: each row a trip, with its weight where a column tells it."""

from pathlib import Path
from typing import Any

from api.filling.grid import unheeded
from api.filling.trip_file import FILE_KINDS, TripFile, grid_of
from api.settings.refused import Refused
from api.settings.units import Units
from api.sheet.cell_reply import in_words
from api.sheet.draft import Draft
from catalog.tables.table import DecimalSign
from solver import Trip, TripError

_WEIGHT = "weight"
_USUAL = 1.0


def weighted_trips(
    table: Path, *, inputs: Units = "metric", decimal: DecimalSign | None = None
) -> list[dict[str, Any]]:
    """Return the trips of a table with their weights, as `{weight, trip}`.

    Args:
        table: a .csv, .xlsx or .ods as `kitwright trips` takes it, its sheet `Trips` or the first; the column `weight`
            tells how often a trip is made (1).
        inputs: units of the figures of the trips.
        decimal: sign of decimals of a CSV, as it tells where nothing is said.

    Raises:
        Refused: the table can't be read, or a row of it is no trip.
    """
    kind = table.suffix.lower().removeprefix(".")
    if kind not in FILE_KINDS:
        raise Refused(f"{table} is no name of a table of trips\nit must end in .csv, .xlsx or .ods")
    grid = grid_of(table.read_bytes(), kind, unheeded, decimal=decimal)
    file = TripFile(grid, (), unheeded, inputs=inputs, again=True)
    if file.wrong:
        raise Refused(f"{table}: {file.wrong} rows can't be read\nkitwright trips {table} says which, and why")
    titles = [value.strip() if isinstance(value, str) else "" for value in grid.rows[file.header]]
    column = titles.index(_WEIGHT) if _WEIGHT in titles else None
    found = []
    for job in file.jobs:
        row = grid.rows[job.row]
        weight = _USUAL if column is None or column >= len(row) else _weight_of(row[column], table, job.row)
        found.append({"weight": weight, "trip": _trip_of(job.cells, table, job.row, inputs)})
    if not found:
        raise Refused(f"{table}: no row asks for work, so none is a trip")
    return found


def _trip_of(cells: dict[str, str], table: Path, row: int, inputs: Units) -> Trip:
    """Return the trip of a row.

    Raises:
        Refused: it is none.
    """
    draft = Draft(cells, inputs=inputs)
    try:
        return draft.trip()
    except TripError as error:
        raise Refused(f"{table}, row {row + 1}: {in_words(error)}") from error


def _weight_of(value: Any, table: Path, row: int) -> float:
    """Return the weight in a cell.

    Raises:
        Refused: it is no number above 0.
    """
    if value in (None, ""):
        return _USUAL
    try:
        weight = float(str(value).strip().removeprefix("'").replace(",", "."))
    except ValueError:
        weight = 0.0
    if not 0 < weight <= 1e6:
        raise Refused(f"{table}, row {row + 1}: weight is {str(value)[:40]!r}; it must be a number above 0")
    return weight
