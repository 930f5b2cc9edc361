"""What a workbook is made of, whatever file it is written to: cells with looks, choices, a chart, a page."""

from collections.abc import Sequence
from dataclasses import dataclass, field

Content = str | float | None
FONT = "Arial"
FORMULA = "="  # a text that begins so is a formula, in the form that openpyxl writes: commas, A1, Sheet!A1


@dataclass(frozen=True)
class CellLook:
    """How a cell looks: colours as RRGGBB, size in points."""

    size: float = 9.5
    bold: bool = False
    italic: bool = False
    ink: str = "22302B"
    fill: str | None = None
    line: str | None = None
    wrap: bool = False
    right: bool = False
    decimals: int | None = None
    indent: bool = False
    shrink: bool = False  # whether a text too long for its cell is written smaller, so that nothing is cut
    open: bool = False  # whether it can be changed on a protected sheet


LOOKS = {
    "plain": CellLook(),
    "title": CellLook(size=17, bold=True, ink="1F3D34"),
    "headline": CellLook(size=11, bold=True, ink="8A3B12", wrap=True),
    "band": CellLook(bold=True, ink="FFFFFF", fill="35574A", indent=True),
    "head": CellLook(bold=True, ink="35574A", line="35574A", indent=True),
    "head_right": CellLook(bold=True, ink="35574A", line="35574A", right=True),
    "label": CellLook(line="DDE3DC", indent=True),
    "input": CellLook(fill="FFF4D6", line="C9B37A", right=True, open=True),
    "input_text": CellLook(fill="FFF4D6", line="C9B37A", open=True),
    "unit": CellLook(ink="6B7670", line="DDE3DC", indent=True),
    "total": CellLook(size=12, bold=True, line="DDE3DC", right=True),
    "figure": CellLook(line="DDE3DC", right=True),  # whole in some units, with decimals in others
    "whole": CellLook(line="DDE3DC", right=True, decimals=0),
    "hundredth": CellLook(line="DDE3DC", right=True, decimals=2),
    "tenth": CellLook(line="DDE3DC", right=True, decimals=1),
    "text": CellLook(line="DDE3DC", shrink=True, indent=True),
    "told": CellLook(size=8.5, line="DDE3DC", wrap=True, indent=True),
    "ids": CellLook(size=8, line="DDE3DC", shrink=True, indent=True),
    "caution": CellLook(size=8.5, ink="5B4630", line="DDE3DC", shrink=True, indent=True),
    "workings": CellLook(size=8, ink="6B7670"),
    "link": CellLook(size=8.5, ink="1A5FB4"),
    "note": CellLook(size=8.5, italic=True, ink="6B7670", shrink=True),
}


@dataclass(frozen=True)
class Cell:
    """A cell: what it holds, its look, and how many columns and rows it spans."""

    content: Content
    look: str = "plain"
    span: int = 1
    rows: int = 1


@dataclass(frozen=True)
class CellChoice:
    """What an input may hold: a word of a range of cells, or what a formula finds true; and what else is told."""

    row: int
    column: int
    words: str | None = None
    formula: str | None = None
    told: str = ""


@dataclass(frozen=True)
class Series:
    """Points of a chart: ranges of one column on a sheet, with a colour and the size of their marks.

    Their name stands above the first of the y column.
    """

    sheet: str
    x_column: str
    y_column: str
    first: int
    last: int
    ink: str
    mark: int


@dataclass(frozen=True)
class Chart:
    """A scatter chart: where it stands, its titles, its points; size in millimetres."""

    row: int
    column: int
    title: str
    x_title: str
    y_title: str
    series: Sequence[Series]
    width_mm: float
    height_mm: float


@dataclass
class WorkbookSheet:
    """A sheet: cells by row and column (from 1), widths of columns in millimetres."""

    name: str
    widths_mm: Sequence[float]
    cells: dict[tuple[int, int], Cell] = field(default_factory=dict)
    choices: list[CellChoice] = field(default_factory=list)
    charts: list[Chart] = field(default_factory=list)
    frozen_rows: int = 0
    fixed_rows: set[int] = field(default_factory=set)  # as high as a line, whatever their texts hold
    landscape: bool = False
    printed: str | None = None  # the range that is printed, where that is not all
    protected: bool = False  # whether only inputs can be changed

    def put(self, row: int, column: int, content: Content, look: str = "plain", *, span: int = 1, rows: int = 1) -> str:
        """Put a cell and return its address."""
        self.cells[row, column] = Cell(None if content == "" else content, look, span, rows)
        return f"{letters(column)}{row}"


@dataclass(frozen=True)
class Workbook:
    """A workbook: its title and its sheets."""

    title: str
    sheets: Sequence[WorkbookSheet]


def letters(column: int) -> str:
    """Return the name of a column: 1 is A, 27 is AA."""
    found = ""
    while column:
        column, rest = divmod(column - 1, 26)
        found = chr(ord("A") + rest) + found
    return found
