"""The sheet of tools of your own: a row each, used by all trips of the workbook."""

from collections.abc import Mapping, Sequence

from api.workbook.workbook import CellChoice, Content, WorkbookSheet, letters
from catalog.tables.table import neutral

TOOLS = "Tools"
_ROWS, _TOP = 15, 5
# Column of a table of tools, its heading, whether it is a number, its range.
_COLUMNS: list[tuple[str, str, tuple[float, float] | None]] = [
    ("id", "id", None),
    ("kind", "kind", None),
    ("mass_g", "mass, g", (0, 50_000)),
    ("cover_g", "sheath, g", (0, 50_000)),
    ("split_score", "splits", (0, 30)),
    ("split_max_mm", "to mm", (0, 3000)),
    ("saw_score", "saws", (0, 30)),
    ("saw_max_mm", "to mm", (0, 3000)),
    ("carve_score", "carves", (0, 30)),
    ("carve_max_mm", "to mm", (0, 3000)),
    ("chop_score", "chops", (0, 30)),
    ("chop_max_mm", "to mm", (0, 3000)),
    ("edge_mm", "edge, mm", (0, 3000)),
    ("packed_mm", "packed, mm", (0, 3000)),
    ("price", "price", (0, 1e9)),
]
_NOTE = (
    "A row a tool. The id is of letters, digits, points and hyphens; mass is needed. Beside what it does stands its "
    "score, and how thick. A score of 10 is a full axe (splits, chops), a bow saw of 600 mm (saws), a fixed knife of "
    "90 mm (carves). An empty score: it can't."
)


def own_tools_sheet(tools: Sequence[Mapping[str, Content]]) -> tuple[WorkbookSheet, str, str]:
    """Return the sheet, the cell that tells all its tools in the form of the service, and one that tells their ids.

    Args:
        tools: rows to fill in; what has no place on the sheet is left out.
    """
    sheet = WorkbookSheet(TOOLS, (40, 30, *[24] * 13), frozen_rows=_TOP - 1, landscape=True, protected=True)
    text_at = len(_COLUMNS) + 2
    sheet.printed = f"A1:{letters(len(_COLUMNS))}{_TOP + _ROWS}"
    sheet.put(1, 1, "Tools of your own", "title", span=8)
    sheet.put(2, 1, _NOTE, "note", span=15)
    rows_of = dict(enumerate(tools, start=_TOP))
    for column, (name, heading, limits) in enumerate(_COLUMNS, start=1):
        sheet.put(_TOP - 1, column, heading, "head" if limits is None else "head_right")
        for row in range(_TOP, _TOP + _ROWS):
            held = rows_of.get(row, {}).get(name)
            content = neutral(held) if isinstance(held, str) else held
            at = sheet.put(row, column, content, "input_text" if limits is None else "input")
            sheet.choices.append(_choice(row, column, at, limits))
    for row in range(_TOP, _TOP + _ROWS):
        sheet.put(row, text_at, f"={_text_of(row)}", "workings")
    at = letters(text_at)
    rows = range(_TOP, _TOP + _ROWS)
    sheet.put(2, text_at, "decimal sign here", "workings")
    sheet.put(2, text_at + 1, "=MID(1/2,2,1)", "workings")
    joined = "&".join(f'IF({at}{row}="","","|"&{at}{row})' for row in rows)
    named = "&".join(f'IF(A{row}="","",", "&A{row})' for row in rows)
    told = sheet.put(1, text_at, f"=MID({joined},2,9999)", "workings")
    ids = sheet.put(1, text_at + 1, f"=MID({named},3,9999)", "workings")
    return sheet, f"{TOOLS}!{_fixed(told)}", f"{TOOLS}!{_fixed(ids)}"


def _text_of(row: int) -> str:
    """Return the formula of a tool in the form of the service; empty where the row has no id."""
    point = f"${letters(len(_COLUMNS) + 3)}$2"
    parts = []
    for column, (name, _, limits) in enumerate(_COLUMNS[1:], start=2):
        at = f"{letters(column)}{row}"
        value = at if limits is None else f'IF(ISNUMBER({at}),SUBSTITUTE({at},{point},"."),{at})'
        parts.append(f'IF({at}="","","~{name}~"&{value})')
    return f'IF(A{row}="","",A{row}&{"&".join(parts)})'


def _choice(row: int, column: int, at: str, limits: tuple[float, float] | None) -> CellChoice:
    """Return what a cell of the table may hold."""
    if limits is None:
        bad = "+".join(f'LEN(SUBSTITUTE({at},"{sign}",""))' for sign in "~|;")
        told = "a name without ~, | and ;"
        return CellChoice(row, column, formula=f"=AND(LEN({at})<=80,{bad}=3*LEN({at}))", told=told)
    low, high = limits
    value = f'IF(ISNUMBER({at}),{at},NUMBERVALUE(SUBSTITUTE({at},",","."),"."," "))'
    formula = f"=AND({value}>={low:g},{value}<={high:.0f})"
    return CellChoice(row, column, formula=formula, told=f"{low:g} to {high:g}")


def _fixed(at: str) -> str:
    """Return an address with dollar signs."""
    return f"${at.rstrip('0123456789')}${at.lstrip('ABCDEFGHIJKLMNOPQRSTUVWXYZ')}"
