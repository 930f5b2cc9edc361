"""The rows of a table of trips: cells by column, and their numbers as the table writes them."""

import re
from collections.abc import Iterator, Mapping, Sequence

from api.sheet import cell
from api.sheet.column import COLUMNS
from catalog import TableError
from catalog.tables.row import decimal_sign, number_of, unclear_number
from catalog.tables.table import DecimalSign, parse_rows
from solver import Fault, TripError

MOST_ROWS = 10_000  # judged: as of a file; what they take is bounded by the bytes of the body
TripCells = dict[str, str]
_OF_NUMBERS = (cell.number, cell.numbers, cell.amounts, cell.figures, cell.members, cell.own_tools)
# What stands between the numbers of a list, and before the amount of a pair; a space may also part thousands.
_BETWEEN = re.compile(rf"({cell.LIST_COMMA}|[|;:~\s]+)")


def trips_of(text: str) -> list[tuple[int, TripCells]]:
    """Return the cells of every row with the number that a spreadsheet shows; blank rows have none.

    Raises:
        TripError: the table can't be read, has unknown columns, no rows, or too many.
    """
    try:
        table = parse_rows(text, file="the table")
    except TableError as error:
        raise TripError(
            [Fault(f"#/{f.column or f.row}", f.value, "a table", f"row {f.row}: {f.why}") for f in error.faults]
        ) from error
    if not table.rows:
        raise _refusal("2", None, "1 row or more", "there is no trip below the header")
    if (last := table.numbers[-1]) > MOST_ROWS + 1:
        raise _refusal(
            str(last),
            None,
            f"{MOST_ROWS} rows below the header",
            f"{last - 1} rows are more than {MOST_ROWS}; send them in parts",
        )
    unknown = [name for name in table.rows[0] if name not in COLUMNS]
    if unknown:
        near = "the parameters of GET /v1/sheet/value"
        raise TripError(
            [
                Fault(f"#/{name[:80]}", name[:80], near, f"there is no parameter for the column {name[:80]!r}")
                for name in unknown
            ]
        )
    filled = dict(zip(table.numbers, table.rows, strict=True))
    return [(number, filled.get(number, {})) for number in range(table.numbers[0], last + 1)]


def _refusal(name: str, value: object, allowed: str, detail: str) -> TripError:
    """Return the refusal of a row or column."""
    return TripError([Fault(f"#/{name}", value, allowed, detail)])


def sign_of(stated: str, trips: Sequence[tuple[int, TripCells]], *, separator: str) -> DecimalSign | None:
    """Return the sign of decimals of a table of trips: as stated, else as its numbers tell (`decimal_sign`).

    Between commas it is a point, though a single number there may have a comma.
    """
    if stated == "point" or (stated == "auto" and separator == ","):
        return "point"
    if stated == "comma":
        return "comma"
    return decimal_sign(part for _, cells in trips for _, parts in _number_parts(cells) for part in parts)


def number_faults(cells: TripCells, decimal: DecimalSign | None) -> list[Fault]:
    """Return a fault for each number that may mean two things; see `unclear_number`."""
    return [
        Fault(f"#/{name}", cells[name], "a number that means one thing", why)
        for name, parts in _number_parts(cells)
        for why in (unclear_number(part, decimal=decimal) for part in parts)
        if why is not None
    ]


def plain_numbers(cells: TripCells, decimal: DecimalSign | None) -> TripCells:
    """Return cells whose decimals have a point."""
    if decimal == "point":
        return cells
    told = {name: "".join(_plain(part, decimal) for part in parts) for name, parts in _number_parts(cells)}
    return cells | told


def _plain(part: str, decimal: DecimalSign | None) -> str:
    """Return a number with a point, anything else as it stands."""
    return part.replace(",", ".") if isinstance(number_of(part, decimal=decimal), float) else part


def _number_parts(cells: Mapping[str, str]) -> Iterator[tuple[str, list[str]]]:
    """Yield the columns that hold numbers, with their parts: numbers, and what stands between."""
    for name, text in cells.items():
        if COLUMNS[name].read in _OF_NUMBERS:
            yield name, _BETWEEN.split(text)
