"""From the text cells of a table to checked rows."""

from collections.abc import Iterable
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from catalog.errors import CellFault, TableError

Row = TypeVar("Row", bound=BaseModel)


def parse_table(rows: Iterable[dict[str, str]], form: type[Row], *, file: str) -> list[Row]:
    """Return the rows of a table as checked objects: all of them, or none.

    Raises:
        TableError: cells that can't be taken (each with its row and column), or an id that stands twice.
    """
    found: list[Row] = []
    faults: list[CellFault] = []
    first_row: dict[str, int] = {}
    for number, cells in enumerate(rows, start=2):
        try:
            found.append(form.model_validate(typed_cells(cells, form)))
        except ValidationError as error:
            faults += [cell_fault(detail, cells, file, number) for detail in error.errors()]
        name = cells.get("id", "")
        if name and name in first_row:
            why = f"this id stands already in row {first_row[name]}"
            faults.append(CellFault(file, number, "id", name, why))
        first_row.setdefault(name, number)
    if faults:
        raise TableError(faults)
    return found


def typed_cells(cells: dict[str, str], form: type[BaseModel]) -> dict[str, Any]:
    """Return the filled cells, those of number columns as numbers (a decimal comma serves)."""
    return {
        column: number_of(cell) if is_number(form, column) else cell for column, cell in cells.items() if cell != ""
    }


def is_number(form: type[BaseModel], column: str) -> bool:
    """Tell whether a column of this form holds a number."""
    field = form.model_fields.get(column)
    return field is not None and "float" in str(field.annotation)


def number_of(cell: str) -> float | str:
    """Return the number that a cell shows, or the cell where it shows none."""
    text = cell.replace(",", ".") if cell.count(",") == 1 and "." not in cell else cell
    try:
        return float(text)
    except ValueError:
        return cell


def cell_fault(detail: Any, cells: dict[str, str], file: str, row: int) -> CellFault:
    """Return one complaint of the checker with the cell it is about."""
    column = str(detail["loc"][0]) if detail["loc"] else ""
    if detail["type"] == "missing":
        return CellFault(file, row, column, "", "this cell must be filled")
    if detail["type"] == "extra_forbidden":
        return CellFault(file, row, column, cells.get(column, ""), "no such column in this format")
    return CellFault(file, row, column, cells.get(column, ""), detail["msg"])
