"""A result that a file brings along: for a preview, a phone, or a place without the service."""

from collections.abc import Mapping, Sequence

from api.sheet import cell
from api.sheet.column import COLUMNS
from api.workbook.workbook import Content, WorkbookSheet
from catalog.tables.table import neutral

_STORED = "Stored"
_MOST_SHOWN = 400  # characters of a field on the sheet


def filled_of(cells: Mapping[str, str], switches: Mapping[str, str]) -> dict[str, Content]:
    """Return what inputs hold for the cells of a query: numbers as numbers, and no text that would be a formula."""
    held = {name: _content_of(name, text) for name, text in cells.items()}
    return held | {name: word for name, word in switches.items() if word in ("yes", "us")}


def _content_of(name: str, text: str) -> Content:
    """Return what an input holds for a text."""
    if COLUMNS[name].read in (cell.number, cell.numbers):
        try:
            return float(text)
        except ValueError:
            pass
    return neutral(text)


def stored_sheet(time: str, text: str, paths: Sequence[str]) -> WorkbookSheet:
    """Return the sheet of a result as plain values: when it was found, then each field with what it says."""
    sheet = WorkbookSheet(_STORED, (62, 215), frozen_rows=3, landscape=True, protected=True)
    sheet.put(1, 1, "Result as it was found", "title", span=2)
    sheet.put(2, 1, f"Found at {time}, for the trip of the sheet Trip as this file came.", "note", span=2)
    for row, (path, line) in enumerate(zip(paths, text.split("\n"), strict=False), start=4):
        sheet.put(row, 1, path, "label")
        sheet.put(row, 2, neutral(line.replace("|", "; "))[:_MOST_SHOWN], "told")
    sheet.printed = f"A1:B{max(row for row, _ in sheet.cells)}"
    return sheet
