"""A workbook as .xlsx, by openpyxl."""

import io
import re

from openpyxl import Workbook as File
from openpyxl.chart import Reference, ScatterChart
from openpyxl.chart import Series as ChartSeries
from openpyxl.chart.data_source import StrRef
from openpyxl.chart.series import SeriesLabel
from openpyxl.chart.shapes import GraphicalProperties
from openpyxl.styles import Alignment, Border, Font, PatternFill, Protection, Side
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.page import PageMargins
from openpyxl.worksheet.worksheet import Worksheet

from api.workbook.workbook import (
    FONT,
    FORMULA,
    LOOKS,
    CellChoice,
    CellLook,
    Chart,
    Content,
    Workbook,
    WorkbookSheet,
    letters,
)

# Functions younger than the file format carry this prefix in it.
_YOUNG = re.compile(r"\b(WEBSERVICE|ENCODEURL|NUMBERVALUE|FORMULATEXT)\(")
_MM_PER_CHARACTER = 1.9  # width of a digit of the usual font and size
MM_PER_CM, MARGIN_INCH = 10, 0.35
ROW_POINTS, TITLE_POINTS = 15, 26


def xlsx_of(workbook: Workbook) -> bytes:
    """Return a workbook as an .xlsx file."""
    file = File()
    file.remove(file.active)
    file.properties.title = workbook.title
    file.calculation.fullCalcOnLoad = True
    for sheet in workbook.sheets:
        _fill(file.create_sheet(sheet.name), sheet)
    written = io.BytesIO()
    file.save(written)
    return written.getvalue()


def _fill(into: Worksheet, sheet: WorkbookSheet) -> None:
    """Fill a sheet of the file."""
    for (row, column), cell in sheet.cells.items():
        _dress(into, row, column, cell.span, cell.rows, LOOKS[cell.look])
        into.cell(row, column).value = _as_written(cell.content)
        if cell.span > 1 or cell.rows > 1:
            last_row, last_column = row + cell.rows - 1, column + cell.span - 1
            into.merge_cells(start_row=row, start_column=column, end_row=last_row, end_column=last_column)
    for column, width in enumerate(sheet.widths_mm, start=1):
        into.column_dimensions[letters(column)].width = width / _MM_PER_CHARACTER
    spanned = {row + more for (row, _), cell in sheet.cells.items() if cell.rows > 1 for more in range(cell.rows)}
    for row in spanned | sheet.fixed_rows:
        into.row_dimensions[row].height = ROW_POINTS  # the others take what their texts need
    if sheet.landscape:
        into.row_dimensions[1].height = TITLE_POINTS
    if sheet.printed is not None:
        into.print_area = sheet.printed
    if sheet.protected:
        into.protection.sheet = True
        into.protection.formatColumns = into.protection.formatRows = into.protection.formatCells = False
    into.freeze_panes = f"A{sheet.frozen_rows + 1}" if sheet.frozen_rows else None
    into.page_margins = PageMargins(*[MARGIN_INCH] * 6)
    into.sheet_view.showGridLines = not sheet.landscape
    into.page_setup.orientation = "landscape" if sheet.landscape else "portrait"
    into.page_setup.paperSize = into.PAPERSIZE_A4
    into.page_setup.fitToHeight = 0
    into.sheet_properties.pageSetUpPr.fitToPage = True
    for choice in sheet.choices:
        validation = _validation_of(choice)
        into.add_data_validation(validation)
        validation.add(into.cell(choice.row, choice.column))
    for chart in sheet.charts:
        into.add_chart(_chart_of(chart), f"{letters(chart.column)}{chart.row}")


def _as_written(content: Content) -> Content:
    """Return a cell's content, a formula with the prefixes that the file wants."""
    if isinstance(content, str) and content.startswith(FORMULA):
        return _YOUNG.sub(r"_xlfn.\1(", content)
    return content


def _dress(into: Worksheet, row: int, column: int, span: int, rows: int, look: CellLook) -> None:
    """Give all cells of a span their look."""
    for r in range(row, row + rows):
        for c in range(column, column + span):
            cell = into.cell(r, c)
            cell.font = Font(name=FONT, size=look.size, bold=look.bold, italic=look.italic, color=look.ink)
            if look.fill:
                cell.fill = PatternFill("solid", start_color=look.fill)
            if look.line and r == row + rows - 1:
                cell.border = Border(bottom=Side("thin", color=look.line))
            across = "right" if look.right else "left"
            indent = 1 if look.indent else 0
            fit = {"wrap_text": look.wrap, "shrink_to_fit": look.shrink, "indent": indent}
            cell.alignment = Alignment(horizontal=across, vertical="center", **fit)
            if look.open:
                cell.protection = Protection(locked=False)
            if look.decimals is not None:
                cell.number_format = "#,##0" if look.decimals == 0 else f"#,##0.{'0' * look.decimals}"


def _validation_of(choice: CellChoice) -> DataValidation:
    """Return what an input may hold."""
    kind = "list" if choice.words is not None else "custom"
    held = choice.words if choice.words is not None else _as_written(choice.formula)
    found = DataValidation(type=kind, formula1=str(held).removeprefix(FORMULA), allow_blank=True, showErrorMessage=True)
    found.errorTitle, found.error = "Not taken here", choice.told or None
    return found


def _chart_of(chart: Chart) -> ScatterChart:
    """Return a chart."""
    found = ScatterChart(scatterStyle="lineMarker")
    found.style = 2
    found.visible_cells_only = False
    found.x_axis.title, found.y_axis.title = chart.x_title, chart.y_title
    found.x_axis.delete = found.y_axis.delete = False
    found.x_axis.scaling.min = found.y_axis.scaling.min = 0
    found.x_axis.majorGridlines = None
    found.legend.position = "b"
    found.width, found.height = chart.width_mm / MM_PER_CM, chart.height_mm / MM_PER_CM
    for one in chart.series:
        x, y = (
            Reference(range_string=f"{one.sheet}!${column}${one.first}:${column}${one.last}")
            for column in (one.x_column, one.y_column)
        )
        series = ChartSeries(y, x)
        series.tx = SeriesLabel(strRef=StrRef(f"{one.sheet}!${one.y_column}${one.first - 1}"))
        series.marker.symbol, series.marker.size = "circle", one.mark
        series.marker.graphicalProperties = GraphicalProperties(solidFill=one.ink)
        series.marker.graphicalProperties.line.solidFill = one.ink
        series.graphicalProperties.line.noFill = True
        found.series.append(series)
    return found
