"""From the text cells of a table to checked rows."""

import re
from collections.abc import Container, Iterable, Sequence
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from catalog.tables.errors import CellFault, TableError
from catalog.tables.table import DecimalSign
from catalog.tables.wrong_value import rule_of

_Row = TypeVar("_Row", bound=BaseModel)
_TWO_READINGS = re.compile(r"[+-]?[1-9]\d{0,2}[.,]\d{3}", re.ASCII)
_CLEAR_DECIMALS = re.compile(r"[+-]?\d*([.,])\d+(e[+-]?\d+)?", re.ASCII | re.IGNORECASE)
_MARKS = {"point": ".", "comma": ","}
_NUMBER = re.compile(r"[+-]?(\d++\.?\d*+|\.\d++)(e[+-]?\d++)?", re.ASCII | re.IGNORECASE)


def parse_table(
    rows: Iterable[dict[str, str]],
    form: type[_Row],
    *,
    file: str,
    numbers: Sequence[int] | None = None,
    decimal: DecimalSign | None = "point",
) -> list[_Row]:
    """Return the rows of a table as checked objects: all of them, or none.

    A number that may mean two things is refused: see `unclear_number`.

    Args:
        rows: the text cells of each row by column.
        form: what a row must be.
        file: name of the table, for its faults.
        numbers: number of each row as a spreadsheet shows it; from 2 on where nothing is said.
        decimal: the sign of decimals; None where the numbers of the table must tell (`decimal_sign`).

    Raises:
        TableError: cells that can't be taken (each with its row and column), or an id that stands twice.
    """
    found: list[_Row] = []
    faults: list[CellFault] = []
    first_row: dict[str, int] = {}
    rows = list(rows)
    columns = frozenset(column for column in (rows[0] if rows else {}) if _is_number(form, column))
    decimal = decimal or decimal_sign(cells[column] for cells in rows for column in columns)
    for number, cells in zip(numbers, rows, strict=True) if numbers is not None else enumerate(rows, start=2):
        unclear = _unclear_cells(cells, columns, decimal=decimal)
        faults += [CellFault(file, number, column, cells[column], why) for column, why in unclear.items()]
        try:
            found.append(form.model_validate(_typed_cells(cells, columns, decimal=decimal)))
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


def decimal_sign(cells: Iterable[str]) -> DecimalSign | None:
    """Return the sign of decimals that numbers have, where they tell one and not the other.

    A number tells it if it can't have thousands: 120,5 or 0,125 or 12.1250, but not 12,125.
    """
    found = (_CLEAR_DECIMALS.fullmatch(cell) for cell in cells if not _TWO_READINGS.fullmatch(cell))
    signs = {match[1] for match in found if match is not None}
    if len(signs) != 1:
        return None
    return "comma" if signs == {","} else "point"


def _typed_cells(cells: dict[str, str], numbers: Container[str], *, decimal: DecimalSign | None) -> dict[str, Any]:
    """Return the filled cells, those of number columns as numbers."""
    return {
        column: number_of(cell, decimal=decimal) if column in numbers else cell
        for column, cell in cells.items()
        if cell != ""
    }


def _unclear_cells(cells: dict[str, str], numbers: Container[str], *, decimal: DecimalSign | None) -> dict[str, str]:
    """Return the number columns whose cell is not to be read, each with why."""
    told = {column: unclear_number(cell, decimal=decimal) for column, cell in cells.items() if column in numbers}
    return {column: why for column, why in told.items() if why is not None}


def unclear_number(cell: str, *, decimal: DecimalSign | None) -> str | None:
    """Return why a number is not to be read, or None.

    It may mean two things if it has one point or comma, one to three digits before it, the first not 0, and exactly
    three behind it: the mark may part thousands or decimals. The sign of decimals of a table makes that mark clear and
    the other not. Where it is a comma, a point is refused in any number; where a point, a comma is no number.

    Args:
        cell: the text of a cell.
        decimal: the sign of decimals, None where it is not known.
    """
    if decimal == "comma" and "." in cell and _NUMBER.fullmatch(cell) and not _TWO_READINGS.fullmatch(cell):
        return f"{cell} has a point, but decimals of this table have a comma: write {cell.replace('.', ',')}"
    if not _TWO_READINGS.fullmatch(cell) or (decimal is not None and _MARKS[decimal] in cell):
        return None
    mark = "," if "," in cell else "."
    whole, number = cell.replace(mark, ""), cell.replace(mark, ".").rstrip("0").rstrip(".")
    clear = f"{number}0" if len(number.partition(".")[2]) == len(cell.partition(mark)[2]) else number
    clear = clear.replace(".", ",") if decimal == "comma" else clear
    return f"{cell} may be {whole} or {number}: write {whole}, or {clear}"


def _is_number(form: type[BaseModel], column: str) -> bool:
    """Tell whether a column of this form holds a number."""
    field = form.model_fields.get(column)
    return field is not None and any(kind in str(field.annotation) for kind in ("float", "int"))


def number_of(cell: str, *, decimal: DecimalSign | None) -> float | str:
    """Return the number that a cell shows, or the cell where it shows none; with either sign where none is known."""
    if decimal == "comma" and "." in cell:
        return cell
    text = cell.replace(",", ".") if decimal != "point" and cell.count(",") == 1 and "." not in cell else cell
    return float(text) if _NUMBER.fullmatch(text) else cell


def _cell_fault(detail: Any, cells: dict[str, str], file: str, row: int) -> CellFault:
    """Return one complaint of the checker with the cell it is about."""
    column = str(detail["loc"][0]) if detail["loc"] else ""
    if detail["type"] == "missing":
        return CellFault(file, row, column, "", "this cell must be filled")
    if detail["type"] == "extra_forbidden":
        return CellFault(file, row, column, cells.get(column, ""), "this format has no such column")
    return CellFault(file, row, column, cells.get(column, ""), rule_of(detail))
