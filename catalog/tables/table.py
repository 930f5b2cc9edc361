"""Tables as text: the project's own data files and a user's CSV read, CSV written."""

import csv
import io
import re
import zipfile
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Literal

from catalog.tables.errors import CellFault, TableError

_DELIMITERS = ",;\t"
_MOST_COLUMNS, _MOST_ROWS = 1000, 200_000  # judged: beyond any table of this trade, so that the rest is not read
# How a table may be written, for the documents that ask for one.
ABOUT_TABLES = (
    "A header line, then a row each; separated by comma, semicolon or tab, which a line `sep=;` above may name. "
    "Decimals have a point; where semicolons or "
    "tabs separate, they may have a comma. There a number like 1.250 or 1,250, which may be 1250 or 1.25, is read by "
    "the decimal sign that other numbers of the table have, and refused where they tell none, or `decimal` tells the "
    "other. An apostrophe before =, + , - or @ marks a text and is not part of it."
)
DecimalSign = Literal["point", "comma"]
# `sep=;`: some spreadsheets write it above a table and show it as no row (common practice, no source).
_SEPARATOR_LINE = re.compile(rf'"?sep=([{_DELIMITERS}])"?[ \t]*(?:\r?\n|\r|$)', re.IGNORECASE)
_OPENS_CELL = r"((?:^|[,;\t\r\n])[ \u00a0\"]*)"
# OWASP, CSV Injection: what a cell must not begin with; the last four are full-width.
_BEGINS_FORMULA = "([=+\\-@\uff1d\uff0b\uff0d\uff20])"
_FORMULA = re.compile(f"{_OPENS_CELL}('*){_BEGINS_FORMULA}")
_KEPT_FORMULA = re.compile(f"{_OPENS_CELL}'('*){_BEGINS_FORMULA}")
# Texts that a spreadsheet reads as a number, a date or a truth, and writes in another way.
_TURNED = r"(?![+-])(?![1-9]\d{0,14}$|0$)(?=.*\d)[\d.,:/%eE+ -]+|(?i:true|false)"
# Apostrophes once taken are not given back: a cell of nothing else costs no more than its length.
_NUMBER_LIKE = re.compile(f"'*+(?:{_TURNED})")
_KEPT_NUMBER_LIKE = re.compile(f"'++(?:{_TURNED})")
# Calc takes 0.479 and 1234.567 for thousands in locales that part those by points.
_LOOKS_LIKE_THOUSANDS = re.compile(r"-?\d+\.\d{3}")
_NEEDS_QUOTES = re.compile(r"[,;\t\"\r\n]|^ | $")


@dataclass(frozen=True)
class _Table:
    """The text cells of a table: its rows, each with the number that a spreadsheet shows, and how decimals stand.

    `decimal` is None where the numbers of the table themselves must tell.
    """

    rows: list[dict[str, str]]
    numbers: list[int]
    decimal: DecimalSign | None


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
        if zipfile.is_zipfile(path):  # as .xlsx and .ods are
            why = "a workbook or another packed file, not a CSV: save the sheet as CSV UTF-8"
        raise TableError([CellFault(path.name, 1, "", "", why)]) from error


def parse_rows(text: str, *, file: str, decimal: DecimalSign | None = None) -> _Table:
    """Return the rows of a table with a header line; comma, semicolon and tab serve as separators.

    A table separated by semicolons or tabs may write decimals with a comma, as some locales do; in one
    separated by commas, a comma inside a number could as well part thousands, and is left to be refused. So is, in
    one separated by semicolons or tabs, 1.250 or 1,250, which may be 1250 or 1.25, unless the sign of decimals is
    stated or other numbers tell it (`catalog.tables.row`). Texts that `csv_text` marked are read without the mark.

    Args:
        text: the table.
        file: its name, for its faults.
        decimal: the sign of its decimals, where that is stated.

    Raises:
        TableError: no header, a column named twice, a row of another length than the header, or more than 1,000
            columns or 200,000 rows.
    """
    delimiter, rows_text = separator(text), text.removeprefix(separator_line(text))
    lines = [(row, line) for row, line in enumerate(_records(rows_text, delimiter, file), start=1) if any(line)]
    if not lines:
        raise TableError([CellFault(file, 1, "", "", "the table is empty: a header line is needed")])
    top, header = lines[0]
    faults = _header_faults(header, top, file) + _length_faults(header, lines[1:], file)
    if faults:
        raise TableError(faults)
    rows = [dict(zip(header, line, strict=True)) for _, line in lines[1:]]
    return _Table(rows, [row for row, _ in lines[1:]], decimal=decimal or ("point" if delimiter == "," else None))


