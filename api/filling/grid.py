"""A sheet as rows of values, read from a file and written back into it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

from api.settings.refused import Refused
from catalog.tables.table import DecimalSign


@dataclass(frozen=True)
class NoValue:
    """What stands in a cell that can't be read as a text, a number or a truth: why."""

    why: str


CellValue = str | float | bool | None | NoValue
FORMULA_WITHOUT_VALUE = NoValue("holds a formula without its value: open the file, let it calculate, save it")
ERROR_VALUE = NoValue("holds an error")
DATE_VALUE = NoValue("holds a date or a time: write a number, or a text")
MOST_ROWS, _MOST_COLUMNS = 100_000, 1000
_MOST_CELLS = 2_000_000  # judged: of a sheet, with the empty ones between, some 500 MB


class Grid(Protocol):
    """A sheet of a file. Rows and columns count from 0."""

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

    def written(self) -> bytes:
        """Return the file with what was put into it; all else is as it was."""


def check_widths(widths: Iterable[int]) -> None:
    """Check how many cells the rows of a sheet have, before they are made.

    Raises:
        ValueError: a row, or all together, have too many.
    """
    cells = 0
    for width in widths:
        if width > _MOST_COLUMNS:
            raise ValueError(f"a row has more than {_MOST_COLUMNS} cells")
        cells += width
        if cells > _MOST_CELLS:
            raise ValueError(f"it has more than {_MOST_CELLS} cells")


def not_readable(kind: str, why: object) -> Refused:
    """Return the refusal of a file that is none of its kind."""
    return Refused(f"this is no readable .{kind} file\n{why}")
