"""A workbook as .ods, by odfpy; formulas are put into OpenFormula by openpyxl's own tokenizer."""

import io
from typing import Any

from odf import chart as charts
from odf.config import ConfigItem, ConfigItemMapEntry, ConfigItemMapIndexed, ConfigItemMapNamed, ConfigItemSet
from odf.dc import Title
from odf.draw import Frame, Object
from odf.namespaces import STYLENS
from odf.number import Number, NumberStyle
from odf.opendocument import OpenDocumentChart, OpenDocumentSpreadsheet
from odf.style import (
    ChartProperties,
    Footer,
    FooterStyle,
    GraphicProperties,
    Header,
    HeaderFooterProperties,
    HeaderStyle,
    MasterPage,
    PageLayout,
    PageLayoutProperties,
    ParagraphProperties,
    Style,
    TableCellProperties,
    TableColumnProperties,
    TableProperties,
    TableRowProperties,
    TextProperties,
)
from odf.table import (
    ContentValidation,
    ContentValidations,
    CoveredTableCell,
    ErrorMessage,
    Table,
    TableCell,
    TableColumn,
    TableRow,
)
from odf.text import P
from openpyxl.formula import Tokenizer
from openpyxl.formula.tokenizer import Token

from api.workbook.workbook import (
    FONT,
    FORMULA,
    LOOKS,
    Cell,
    CellChoice,
    Chart,
    Series,
    Workbook,
    WorkbookSheet,
    letters,
)

# OpenFormula has these functions under other names.
_RENAMED = {
    "WEBSERVICE(": "COM.MICROSOFT.WEBSERVICE(",
    "ENCODEURL(": "COM.MICROSOFT.ENCODEURL(",
    "FORMULATEXT(": "FORMULA(",
}
ROW_MM, TITLE_MM, A4_MM, MARGIN_MM, INDENT_MM = 5.3, 9.2, (297, 210), 9, 2


def ods_of(workbook: Workbook) -> bytes:
    """Return a workbook as an .ods file."""
    file = OpenDocumentSpreadsheet()
    file.meta.addElement(Title(text=workbook.title))
    _add_looks(file)
    _add_choices(file, workbook)
    for sheet in workbook.sheets:
        file.spreadsheet.addElement(_table_of(file, sheet))
    _add_view(file, workbook)
    written = io.BytesIO()
    file.write(written)
    return written.getvalue()


def open_formula(formula: str) -> str:
    """Return a formula in OpenFormula: [.A1] for references, semicolons between arguments."""
    written = ""
    for token in Tokenizer(formula).items:
        if token.type == Token.OPERAND and token.subtype == Token.RANGE:
            written += _reference(token.value)
        elif token.type == Token.SEP:
            written += ";"
        else:
            written += _RENAMED.get(token.value, token.value)
    return f"of:={written}"


def _reference(text: str) -> str:
    """Return a reference as OpenFormula writes it."""
    sheet, mark, cells = text.rpartition("!")
    first, colon, last = cells.partition(":")
    return f"[{f'${sheet}' if mark else ''}.{first}{f':.{last}' if colon else ''}]"


def _add_looks(file: Any) -> None:
    """Add a style for each look, and the number formats that they need."""
    for decimals in {look.decimals for look in LOOKS.values()} - {None}:
        style = NumberStyle(name=f"N{decimals}")
        style.addElement(Number(decimalplaces=decimals, minintegerdigits=1, grouping="true"))
        file.automaticstyles.addElement(style)
    for name, look in LOOKS.items():
        number = {} if look.decimals is None else {"datastylename": f"N{look.decimals}"}
        style = Style(name=name, family="table-cell", **number)
        line = {} if look.line is None else {"borderbottom": f"0.5pt solid #{look.line}"}
        back = {} if look.fill is None else {"backgroundcolor": f"#{look.fill}"}
        wrap = "wrap" if look.wrap else "no-wrap"
        kept = {"cellprotect": "none"} if look.open else {}
        kept |= {"shrinktofit": "true"} if look.shrink else {}
        style.addElement(TableCellProperties(verticalalign="middle", wrapoption=wrap, **line, **back, **kept))
        margin = {"marginleft": f"{INDENT_MM}mm"} if look.indent else {}
        style.addElement(ParagraphProperties(textalign="end" if look.right else "start", **margin))
        text = {"fontsize": f"{look.size}pt", "color": f"#{look.ink}", "fontfamily": FONT}
        text |= {"fontweight": "bold"} if look.bold else {}
        style.addElement(TextProperties(**text, **({"fontstyle": "italic"} if look.italic else {})))
        file.automaticstyles.addElement(style)