def _records(text: str, delimiter: str, file: str) -> list[list[str]]:
    """Return the cells of every row, blank rows among them, so that rows keep their numbers."""
    found: list[list[str]] = []
    try:
        for line in csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True):
            if len(line) > _MOST_COLUMNS or len(found) >= _MOST_ROWS:
                what = f"{_MOST_COLUMNS:,} cells in a row" if len(line) > _MOST_COLUMNS else f"{_MOST_ROWS:,} rows"
                raise TableError([CellFault(file, len(found) + 1, "", "", f"more than {what}")])
            found.append([unmarked(cell.strip()) for cell in line])
    except csv.Error as error:
        raise TableError([CellFault(file, len(found) + 1, "", "", f"not a readable table: {error}")]) from error
    return found


def separator(text: str) -> str:
    """Return the separator that a line above the table names, else the one that the header line uses most."""
    if (named := _SEPARATOR_LINE.match(text)) is not None:
        return named[1]
    header = text.lstrip("\r\n ").split("\n", 1)[0]
    return max(_DELIMITERS, key=header.count)


def separator_line(text: str) -> str:
    """Return the first line with its end where it only names the separator, as `sep=;` does; else nothing."""
    named = _SEPARATOR_LINE.match(text)
    return named[0] if named is not None else ""


def _header_faults(header: list[str], row: int, file: str) -> list[CellFault]:
    """Return the columns that are named twice."""
    twice = sorted(name for name, count in Counter(header).items() if count > 1)
    return [CellFault(file, row, name, name, "the header names this column twice") for name in twice]


def _length_faults(header: list[str], lines: list[tuple[int, list[str]]], file: str) -> list[CellFault]:
    """Return the rows that are not as long as the header."""
    return [
        CellFault(file, row, "", "", f"{len(line)} cells, but the header has {len(header)}")
        for row, line in lines
        if len(line) != len(header)
    ]


class FigureCell(str):
    """A cell that is written as it stands: a number, or a word in the place of one."""

    __slots__ = ()


def csv_text(rows: Iterable[Sequence[str]], *, separator: str = ",", line_end: str = "\r\n") -> str:
    """Return the CSV of rows (RFC 4180), in which no text is a formula, whatever separator it is opened with.

    A text is quoted if it holds any separator. An apostrophe stands before each =, + , - and @ that begins a text, or
    follows a separator in it; `parse_rows` takes it off again. A `FigureCell` is left as it is.
    """
    return "".join(separator.join(_written(cell, separator) for cell in row) + line_end for row in rows)


def _written(cell: str, separator: str) -> str:
    """Return a cell as it stands in the text of a table."""
    if isinstance(cell, FigureCell):
        return _quoted(cell) if any(mark in cell for mark in (separator, '"', "\r", "\n")) else cell
    told = _FORMULA.sub(r"\1'\2\3", cell)
    return _quoted(told) if _NEEDS_QUOTES.search(told) else told


def _quoted(cell: str) -> str:
    """Return a cell in quotes."""
    doubled = cell.replace('"', '""')
    return f'"{doubled}"'


def neutral(text: str) -> str:
    """Return a text for one cell that begins no formula, marked as in a table."""
    return _FORMULA.sub(r"\1'\2\3", text, count=1) if _FORMULA.match(text) else text


def as_text(text: str) -> str:
    """Return a text that no spreadsheet turns into a number, a date or a truth; `parse_rows` reads it back."""
    return f"'{text}" if _NUMBER_LIKE.fullmatch(text) else text


def unmarked(cell: str) -> str:
    """Return a text without the apostrophes that mark it as one."""
    if "'" not in cell:
        return cell
    plain = _KEPT_FORMULA.sub(r"\1\2\3", cell)
    return plain[1:] if _KEPT_NUMBER_LIKE.fullmatch(plain) else plain


def number_text(value: float, *, decimal: DecimalSign = "point") -> FigureCell:
    """Return a number to its last bit, with no digits that could be thousands: 1.125 is 1.1250."""
    text = str(int(value)) if float(value).is_integer() else repr(float(value))
    text = f"{text}0" if _LOOKS_LIKE_THOUSANDS.fullmatch(text) else text
    return FigureCell(text.replace(".", ",") if decimal == "comma" else text)
