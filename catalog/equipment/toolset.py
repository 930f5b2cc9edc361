"""The built-in tools as they were judged, and the reader for a user's own table of tools."""

from functools import cache
from pathlib import Path

from catalog.equipment.tool import Tool
from catalog.tables.errors import CellFault, TableError
from catalog.tables.python_form import misuse
from catalog.tables.row import parse_table
from catalog.tables.table import DecimalSign, parse_rows, read_rows, read_text


@cache
def judged_tools() -> tuple[Tool, ...]:
    """Return the built-in tools with their judged scores, sorted by id."""
    return tuple(
        sorted(parse_table(read_rows("equipment/tools.csv"), Tool, file="tools.csv"), key=lambda tool: tool.id)
    )


def read_tools(path: Path, *, decimal: DecimalSign | None = None) -> list[Tool]:
    """Return the tools of a user's CSV (the columns of the built-in table, in any order).

    Args:
        path: the file.
        decimal: the sign of its decimals, where that is stated.

    Raises:
        TypeError: the path is none.
        TableError: what can't be taken, each fault with file, row, column and reason; then nothing is.
        OSError: the file can't be read.
    """
    if not isinstance(path, Path):
        raise misuse("path", path, "a pathlib.Path")
    return parse_tools(read_text(path), file=path.name, decimal=decimal)


def parse_tools(text: str, *, file: str, decimal: DecimalSign | None = None) -> list[Tool]:
    """Return the tools that a CSV text holds; see `read_tools`.

    Raises:
        TypeError: the text is none.
        TableError: what can't be taken.
    """
    if not isinstance(text, str):
        raise misuse("text", text, "the text of a CSV")
    table = parse_rows(text, file=file, decimal=decimal)
    if not table.rows:
        raise TableError([CellFault(file, 2, "", "", "there is no tool below the header")])
    return parse_table(table.rows, Tool, file=file, numbers=table.numbers, decimal=table.decimal)