def _add_choices(file: Any, workbook: Workbook) -> None:
    """Add what inputs may hold."""
    found = ContentValidations()
    for sheet in workbook.sheets:
        for choice in sheet.choices:
            place = f"{sheet.name}.{letters(choice.column)}{choice.row}"
            rule = ContentValidation(
                name=_rule_name(sheet, choice),
                condition=_condition(choice),
                basecelladdress=place,
                allowemptycell="true",
                displaylist="unsorted",
            )
            told = ErrorMessage(messagetype="stop", display="true", title="Not taken here")
            if choice.told:
                told.addElement(P(text=choice.told))
            rule.addElement(told)
            found.addElement(rule)
    file.spreadsheet.addElement(found)


def _rule_name(sheet: WorkbookSheet, choice: CellChoice) -> str:
    """Return the name of the rule of an input."""
    return f"{sheet.name}{choice.row}x{choice.column}"


def _condition(choice: CellChoice) -> str:
    """Return the condition on an input."""
    if choice.words is not None:
        return f"of:cell-content-is-in-list({_reference(choice.words)})"
    return f"of:is-true-formula({open_formula(str(choice.formula)).removeprefix('of:=')})"


def _table_of(file: Any, sheet: WorkbookSheet) -> Any:
    """Return a sheet of the file."""
    about = {} if sheet.printed is None else {"printranges": _printed(sheet)}
    table = Table(name=sheet.name, stylename=_page_style(file, sheet), protected=str(sheet.protected).lower(), **about)
    for width in sheet.widths_mm:
        name = f"wide{width:g}"
        if not any(style.getAttribute("name") == name for style in file.automaticstyles.childNodes):
            style = Style(name=name, family="table-column")
            style.addElement(TableColumnProperties(columnwidth=f"{width}mm"))
            file.automaticstyles.addElement(style)
        table.addElement(TableColumn(stylename=name))
    rules = {(choice.row, choice.column): _rule_name(sheet, choice) for choice in sheet.choices}
    frames = {(chart.row, chart.column): _frame_of(file, chart) for chart in sheet.charts}
    covered = {place for start, cell in sheet.cells.items() for place in _covered_by(start, cell)}
    last_row = max(row for row, _ in [*sheet.cells, *covered])
    last_column = max(column for _, column in [*sheet.cells, *covered])
    for row in range(1, last_row + 1):
        line = TableRow(stylename=_row_style(file, sheet, row))
        for column in range(1, last_column + 1):
            place = (row, column)
            if place in covered:
                look = next(cell.look for start, cell in sheet.cells.items() if place in _covered_by(start, cell))
                line.addElement(CoveredTableCell(stylename=look))
                continue
            written = _cell_of(sheet.cells.get(place), rules.get(place))
            if place in frames:
                written.addElement(frames[place])
            line.addElement(written)
        table.addElement(line)
    return table


def _printed(sheet: WorkbookSheet) -> str:
    """Return the range that is printed, as the file names it."""
    first, last = str(sheet.printed).split(":")
    return f"{sheet.name}.{first}:{sheet.name}.{last}"


def _covered_by(start: tuple[int, int], cell: Cell) -> list[tuple[int, int]]:
    """Return the places that a cell covers beside its own."""
    row, column = start
    places = [(r, c) for r in range(row, row + cell.rows) for c in range(column, column + cell.span)]
    return places[1:]


