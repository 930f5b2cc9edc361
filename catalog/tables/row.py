"""From the text cells of a table to checked rows."""

import re
from collections.abc import Iterable, Sequence
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from catalog.tables.errors import CellFault, TableError
from catalog.tables.wrong_value import rule_of

_Row = TypeVar("_Row", bound=BaseModel)
_TWO_READINGS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}", re.ASCII)
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?", re.ASCII | re.IGNORECASE)


def parse_table(
    rows: Iterable[dict[str, str]],
    form: type[_Row],
    *,
    file: str,
    numbers: Sequence[int] | None = None,
    decimal_comma: bool = False,
) -> list[_Row]:
    """Return the rows of a table as checked objects: all of them, or none.

    A number that may mean two things is refused: see `two_readings`.

    Args:
        rows: the text cells of each row by column.
        form: what a row must be.
        file: name of the table, for its faults.
        numbers: number of each row as a spreadsheet shows it; from 2 on where nothing is said.
        decimal_comma: whether 1,5 is a number in this table.

    Raises:
        TableError: cells that can't be taken (each with its row and column), or an id that stands twice.
    """
    found: list[_Row] = []
    faults: list[CellFault] = []
    first_row: dict[str, int] = {}
    for number, cells in zip(numbers, rows, strict=True) if numbers is not None else enumerate(rows, start=2):
        unclear = _unclear_cells(cells, form, decimal_comma=decimal_comma)
        faults += [CellFault(file, number, column, cells[column], why) for column, why in unclear.items()]
        try:
            found.append(form.model_validate(_typed_cells(cells, form, decimal_comma=decimal_comma)))
        except ValidationError as error:
            wrong = [_cell_fault(detail, cells, file, number) for detail in error.errors()]
            faults += [fault for fault in wrong if fault.column not in unclear]
        name = cells.get("id", "")
        if name and name in first_row:
            why = f"this id is already in row {first_row[name]}"
            faults.append(CellFault(file, number, "id", name, why))
        first_row.setdefault(name, number)
    if faults:
        raise TableError(faults)
    return found


def _typed_cells(cells: dict[str, str], form: type[BaseModel], *, decimal_comma: bool) -> dict[str, Any]:
    """Return the filled cells, those of number columns as numbers."""
    return {
        column: number_of(cell, decimal_comma=decimal_comma) if _is_number(form, column) else cell
        for column, cell in cells.items()
        if cell != ""
    }


def _unclear_cells(cells: dict[str, str], form: type[BaseModel], *, decimal_comma: bool) -> dict[str, str]:
    """Return the number columns whose cell may mean two things, each with both readings."""
    told = {
        column: two_readings(cell, decimal_comma=decimal_comma)
        for column, cell in cells.items()
        if _is_number(form, column)
    }
    return {column: why for column, why in told.items() if why is not None}


def two_readings(cell: str, *, decimal_comma: bool) -> str | None:
    """Return both readings of a number that may mean two things, or None.

    It has one point or comma, one to three digits before it, the first not 0, and exactly three behind it: the mark
    may part thousands or decimals. Where a comma may be the decimal sign (tables separated by semicolons or tabs),
    that is so of both marks; elsewhere a point always begins decimals, and only a comma is unclear.
    """
    if not _TWO_READINGS.fullmatch(cell) or not (decimal_comma or "," in cell):
        return None
    mark = "," if "," in cell else "."
    whole, decimal = cell.replace(mark, ""), cell.replace(mark, ".").rstrip("0").rstrip(".")
    clear = f"{decimal}0" if len(decimal.partition(".")[2]) == len(cell.partition(mark)[2]) else decimal
    return f"{cell} may be {whole} or {decimal}: write {whole}, or {clear}"


def _is_number(form: type[BaseModel], column: str) -> bool:
    """Tell whether a column of this form holds a number."""
    field = form.model_fields.get(column)
    return field is not None and any(kind in str(field.annotation) for kind in ("float", "int"))


def number_of(cell: str, *, decimal_comma: bool) -> float | str:
    """Return the number that a cell shows, or the cell where it shows none."""
    text = cell.replace(",", ".") if decimal_comma and cell.count(",") == 1 and "." not in cell else cell
    return float(text) if _NUMBER.fullmatch(text) else cell


def _cell_fault(detail: Any, cells: dict[str, str], file: str, row: int) -> CellFault:
    """Return one complaint of the checker with the cell it is about."""
    column = str(detail["loc"][0]) if detail["loc"] else ""
    if detail["type"] == "missing":
        return CellFault(file, row, column, "", "this cell must be filled")
    if detail["type"] == "extra_forbidden":
        return CellFault(file, row, column, cells.get(column, ""), "this format has no such column")
    return CellFault(file, row, column, cells.get(column, ""), rule_of(detail))
