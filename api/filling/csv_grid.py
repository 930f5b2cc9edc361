"""A table of trips as CSV: separator, line ends, byte order mark and every cell of one's own stay as they are."""

import csv
import io
from collections.abc import Sequence
from itertools import islice

from api.filling.grid import MOST_COLUMNS, CellValue, Heed, check_size, not_readable
from api.sheet.column import COLUMNS
from catalog.tables.table import DecimalSign, FigureCell, csv_text, separator, separator_line

_BOM = "\ufeff"
_SEPARATORS = ";,\t"
_LINES_ABOVE = 1000  # judged: in which the titles are looked for


class CsvGrid:
    """The cells of a CSV."""

    inputs: frozenset[int] = frozenset()

    def __init__(self, body: bytes, heed: Heed, *, decimal: DecimalSign | None = None) -> None:
        """Read a CSV.

        Raises:
            Refused: it is no UTF-8, or no table.
        """
        try:
            text = body.decode("utf-8")
            self.mark = _BOM if text.startswith(_BOM) else ""
            text = text.removeprefix(_BOM)
            self.above = separator_line(text)
            self.separator = separator(text) if self.above else _separator_of(text)
            rows = text.removeprefix(self.above)
            read = csv.reader(io.StringIO(rows, newline=""), delimiter=self.separator, strict=True)
            self.cells: list[list[str]] = []
            count = 0
            for row in read:
                heed()
                if len(row) > MOST_COLUMNS:
                    raise ValueError(f"a row has more than {MOST_COLUMNS} cells")
                self.cells.append([FigureCell(cell) for cell in row])
                count += len(row)
                check_size(len(self.cells), count)
        except UnicodeDecodeError as error:
            why = f"not UTF-8 text ({error.reason} at byte {error.start}): save it as CSV in UTF-8"
            raise not_readable("csv", ValueError(why)) from error
        except (csv.Error, ValueError) as error:
            raise not_readable("csv", ValueError(error)) from error
        self.line_end = "\r\n" if "\r\n" in text else "\n"
        self.stated = decimal

    @property
    def decimal(self) -> DecimalSign | None:
        """Sign of decimals, as stated; between commas a point."""
        return self.stated or ("point" if self.separator == "," else None)

    @property
    def rows(self) -> Sequence[Sequence[CellValue]]:
        """The cells."""
        return self.cells

    def has_formula(self, row: int, column: int) -> bool:  # noqa: ARG002  # as of every grid
        """Tell that a CSV holds no formulas."""
        return False

    def put(self, row: int, column: int, value: str | float | None) -> None:
        """Write a value into a cell."""
        cells = self.cells[row]
        cells.extend("" for _ in range(column + 1 - len(cells)))
        if isinstance(value, float):
            cells[column] = FigureCell(f"{value:.10g}".replace(".", "," if self.commas else "."))
        else:
            cells[column] = value or ""

    @property
    def commas(self) -> bool:
        """Whether numbers are written with a comma."""
        return (self.decimal or ("comma" if self.separator == ";" else "point")) == "comma"

    def tell(self, decimal: DecimalSign | None) -> None:
        """Take the sign of decimals that the numbers of the table tell."""
        self.stated = self.stated or decimal

    def written(self, heed: Heed) -> bytes:
        """Return the file."""
        heed()
        told = csv_text(self.cells, separator=self.separator, line_end=self.line_end)
        return (self.mark + self.above + told).encode()


def _separator_of(text: str) -> str:
    """Return what parts the titles of a trip's columns: lines above them may hold something else."""
    for line in islice(io.StringIO(text, newline=None), _LINES_ABOVE):
        found = {
            mark: sum(title.strip(' "') in COLUMNS for title in line.rstrip("\n").split(mark)) for mark in _SEPARATORS
        }
        best = max(_SEPARATORS, key=lambda mark: found[mark])
        if found[best]:
            return best
    return separator(text)
