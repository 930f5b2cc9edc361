"""The sheet of trip against trip: tabs named in its cells, side by side, each beside the first."""

from api.workbook.answer_blocks import AnswerBlocks
from api.workbook.tab_units import UNITS_AT
from api.workbook.trip_query import TripQuery
from api.workbook.workbook import WorkbookSheet, letters

_COMPARE = "Compare"
_TRIPS, _TOOLS, _NAMES = 4, 8, 4  # trips, tools of each that have room, and the row of the names of tabs
_EMPTY = '""'
_NO_TAB = "no tab of this name"
_NOTE = (
    "Write the names of tabs into the yellow cells. A tab is copied by the program's menu; each copy holds a trip of "
    "its own. Nothing is asked of the service here: what the tabs show is set side by side."
)
# Label, field of the answer, look, whether the difference to the first trip is told.
_FIGURES = [
    ("Packed mass", "kit.mass_g", "figure", True),
    ("Wood work, minutes a day", "kit.work_min_per_day", "tenth", True),
    ("Carrying the tools, kcal a day, party", "kit.carry_kcal_per_day", "whole", False),
    ("Working with them, kcal a day, party", "kit.work_kcal_per_day", "whole", False),
    ("Price", "kit.price", "whole", True),
    ("Things that are missing", "gaps.count", "whole", False),
    ("Cautions", "cautions.count", "whole", False),
]


def trip_against_trip(trip: WorkbookSheet, query: TripQuery) -> WorkbookSheet:
    """Return the sheet, which reads the cells of a tab where the first tab has them.

    Args:
        trip: the first tab.
        query: its workings.
    """
    sheet = WorkbookSheet(_COMPARE, (75, *[55] * _TRIPS), frozen_rows=_NAMES, landscape=True, protected=True)
    sheet.put(1, 1, "Trip against trip", "title", span=_TRIPS + 1)
    sheet.put(2, 1, _NOTE, "note", span=_TRIPS + 1)
    sheet.put(_NAMES, 1, "Tab", "label")
    for column in range(2, _TRIPS + 2):
        sheet.put(_NAMES, column, trip.name if column == 2 else None, "input_text")
        told = _of_tab(column, AnswerBlocks.HEADLINE)
        missing = f'IF(ISERROR({_of_tab(column, "$A$1")}),"{_NO_TAB}",{told}&"")'
        sheet.put(5, column, f"={_where_named(column, missing)}", "headline", rows=3)
    sheet.put(5, 1, "What is told first", "label", rows=3)
    row = _add_figures(sheet, query, 10)
    row = _add_kits(sheet, query, row + 1)
    for label, path in (("How sure", "sure.at_medians.text"), ("", "sure.at_confidence.text")):
        texts = [f"{_of_tab(column, query.lines[path])}&{_EMPTY}" for column in _columns()]
        _add_row(sheet, row, label, "caution", texts)
        row += 1
    sheet.printed = f"A1:{letters(_TRIPS + 1)}{row - 1}"
    return sheet


def _columns() -> range:
    """Return the columns of trips."""
    return range(2, _TRIPS + 2)


def _add_figures(sheet: WorkbookSheet, query: TripQuery, row: int) -> int:
    """Add figures, and how much more they are than those of the first trip, and return the next row."""
    sheet.put(row - 2, 1, "Figures", "band", span=_TRIPS + 1)
    units = row - 1
    told = [_of_tab(column, UNITS_AT) for column in _columns()]
    _add_row(sheet, units, "Units", "figure", [f'IF({text}="us","ounces","grams")' for text in told])
    for label, path, look, differs in _FIGURES:
        texts = [_of_tab(column, query.lines[path]) for column in _columns()]
        _add_row(sheet, row, label, look, [f'IFERROR(NUMBERVALUE({text},".",","),{text}&"")' for text in texts])
        row += 1
        if differs:
            more = [
                f'IF(AND(COUNT($B{row - 1},{at}{row - 1})=2,{at}{units}=$B{units}),{at}{row - 1}-$B{row - 1},"")'
                for at in map(letters, range(3, _TRIPS + 2))
            ]
            _add_row(sheet, row, "   more than the first", look, [_EMPTY, *more])
            row += 1
    return row


def _add_kits(sheet: WorkbookSheet, query: TripQuery, row: int) -> int:
    """Add the tools of each trip and its field methods, and return the next row."""
    sheet.put(row, 1, "Kit", "band", span=_TRIPS + 1)
    for number in range(1, _TOOLS + 1):
        name, count = (query.member(f"kit.tools.*.{part}", number) for part in ("name", "count"))
        texts = []
        for column in _columns():
            named, times = _of_tab(column, name), _of_tab(column, count)
            texts.append(f'IF({times}="1","",IF({times}="","",{times}&" x "))&{named}')
        _add_row(sheet, row + number, "tools" if number == 1 else "", "text", texts)
    row += _TOOLS + 1
    methods = [f'SUBSTITUTE({_of_tab(column, query.lines["kit.methods.*"])},"|","; ")' for column in _columns()]
    _add_row(sheet, row, "field methods", "text", methods)
    return row + 1


def _add_row(sheet: WorkbookSheet, row: int, label: str, look: str, texts: list[str]) -> None:
    """Add a label and what each trip has beside it; nothing where there is no such trip."""
    sheet.put(row, 1, label, "label")
    for column, text in zip(_columns(), texts, strict=True):
        sheet.put(row, column, f"={_where_named(column, f'IFERROR({text},{_EMPTY})')}", look)


def _where_named(column: int, formula: str) -> str:
    """Return a formula that is empty where no tab is named above."""
    return f'IF({letters(column)}${_NAMES}="","",{formula})'


def _of_tab(column: int, at: str) -> str:
    """Return the formula of a cell of the tab that is named above, in the form of address of each program."""
    bare = at.replace("$", "")
    name = bare.rstrip("0123456789")
    number = 0
    for letter in name:
        number = number * 26 + ord(letter) - ord("A") + 1
    return f"INDIRECT(ADDRESS({bare[len(name) :]},{number},1,TRUE,{letters(column)}${_NAMES}))"
