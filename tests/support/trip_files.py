"""Files of invented trips, as people keep them: a title above, columns of their own, formats and formulas."""

import io
from typing import Any
from zipfile import ZIP_DEFLATED, ZipFile

from odf.opendocument import OpenDocumentSpreadsheet
from odf.style import Style, TableCellProperties
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl import Workbook
from openpyxl.styles import Font, PatternFill

HEADER = ["name", "who pays", "split_mm", "saw_mm", "nights", "air_c"]
TRIPS: list[list[Any]] = [
    ["Invented A", "us", 120, 90.5, 3, -4],
    ["Invented B", "them", 5000, "x", None, None],
    [None, "a line between", None, None, None, None],
    ["Invented C", None, None, 60, 2, None],
    ["Invented C", None, None, 60, 2, None],
]
SHEET = [["Trips of the year"], HEADER, *TRIPS]
USUAL_TITLES = ["status", "kit.mass_g", "kit.work_min_per_day", "kit.tools", "kit.methods", "gaps"]
TITLES = [*HEADER, *USUAL_TITLES, "error", "answered_at", "trip_key"]


def csv_trips(separator: str = ";", mark: str = ",") -> bytes:
    """The trips as CSV, with CR LF."""
    rows = [[("" if cell is None else str(cell).replace(".", mark)) for cell in row] for row in SHEET]
    return "\r\n".join(separator.join(row) for row in rows).encode() + b"\r\n"


def xlsx_trips() -> bytes:
    """The trips as a workbook: bold titles, a coloured cell, a formula beside and below, another sheet that sums."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Trips"
    for row in SHEET:
        sheet.append(row)
    for cell in sheet[2]:
        cell.font = Font(bold=True)
    sheet["B3"].fill = PatternFill("solid", fgColor="FFEE00")
    sheet["A9"], sheet["E9"] = "nights", "=SUM(E3:E7)"
    sheet.column_dimensions["A"].width = 31
    sheet.freeze_panes = "A3"
    book.create_sheet("Sums")["A1"] = "=SUM(Trips!H3:H7)"
    return saved(book)


def saved(book: Any) -> bytes:
    """A workbook as a file."""
    written = io.BytesIO()
    book.save(written)
    return written.getvalue()


def changed(body: bytes, name: str, old: bytes, new: bytes) -> bytes:
    """A workbook with the first of some bytes of a part changed."""
    written = io.BytesIO()
    with ZipFile(io.BytesIO(body)) as read, ZipFile(written, "w", ZIP_DEFLATED) as archive:
        for one in read.namelist():
            part = read.read(one)
            assert one != name or old in part
            archive.writestr(one, part.replace(old, new, 1) if one == name else part)
    return written.getvalue()


def ods_trips() -> bytes:
    """The trips as an OpenDocument workbook; the last two, which are alike, stand once."""
    document = OpenDocumentSpreadsheet()
    style = Style(name="yellow", family="table-cell")
    style.addElement(TableCellProperties(backgroundcolor="#ffee00"))
    document.automaticstyles.addElement(style)
    table = Table(name="Trips")
    for row in SHEET[:-1]:
        line = TableRow(numberrowsrepeated=2) if row == SHEET[-1] else TableRow()
        for cell in row:
            line.addElement(ods_cell(cell))
        line.addElement(TableCell(numbercolumnsrepeated=2, stylename=style))
        line.addElement(TableCell(numbercolumnsrepeated=1000))
        table.addElement(line)
    sums = Table(name="Sums")
    line = TableRow()
    line.addElement(TableCell(formula="of:=SUM([$Trips.H3:.H7])", valuetype="float", value="7"))
    sums.addElement(line)
    document.spreadsheet.addElement(table)
    document.spreadsheet.addElement(sums)
    written = io.BytesIO()
    document.save(written)
    return written.getvalue()


def ods_cell(value: Any) -> Any:
    """A cell of an OpenDocument table."""
    if value is None:
        return TableCell()
    if isinstance(value, str):
        cell = TableCell(valuetype="string")
        cell.addElement(P(text=value))
        return cell
    return TableCell(valuetype="float", value=str(value))
