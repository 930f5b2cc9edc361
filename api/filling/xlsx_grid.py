"""A sheet of an .xlsx workbook: values are read by openpyxl; results go into the sheet's own XML, all else stays.

ECMA-376, part 1, 18.3 (worksheets): c is a cell, r its address, t its type, s its format, f a formula, v its value.
"""

import io
import posixpath
import warnings
from datetime import date, time, timedelta
from typing import Any
from xml.etree.ElementTree import Element, SubElement

from openpyxl import load_workbook
from openpyxl.utils import column_index_from_string, get_column_letter

from api.filling.grid import (
    DATE_VALUE,
    ERROR_VALUE,
    FORMULA_WITHOUT_VALUE,
    MOST_COLUMNS,
    CellValue,
    Heed,
    check_size,
    not_readable,
)
from api.filling.xml_part import XmlPart, ZippedFile
from catalog.tables.table import DecimalSign
from solver import Cancelled, Unfinished

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_RELATION = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_PRESERVE = "{http://www.w3.org/XML/1998/namespace}space"
_BEHIND_CALC = ("oleSize", "customWorkbookViews", "pivotCaches", "fileRecoveryPr", "webPublishing", "extLst")


class XlsxGrid:
    """A sheet of a workbook."""

    decimal: DecimalSign | None = None
    inputs: frozenset[int] = frozenset()

    def __init__(self, body: bytes, sheet: str, heed: Heed) -> None:
        """Read a sheet.

        Raises:
            Refused: it is no such workbook.
        """
        try:
            self.file = ZippedFile(body)
            self.name = sheet
            self.part_name = _part_of(self.file, sheet, heed)
            self.part = XmlPart(self.file.parts[self.part_name], heed)
            self.rows = _values_of(body, sheet, heed)
            self.lay_out(heed)
        except (Cancelled, Unfinished):
            raise
        except Exception as error:  # openpyxl lets out whatever it meets in a broken file
            raise not_readable("xlsx", error) from error
        self.mark_unknown()

    def lay_out(self, heed: Heed) -> None:
        """Find each cell by its address.

        Raises:
            ValueError: an address is none.
        """
        data = self.part.root.find(f"{_MAIN}sheetData")
        self.data = SubElement(self.part.root, f"{_MAIN}sheetData") if data is None else data
        self.lines: dict[int, Element] = {}
        self.cells: dict[int, dict[int, Element]] = {}
        for line in self.data:
            heed()
            row = int(line.get("r") or len(self.lines) + 1) - 1
            self.lines[row] = line
            self.cells[row] = {_column_of(cell, place): cell for place, cell in enumerate(line)}

    def mark_unknown(self) -> None:
        """Tell formulas without a value from empty cells."""
        for row, cells in self.cells.items():
            for column, cell in cells.items():
                known = row < len(self.rows) and column < len(self.rows[row])
                if known and cell.find(f"{_MAIN}f") is not None and not cell.findtext(f"{_MAIN}v"):
                    self.rows[row][column] = FORMULA_WITHOUT_VALUE

    def has_formula(self, row: int, column: int) -> bool:
        """Tell whether a cell holds a formula."""
        cell = self.cells.get(row, {}).get(column)
        return cell is not None and cell.find(f"{_MAIN}f") is not None

    def put(self, row: int, column: int, value: str | float | None) -> None:
        """Write a value into a cell."""
        cell = self.cells.get(row, {}).get(column)
        if cell is None:
            if value is None:
                return
            cell = self.added(row, column)
        for child in list(cell):
            cell.remove(child)
        cell.attrib.pop("t", None)
        if isinstance(value, float):
            SubElement(cell, f"{_MAIN}v").text = repr(value)
        elif value is not None:
            cell.set("t", "inlineStr")
            text = SubElement(SubElement(cell, f"{_MAIN}is"), f"{_MAIN}t", {_PRESERVE: "preserve"})
            text.text = value

    def added(self, row: int, column: int) -> Element:
        """Return a new cell in its place."""
        if row not in self.lines:
            line = Element(f"{_MAIN}row", {"r": str(row + 1)})
            self.data.insert(sum(1 for other in self.lines if other < row), line)
            self.lines[row], self.cells[row] = line, {}
        line = self.lines[row]
        line.attrib.pop("spans", None)
        cell = Element(f"{_MAIN}c", {"r": f"{get_column_letter(column + 1)}{row + 1}"})
        if (left := self.cells[row].get(column - 1)) is not None and (form := left.get("s")) is not None:
            cell.set("s", form)
        line.insert(sum(1 for other in self.cells[row] if other < column), cell)
        self.cells[row][column] = cell
        return cell

    def written(self, heed: Heed) -> bytes:
        """Return the workbook; formulas that may hang on results lose their old values, and are asked to be reckoned.

        Those of the columns that trips are read from keep them, so that the file can be filled again.
        """
        for cells in self.cells.values():
            heed()
            for column, cell in cells.items():
                if column not in self.inputs:
                    _forget(cell)
        if (size := self.part.root.find(f"{_MAIN}dimension")) is not None:
            self.part.root.remove(size)
        parts = self.file.parts | {self.part_name: self.part.written()}
        for name, body in self.file.parts.items():
            if name.startswith("xl/worksheets/") and name != self.part_name and self.name.encode() in body:
                parts[name] = _without_values(body, self.name, heed)
        parts["xl/workbook.xml"] = _reckoned_anew(parts["xl/workbook.xml"], heed)
        self.file.parts = parts
        return self.file.zipped()