def _cell_of(cell: Cell | None, rule: str | None) -> Any:
    """Return a cell of the file."""
    if cell is None:
        return TableCell()
    about: dict[str, Any] = {"stylename": cell.look}
    if cell.span > 1 or cell.rows > 1:
        about |= {"numbercolumnsspanned": cell.span, "numberrowsspanned": cell.rows}
    if rule is not None:
        about["contentvalidationname"] = rule
    if isinstance(cell.content, str) and cell.content.startswith(FORMULA):
        return TableCell(formula=open_formula(cell.content), **about)
    if isinstance(cell.content, str):
        found = TableCell(valuetype="string", **about)
        found.addElement(P(text=cell.content))
        return found
    if cell.content is not None:
        found = TableCell(valuetype="float", value=cell.content, **about)
        found.addElement(P(text=f"{cell.content:g}"))
        return found
    return TableCell(**about)


def _row_style(file: Any, sheet: WorkbookSheet, row: int) -> str:
    """Return the style of a row, made once: as high as its texts need, but where a text spans several rows."""
    title = row == 1 and sheet.landscape
    fixed = (
        title
        or row in sheet.fixed_rows
        or any(cell.rows > 1 and start <= row < start + cell.rows for (start, _), cell in sheet.cells.items())
    )
    name = "row-title" if title else "row-fixed" if fixed else "row"
    if not any(style.getAttribute("name") == name for style in file.automaticstyles.childNodes):
        style = Style(name=name, family="table-row")
        height = TITLE_MM if title else ROW_MM
        style.addElement(TableRowProperties(rowheight=f"{height}mm", useoptimalrowheight=str(not fixed).lower()))
        file.automaticstyles.addElement(style)
    return name


def _page_style(file: Any, sheet: WorkbookSheet) -> str:
    """Return the style of a sheet with its page: one page wide, and as many pages as it takes."""
    width, height = A4_MM if sheet.landscape else A4_MM[::-1]
    layout = PageLayout(name=f"page-{sheet.name}")
    page = PageLayoutProperties(
        pagewidth=f"{width}mm",
        pageheight=f"{height}mm",
        margin=f"{MARGIN_MM}mm",
        printorientation="landscape" if sheet.landscape else "portrait",
    )
    page.setAttrNS(STYLENS, "scale-to-X", "1")
    page.setAttrNS(STYLENS, "scale-to-Y", "0")
    layout.addElement(page)
    # Without these, Calc writes a header as high as the page when it saves the file, and page 1 prints blank.
    for empty in (HeaderStyle(), FooterStyle()):
        empty.addElement(HeaderFooterProperties(minheight="0mm", margintop="0mm", marginbottom="0mm"))
        layout.addElement(empty)
    file.automaticstyles.addElement(layout)
    master = MasterPage(name=f"master-{sheet.name}", pagelayoutname=layout)
    master.addElement(Header(display="false"))
    master.addElement(Footer(display="false"))
    file.masterstyles.addElement(master)
    style = Style(name=f"sheet-{sheet.name}", family="table", masterpagename=f"master-{sheet.name}")
    style.addElement(TableProperties(display="true"))
    file.automaticstyles.addElement(style)
    return f"sheet-{sheet.name}"


def _add_view(file: Any, workbook: Workbook) -> None:
    """Freeze the upper rows, and leave out the grid where a sheet is to be shown."""
    tables = ConfigItemMapNamed(name="Tables")
    for sheet in workbook.sheets:
        entry = ConfigItemMapEntry(name=sheet.name)
        items: dict[str, tuple[str, object]] = {
            "VerticalSplitMode": ("short", 2),
            "VerticalSplitPosition": ("int", sheet.frozen_rows),
        }
        items |= {"PositionBottom": ("int", sheet.frozen_rows), "ActiveSplitRange": ("short", 2)}
        items |= {"ShowGrid": ("boolean", str(not sheet.landscape).lower())}
        for name, (kind, value) in items.items():
            entry.addElement(ConfigItem(name=name, type=kind, text=str(value)))
        tables.addElement(entry)
    view = ConfigItemMapEntry()
    view.addElement(ConfigItem(name="ViewId", type="string", text="view1"))
    view.addElement(tables)
    view.addElement(ConfigItem(name="ActiveTable", type="string", text=workbook.sheets[0].name))
    views = ConfigItemMapIndexed(name="Views")
    views.addElement(view)
    settings = ConfigItemSet(name="ooo:view-settings")
    settings.addElement(views)
    file.settings.addElement(settings)


