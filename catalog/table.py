"""Reading tables: the project's own data files and a user's CSV."""

import csv
import io
from importlib.resources import files
from pathlib import Path

from catalog.errors import CellFault, TableError

DELIMITERS = ",;\t"


def read_rows(name: str) -> list[dict[str, str]]:
    """Return the rows of the data file `name`, every cell a string, an empty cell the empty string."""
    text = (files("catalog") / "data" / name).read_text(encoding="utf-8")
    return parse_rows(text, file=name)


def read_text(path: Path) -> str:
    """Return the text of a user's file, with or without a byte order mark.

    Raises:
        TableError: the file is not UTF-8.
    """
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        why = f"not UTF-8 text: {error.reason} at byte {error.start}"
        raise TableError([CellFault(path.name, 1, "", "", why)]) from error


def parse_rows(text: str, *, file: str) -> list[dict[str, str]]:
    """Return the rows of a table with a header line; comma, semicolon and tab serve as separators.

    A table separated by semicolons may write decimals with a comma, as some locales do.

    Raises:
        TableError: no header, a column named twice, or a row of another length than the header.
    """
    delimiter = separator(text)
    try:
        lines = [line for line in csv.reader(io.StringIO(text), delimiter=delimiter, strict=True) if any(line)]
    except csv.Error as error:
        raise TableError([CellFault(file, 1, "", "", f"not a readable table: {error}")]) from error
    if not lines:
        raise TableError([CellFault(file, 1, "", "", "the table is empty: a header line is needed")])
    header = [cell.strip() for cell in lines[0]]
    faults = shape_faults(header, lines[1:], file)
    if faults:
        raise TableError(faults)
    return [dict(zip(header, (cell.strip() for cell in line), strict=True)) for line in lines[1:]]


def separator(text: str) -> str:
    """Return the separator that the header line uses most."""
    header = text.split("\n", 1)[0]
    return max(DELIMITERS, key=header.count)


def shape_faults(header: list[str], lines: list[list[str]], file: str) -> list[CellFault]:
    """Return what is wrong with the header and with the length of the rows (row 1 is the header)."""
    twice = sorted({name for name in header if header.count(name) > 1})
    faults = [CellFault(file, 1, name, name, "this column is named twice") for name in twice]
    for row, line in enumerate(lines, start=2):
        if len(line) != len(header):
            why = f"{len(line)} cells where the header has {len(header)}"
            faults.append(CellFault(file, row, "", "", why))
    return faults
