"""Tools as the text of a table: the columns of the built-in one, read back to the last bit."""

from collections.abc import Iterable
from typing import Any

from catalog.equipment.tool import LONGEST_TEXT, Tool
from catalog.tables.python_form import rows_of
from catalog.tables.table import DecimalSign, as_text, csv_text, number_text

_COLUMNS = tuple(Tool.model_fields)
_ALWAYS = ("id", "mass_g", "cover_g")
_LISTS = ("needs", "sharpened_by")


def tools_text(tools: Iterable[Tool], *, decimal: DecimalSign = "point") -> str:
    """Return a CSV that `parse_tools` reads back as these tools; what is not said is an empty cell.

    Args:
        tools: the rows.
        decimal: the sign of decimals; with a comma, semicolons separate the cells.

    Raises:
        TypeError: something else than tools.
    """
    rows = [[_cell_of(tool, column, decimal) for column in _COLUMNS] for tool in rows_of("tools", tools, Tool)]
    return csv_text([_COLUMNS, *rows], separator=";" if decimal == "comma" else ",", line_end="\n")


def _cell_of(tool: Tool, column: str, decimal: DecimalSign) -> str:
    """Return the text of one cell."""
    value = getattr(tool, column)
    if column not in _ALWAYS and value == Tool.model_fields[column].get_default(call_default_factory=True):
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, float):
        return number_text(value, decimal=decimal)
    return _list_text(value) if column in _LISTS else as_text(str(value))


def _list_text(value: list[Any]) -> str:
    """Return [a, b] as `a|b`, and [[a, b], [c]] as `a|b;c`."""
    return ";".join("|".join(part) for part in value) if isinstance(value[0], list) else "|".join(value)


def cell_faults(tool: Tool) -> list[tuple[str, str]]:
    """Return each field that no cell of a table can hold as it is, and why."""
    faults = []
    for column in _COLUMNS:
        value = getattr(tool, column)
        if column in _LISTS:
            if [] in value or len(_list_text(value) if value else "") > LONGEST_TEXT:
                faults.append(
                    (column, f"no group may be empty, and the text may have at most {LONGEST_TEXT} characters")
                )
        elif isinstance(value, str) and (not value or value != value.strip()):
            faults.append((column, "text in a table must not be empty, and must not begin or end with a space"))
    return faults