def xlsx_sheets(body: bytes, heed: Heed) -> list[str]:
    """Return the names of the sheets of a workbook, in order.

    Raises:
        Refused: it is no such workbook.
    """
    try:
        root = XmlPart(ZippedFile(body).parts["xl/workbook.xml"], heed).root
    except (ValueError, KeyError) as error:
        raise not_readable("xlsx", error) from error
    return [one.get("name") or "" for one in root.iter(f"{_MAIN}sheet")]


def _part_of(file: ZippedFile, sheet: str, heed: Heed) -> str:
    """Return the name of the part that holds a sheet."""
    book = XmlPart(file.parts["xl/workbook.xml"], heed).root
    relations = [one.get(_RELATION) for one in book.iter(f"{_MAIN}sheet") if one.get("name") == sheet]
    links = XmlPart(file.parts["xl/_rels/workbook.xml.rels"], heed).root
    targets = [one.get("Target") or "" for one in links if [one.get("Id")] == relations]
    if len(targets) != 1:
        raise ValueError(f"where its sheet {sheet} stands is not said once")
    (target,) = targets
    return target.lstrip("/") if target.startswith("/") else posixpath.normpath(f"xl/{target}")


def _values_of(body: bytes, sheet: str, heed: Heed) -> list[list[CellValue]]:
    """Return the values of a sheet."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # parts that openpyxl does not know are not read here, and stay
        book = load_workbook(io.BytesIO(body), read_only=True, data_only=True)
    page = book[sheet]
    page.reset_dimensions()
    found: list[list[CellValue]] = []
    cells = 0
    for row in page.iter_rows():
        heed()
        cells += len(row)
        check_size(len(found) + 1, cells)
        if len(row) > MOST_COLUMNS:
            raise ValueError(f"a row has more than {MOST_COLUMNS} cells")
        found.append([_value_of(cell) for cell in row])
    return found


def _value_of(cell: Any) -> CellValue:
    """Return the value of a cell."""
    value = cell.value
    if getattr(cell, "data_type", "n") == "e":
        return ERROR_VALUE
    if isinstance(value, date | time | timedelta):
        return DATE_VALUE
    return float(value) if isinstance(value, int) and not isinstance(value, bool) else value


def _column_of(cell: Element, place: int) -> int:
    """Return the column of a cell from its address, or its place where it has none."""
    letters = (cell.get("r") or "").rstrip("0123456789")
    return column_index_from_string(letters) - 1 if letters else place


def _forget(cell: Element) -> None:
    """Take the value of a formula away."""
    value = cell.find(f"{_MAIN}v")
    if value is not None and cell.find(f"{_MAIN}f") is not None:
        cell.remove(value)
        cell.attrib.pop("t", None)


def _without_values(body: bytes, sheet: str, heed: Heed) -> bytes:
    """Return another sheet, its formulas without values where they name a sheet."""
    part = XmlPart(body, heed)
    for cell in part.root.iter(f"{_MAIN}c"):
        formula = cell.find(f"{_MAIN}f")
        if formula is not None and sheet in (formula.text or ""):
            _forget(cell)
    return part.written()


def _reckoned_anew(body: bytes, heed: Heed) -> bytes:
    """Return the workbook part, which asks for all formulas to be reckoned when it is opened."""
    part = XmlPart(body, heed)
    asked = part.root.find(f"{_MAIN}calcPr")
    if asked is None:
        behind = [place for place, one in enumerate(part.root) if one.tag.removeprefix(_MAIN) in _BEHIND_CALC]
        asked = Element(f"{_MAIN}calcPr")
        part.root.insert(min(behind, default=len(part.root)), asked)
    asked.set("fullCalcOnLoad", "1")
    return part.written()
