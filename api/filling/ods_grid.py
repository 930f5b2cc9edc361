"""A sheet of an .ods workbook: its own XML is read and changed, all else stays.

OpenDocument 1.3, part 3, 9.1 (tables): rows and cells that are alike may stand once, with the number of them.
"""

from collections.abc import Iterator
from copy import deepcopy
from xml.etree.ElementTree import Element, SubElement

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

_ODF = "urn:oasis:names:tc:opendocument:xmlns"
_TABLE, _OFFICE, _TEXT = (f"{{{_ODF}:{name}:1.0}}" for name in ("table", "office", "text"))
_EXTENDED_TYPE = "{urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0}value-type"
_ROWS_AT_ONCE, _COLUMNS_AT_ONCE = f"{_TABLE}number-rows-repeated", f"{_TABLE}number-columns-repeated"
_NUMBERS = ("float", "percentage", "currency")
_MOST_WRITTEN, _OF_AN_ELEMENT = 100_000_000, 100  # judged: bytes, of cells written out and of an element


class OdsGrid:
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
            self.part = XmlPart(self.file.parts["content.xml"], heed)
            self.name = sheet
            (self.table,) = [one for one in self.part.root.iter(f"{_TABLE}table") if one.get(f"{_TABLE}name") == sheet]
            _check_spread(self.table)
            _spread_rows(self.table)
            self.lines = list(_rows_of(self.table))
            spread = []
            for line in self.lines:
                heed()
                spread.append(_spread_cells(line))
            self.cells = [cells for cells, _ in spread]
            self.tails = [tail for _, tail in spread]
            self.rows: list[list[CellValue]] = []
            for row in self.cells:
                heed()
                self.rows.append([_value_of(cell) for cell in row])
        except (ValueError, KeyError) as error:
            raise not_readable("ods", error) from error

    def has_formula(self, row: int, column: int) -> bool:
        """Tell whether a cell holds a formula."""
        cells = self.cells[row]
        return column < len(cells) and cells[column].get(f"{_TABLE}formula") is not None

    def put(self, row: int, column: int, value: str | float | None) -> None:
        """Write a value into a cell."""
        cells = self.cells[row]
        while len(cells) <= column:
            if value is None:
                return
            cells.append(self.added(row))
        cell = cells[column]
        _empty(cell)
        if isinstance(value, float):
            cell.set(f"{_OFFICE}value-type", "float")
            cell.set(f"{_OFFICE}value", repr(value))
            SubElement(cell, f"{_TEXT}p").text = f"{value:.10g}"
        elif value is not None:
            cell.set(f"{_OFFICE}value-type", "string")
            SubElement(cell, f"{_TEXT}p").text = value

    def added(self, row: int) -> Element:
        """Return a new cell behind the last of a row: the first of those that stand once for many, if there are."""
        line, cells, tail = self.lines[row], self.cells[row], self.tails[row]
        if tail is None:
            cell = Element(f"{_TABLE}table-cell")
            if cells and (style := cells[-1].get(f"{_TABLE}style-name")) is not None:
                cell.set(f"{_TABLE}style-name", style)
            line.append(cell)
            return cell
        left = int(tail.get(_COLUMNS_AT_ONCE) or 1) - 1
        cell = deepcopy(tail)
        cell.attrib.pop(_COLUMNS_AT_ONCE, None)
        line.insert(list(line).index(tail), cell)
        if left:
            tail.set(_COLUMNS_AT_ONCE, str(left))
        else:
            line.remove(tail)
            self.tails[row] = None
        return cell

    def written(self, heed: Heed) -> bytes:
        """Return the workbook; formulas that may hang on results lose their old values, so that they are reckoned.

        Those of the columns that trips are read from keep them, so that the file can be filled again.
        """
        for row in self.cells:
            heed()
            for column, cell in enumerate(row):
                if column not in self.inputs and cell.get(f"{_TABLE}formula") is not None:
                    _empty(cell, formula=False)
        for table in self.part.root.iter(f"{_TABLE}table"):
            if table is not self.table:
                for cell in table.iter(f"{_TABLE}table-cell"):
                    if self.name in (cell.get(f"{_TABLE}formula") or ""):
                        _empty(cell, formula=False)
        self.file.parts["content.xml"] = self.part.written()
        return self.file.zipped()


_CELLS = (f"{_TABLE}table-cell", f"{_TABLE}covered-table-cell")


def ods_sheets(body: bytes, heed: Heed) -> list[str]:
    """Return the names of the sheets of a workbook, in order.

    Raises:
        Refused: it is no such workbook.
    """
    try:
        root = XmlPart(ZippedFile(body).parts["content.xml"], heed).root
    except (ValueError, KeyError) as error:
        raise not_readable("ods", error) from error
    return [one.get(f"{_TABLE}name") or "" for one in root.iter(f"{_TABLE}table")]