def _frame_of(file: Any, chart: Chart) -> Any:
    """Return a chart of its own document, in a frame."""
    inner = OpenDocumentChart()
    size = {"width": f"{chart.width_mm}mm", "height": f"{chart.height_mm}mm"}
    whole = charts.Chart(
        attributes={"class": "chart:scatter"}, stylename=_styled(inner, "whole", stroke="none"), **size
    )
    small = _text_style(inner)
    whole.addElement(charts.Legend(legendposition="bottom", stylename=small))
    area = charts.PlotArea(datasourcehaslabels="none", stylename=_shown_style(inner))
    area.addElement(charts.Wall(stylename=_styled(inner, "wall", stroke="none", fill="none")))
    for dimension, title in (("x", chart.x_title), ("y", chart.y_title)):
        axis = charts.Axis(dimension=dimension, name=f"primary-{dimension}", stylename=_axis_style(inner, dimension))
        heading = charts.Title(stylename=small)
        heading.addElement(P(text=title))
        axis.addElement(heading)
        area.addElement(axis)
    for number, one in enumerate(chart.series):
        area.addElement(_series_of(inner, one, number))
    whole.addElement(area)
    inner.chart.addElement(whole)
    frame = Frame(**size, x="0mm", y="1mm", zindex="0")
    ranges = " ".join(f"{_cells(one, one.x_column)} {_cells(one, one.y_column)}" for one in chart.series)
    frame.addElement(Object(href=file.addObject(inner), notifyonupdateofranges=ranges))
    return frame


def _cells(series: Series, column: str) -> str:
    """Return the range of a column of points."""
    return f"{series.sheet}.${column}${series.first}:{series.sheet}.${column}${series.last}"


def _series_of(inner: Any, one: Series, number: int) -> Any:
    """Return a series of a chart."""
    name = f"series{number}"
    mark = {"symboltype": "named-symbol", "symbolname": "circle"}
    size = {"symbolwidth": f"{one.mark / 3:.1f}mm", "symbolheight": f"{one.mark / 3:.1f}mm"}  # points to the eye's size
    style = _styled(inner, name, stroke="none", fillcolor=f"#{one.ink}", fill="solid", **mark, **size)
    found = charts.Series(
        attributes={"class": "chart:scatter"},
        valuescellrangeaddress=_cells(one, one.y_column),
        stylename=style,
        labelcelladdress=f"{one.sheet}.${one.y_column}${one.first - 1}",
    )
    found.addElement(charts.Domain(cellrangeaddress=_cells(one, one.x_column)))
    found.addElement(charts.DataPoint(repeated=one.last - one.first + 1))
    return found


def _styled(inner: Any, name: str, **properties: str) -> Any:
    """Return a style of the chart."""
    of_chart = {key: value for key, value in properties.items() if key.startswith("symbol")}
    style = Style(name=name, family="chart")
    style.addElement(ChartProperties(**of_chart))
    style.addElement(GraphicProperties(**{key: value for key, value in properties.items() if key not in of_chart}))
    inner.automaticstyles.addElement(style)
    return style


def _shown_style(inner: Any) -> Any:
    """Return the style by which cells of hidden columns are drawn too."""
    style = Style(name="plot", family="chart")
    style.addElement(ChartProperties(includehiddencells="true"))
    inner.automaticstyles.addElement(style)
    return style


def _text_style(inner: Any) -> Any:
    """Return the style of what is written in a chart."""
    style = Style(name="small", family="chart")
    style.addElement(TextProperties(fontsize="8pt", color="#22302B"))
    inner.automaticstyles.addElement(style)
    return style


def _axis_style(inner: Any, dimension: str) -> Any:
    """Return the style of an axis from 0 on."""
    style = Style(name=f"axis-{dimension}", family="chart")
    style.addElement(ChartProperties(displaylabel="true", minimum="0", tickmarksmajorouter="true"))
    style.addElement(GraphicProperties(strokecolor="#6B7670"))
    style.addElement(TextProperties(fontsize="8pt", color="#22302B"))
    inner.automaticstyles.addElement(style)
    return style
