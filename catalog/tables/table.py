"""Reading tables: the project's own data files and a user's CSV."""

import csv
import io
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path

from catalog.tables.errors import CellFault, TableError

_DELIMITERS = ",;\t"
# How a table may be written, for the documents that ask for one.
ABOUT_TABLES = (
    "A header line, then a row each; separated by comma, semicolon or tab. Decimals have a point; where semicolons or "
    "tabs separate, they may have a comma, and a number like 1.250 or 1,250 is refused: it may be 1250 or 1.25."
)


@dataclass(frozen=True)
class _Table:
    """The text cells of a table: its rows, each with the number that a spreadsheet shows, and how decimals stand."""

    rows: list[dict[str, str]]
    numbers: list[int]
    decimal_comma: bool


def read_rows(name: str) -> list[dict[str, str]]:
    """Return the rows of the data file `name`, every cell a string, an empty cell the empty string."""
    text = (files("catalog") / "data" / name).read_text(encoding="utf-8")
    return parse_rows(text, file=name).rows


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


def parse_rows(text: str, *, file: str) -> _Table:
    """Return the rows of a table with a header line; comma, semicolon and tab serve as separators.

    A table separated by semicolons or tabs may write decimals with a comma, as some locales do; in one
    separated by commas, a comma inside a number could as well part thousands, and is left to be refused. So is, in
    one separated by semicolons or tabs, 1.250 or 1,250, which may be 1250 or 1.25 (`catalog.tables.row.two_readings`).

    Raises:
        TableError: no header, a column named twice, or a row of another length than the header.
    """
    delimiter = separator(text)
    lines = [(row, line) for row, line in enumerate(_records(text, delimiter, file), start=1) if any(line)]
    if not lines:
        raise TableError([CellFault(file, 1, "", "", "the table is empty: a header line is needed")])
    top, header = lines[0]
    faults = _header_faults(header, top, file) + _length_faults(header, lines[1:], file)
    if faults:
        raise TableError(faults)
    rows = [dict(zip(header, line, strict=True)) for _, line in lines[1:]]
    return _Table(rows, [row for row, _ in lines[1:]], decimal_comma=delimiter != ",")


def _records(text: str, delimiter: str, file: str) -> list[list[str]]:
    """Return the cells of every row, blank rows among them, so that rows keep their numbers."""
    found: list[list[str]] = []
    try:
        for line in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True):
            found.append([cell.strip() for cell in line])  # noqa: PERF401  # the rows before a fault give its number
    except csv.Error as error:
        raise TableError([CellFault(file, len(found) + 1, "", "", f"not a readable table: {error}")]) from error
    return found


def separator(text: str) -> str:
    """Return the separator that the header line uses most."""
    header = text.lstrip("\r\n ").split("\n", 1)[0]
    return max(_DELIMITERS, key=header.count)


def _header_faults(header: list[str], row: int, file: str) -> list[CellFault]:
    """Return the columns that are named twice."""
    twice = sorted({name for name in header if header.count(name) > 1})
    return [CellFault(file, row, name, name, "the header names this column twice") for name in twice]


def _length_faults(header: list[str], lines: list[tuple[int, list[str]]], file: str) -> list[CellFault]:
    """Return the rows that are not as long as the header."""
    return [
        CellFault(file, row, "", "", f"{len(line)} cells, but the header has {len(header)}")
        for row, line in lines
        if len(line) != len(header)
    ]
