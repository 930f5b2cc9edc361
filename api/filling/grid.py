"""A sheet as rows of values, read from a file and written back into it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Protocol

from api.settings.refused import Refused
from catalog.tables.table import DecimalSign


@dataclass(frozen=True)
class NoValue:
    """What stands in a cell that can't be read as a text, a number or a truth: why."""

    why: str


Heed = Callable[[], None]  # called row by row while a file is read or written; it raises where nobody waits any more
CellValue = str | float | bool | None | NoValue
FORMULA_WITHOUT_VALUE = NoValue("holds a formula without its value: open the file, let it calculate, save it")
ERROR_VALUE = NoValue("holds an error")
DATE_VALUE = NoValue("holds a date or a time: write a number, or a text")
MOST_COLUMNS, MOST_ROWS = 1000, 100_000  # judged
MOST_CELLS = 1_000_000  # judged: of a sheet, its empty cells before filled ones too


class Grid(Protocol):
    """A sheet of a file. Rows and columns count from 0.

    Attributes:
        inputs: columns that trips are read from; formulas there keep their values.
    """

    inputs: frozenset[int]

    @property
    def rows(self) -> Sequence[Sequence[CellValue]]:
        """The values of all rows."""

    @property
    def decimal(self) -> DecimalSign | None:
        """Sign of decimals of numbers that stand as texts, where that is known."""

    def has_formula(self, row: int, column: int) -> bool:
        """Tell whether a cell holds a formula."""

    def put(self, row: int, column: int, value: str | float | None) -> None:
        """Write a value into a cell, which keeps its format; None empties it."""

    def written(self, heed: Heed) -> bytes:
        """Return the file with what was put into it; all else is as it was."""


def unheeded() -> None:
    """Go on: whoever typed a command waits for it, or ends it by Ctrl-C."""


def check_size(rows: int, cells: int) -> None:
    """Check how large a sheet is, before its rows are written out.

    Raises:
        ValueError: it has too many rows or cells.
    """
    if rows > MOST_ROWS:
        raise ValueError(f"the sheet has more than {MOST_ROWS:,} rows")
    if cells > MOST_CELLS:
        raise ValueError(f"the sheet has more than {MOST_CELLS:,} cells")


def not_readable(kind: str, error: Exception) -> Refused:
    """Return the refusal of a file that is none of its kind, in words: what libraries say are names of parts."""
    if isinstance(error, KeyError):
        why = f"a part that every workbook has is missing from it; save it again as .{kind}"
    elif isinstance(error, ValueError):
        why = str(error)
    else:
        why = f"a part of it is broken; save it again as .{kind}"
    return Refused(f"this is no readable .{kind} file\n{why}")