def _rows_of(above: Element) -> Iterator[Element]:
    """Yield the rows of a table, those in groups too."""
    for one in above:
        if one.tag == f"{_TABLE}table-row":
            yield one
        elif one.tag in (f"{_TABLE}table-{kind}" for kind in ("rows", "header-rows", "row-group")):
            yield from _rows_of(one)


def _check_spread(table: Element) -> None:
    """Check how large a table is with what stands once for many written out.

    Raises:
        ValueError: it has too many rows or cells, their content is too large, or a number of repeats is none.
    """
    rows = cells = written = 0
    for line in _rows_of(table):
        filled = any(_is_filled(cell) for cell in line)
        held, rest = _cells_and_rest(line)
        if rest is not None:
            int(rest.get(_COLUMNS_AT_ONCE) or 1)
        wide = sum(max(int(cell.get(_COLUMNS_AT_ONCE) or 1), 1) for cell in held)
        number = max(int(line.get(_ROWS_AT_ONCE) or 1), 1) if filled else 1
        rows, cells = rows + number, cells + number * min(wide, MOST_COLUMNS)
        check_size(rows, cells)
        for cell in held:
            times = number * max(int(cell.get(_COLUMNS_AT_ONCE) or 1), 1)
            written += times * _size_of(cell) if times > 1 else 0
        if written > _MOST_WRITTEN:
            raise ValueError("cells that stand once for many hold too much")


def _size_of(cell: Element) -> int:
    """Return about how many bytes a cell takes."""
    return sum(_OF_AN_ELEMENT + len(one.text or "") + len(one.tail or "") for one in cell.iter())


def _spread_rows(above: Element) -> None:
    """Write rows that stand once for many out, up to the last that holds something."""
    for place, one in reversed(list(enumerate(above))):
        if one.tag != f"{_TABLE}table-row":
            _spread_rows(one)
            continue
        number = int(one.get(_ROWS_AT_ONCE) or 1)
        if number == 1 or not any(_is_filled(cell) for cell in one):
            continue
        del one.attrib[_ROWS_AT_ONCE]
        above[place : place + 1] = [one, *(deepcopy(one) for _ in range(number - 1))]


def _cells_and_rest(line: Element) -> tuple[list[Element], Element | None]:
    """Return the cells of a row, and what stands for the empty rest."""
    cells = [one for one in line if one.tag in _CELLS]
    if cells and not _is_filled(cells[-1]) and cells[-1].get(_COLUMNS_AT_ONCE):
        return cells[:-1], cells[-1]
    return cells, None


def _spread_cells(line: Element) -> tuple[list[Element], Element | None]:
    """Return the cells of a row, those that stand once for many written out, and what stands for the empty rest.

    Raises:
        ValueError: they are too many.
    """
    cells, rest = _cells_and_rest(line)
    found: list[Element] = []
    for one in cells:
        number = int(one.attrib.pop(_COLUMNS_AT_ONCE, 1))
        if len(found) + number > MOST_COLUMNS:
            raise ValueError(f"a row has more than {MOST_COLUMNS} cells")
        place = list(line).index(one)
        copies = [deepcopy(one) for _ in range(number - 1)]
        for copy in copies:
            line.insert(place + 1, copy)
        found += [one, *copies]
    return found, rest


def _is_filled(cell: Element) -> bool:
    """Tell whether a cell holds something."""
    return cell.get(f"{_OFFICE}value-type") is not None or cell.get(f"{_TABLE}formula") is not None


def _value_of(cell: Element) -> CellValue:
    """Return the value of a cell."""
    kind = cell.get(f"{_OFFICE}value-type")
    if cell.get(_EXTENDED_TYPE) == "error":
        return ERROR_VALUE
    if kind is None:
        return FORMULA_WITHOUT_VALUE if cell.get(f"{_TABLE}formula") is not None else None
    if kind in _NUMBERS:
        return float(cell.get(f"{_OFFICE}value") or 0)
    if kind == "boolean":
        return cell.get(f"{_OFFICE}boolean-value") == "true"
    if kind != "string":
        return DATE_VALUE
    stated = cell.get(f"{_OFFICE}string-value")
    return stated if stated is not None else "\n".join("".join(one.itertext()) for one in cell.iter(f"{_TEXT}p"))


def _empty(cell: Element, *, formula: bool = True) -> None:
    """Take the value of a cell away, and its formula."""
    for name in [name for name in cell.attrib if name.startswith(_OFFICE) or name == _EXTENDED_TYPE]:
        del cell.attrib[name]
    if formula:
        cell.attrib.pop(f"{_TABLE}formula", None)
    for child in [child for child in cell if child.tag == f"{_TEXT}p"]:
        cell.remove(child)
