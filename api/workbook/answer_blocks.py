"""The answer of a tab: headline, totals, kit, needs, shares; front, next kits, unknowns; then sentences."""

from api.sheet.field_list import paths_of
from api.workbook.tab_units import in_tab_units
from api.workbook.trip_query import MOST_MEMBERS, MOST_POINTS, FieldGroup, TripQuery
from api.workbook.workbook import Chart, Series, WorkbookSheet, letters

MIDDLE, RIGHT, LAST = 7, 13, 15  # columns where the answer and the front begin, and the last that is printed
_BASE = (
    "status,kit(mass_g,mass_oz,work_min_per_day,carry_kcal_per_day,work_kcal_per_day,price,"
    "tools.*(name,count,mass_g,does),methods.*),needs.*(id,per_day,minutes_per_day,spare_mm,done_with),"
    "share.*(mass_g,name,spare_g,ids),gaps(count,*.text),cautions(count,1.code,*.text)"
)
_FRONT = "front.points(count,*(work_min_per_day,mass_g,ids,methods))"
_NEXT = "alternatives.*(mass_g,more_g,tools,methods),kit.tools.*(price_g,id)"
_SURE = (
    "sure(at_medians.text,longer_day.text,at_confidence(text,kit(ids,mass_g)),gaps.*.text,not_settled,"
    "what_matters.*(name,suffices_low,suffices_high),suggested_trials.*.text)"
)
_TOTALS = [
    ("Packed mass", "kit.mass_g", "{g}", "total"),
    ("", "kit.mass_oz", "{other}", "figure"),
    ("Wood work", "kit.work_min_per_day", "minutes a day", "tenth"),
    ("Carrying the tools", "kit.carry_kcal_per_day", "kcal a day, party", "whole"),
    ("Working with them", "kit.work_kcal_per_day", "kcal a day, party", "whole"),
    ("Price", "kit.price", "your money", "whole"),
]
# Title of a list in the answer, its rows on the page, and its columns: heading, field, look, columns spanned.
_Columns = list[tuple[str, str, str, int]]
_BLOCKS: list[tuple[str, int, _Columns]] = [
    (
        "Kit",
        8,
        [
            ("tool", "kit.tools.*.name", "text", 2),
            ("how many", "kit.tools.*.count", "whole", 1),
            ("{g} each", "kit.tools.*.mass_g", "figure", 1),
            ("does", "kit.tools.*.does", "ids", 1),
        ],
    ),
    ("Field methods", 3, [("method", "kit.methods.*", "text", 5)]),
    (
        "Needs",
        11,
        [
            ("need", "needs.*.id", "text", 1),
            ("a day", "needs.*.per_day", "tenth", 1),
            ("minutes", "needs.*.minutes_per_day", "tenth", 1),
            ("{mm} to spare", "needs.*.spare_mm", "figure", 1),
            ("done with", "needs.*.done_with", "ids", 1),
        ],
    ),
    (
        "Who carries what",
        8,
        [
            ("name", "share.*.name", "text", 1),
            ("person", "", "whole", 1),
            ("{g}", "share.*.mass_g", "figure", 1),
            ("{g} to spare", "share.*.spare_g", "figure", 1),
            ("tools", "share.*.ids", "ids", 1),
        ],
    ),
]
_FRONT_BLOCK = (
    "Kit behind each point of the front",
    12,
    [
        ("minutes", "front.points.*.work_min_per_day", "tenth", 1),
        ("{g}", "front.points.*.mass_g", "figure", 1),
        ("kit", "front.points.*.ids+front.points.*.methods", "ids", 1),
    ],
)
_NEXT_BLOCKS: list[tuple[str, int, _Columns]] = [
    (
        "Next kits",
        5,
        [
            ("{g}", "alternatives.*.mass_g", "figure", 1),
            ("{g} more", "alternatives.*.more_g", "figure", 1),
            ("kit", "alternatives.*.tools+alternatives.*.methods", "ids", 1),
        ],
    ),
    (
        "What the kit would gain without each tool",
        8,
        [("{g}; empty: none does", "kit.tools.*.price_g", "figure", 2), ("tool", "kit.tools.*.id", "ids", 1)],
    ),
]
_UNKNOWNS: tuple[str, int, _Columns] = (
    "Biggest unknowns: probability that the kit suffices",
    8,
    [
        ("if low", "sure.what_matters.*.suffices_low", "hundredth", 1),
        ("if high", "sure.what_matters.*.suffices_high", "hundredth", 1),
        ("figure", "sure.what_matters.*.name", "ids", 1),
    ],
)
_BANNED = "cautions.1.code"  # a fire that is wanted and not allowed comes first
_CHART_ROWS = 22


def answer_groups(*, front: str, more: str, sure: str, on: tuple[bool, bool, bool]) -> list[FieldGroup]:
    """Return what is asked of a trip.

    Args:
        front: the formula of whether the front is wanted.
        more: the same of next kits and prices.
        sure: the same of how sure kits are.
        on: whether each is in a fresh workbook.
    """
    wanted = ((_FRONT, front), (_NEXT, more), (_SURE, sure))
    more_groups = [
        FieldGroup(text, paths_of(text), cell, is_on) for (text, cell), is_on in zip(wanted, on, strict=True)
    ]
    return [FieldGroup(_BASE, paths_of(_BASE)), *more_groups]


class AnswerBlocks:
    """The answer while it is put on a tab."""

    HEADLINE = f"${letters(MIDDLE)}$2"

    def __init__(self, sheet: WorkbookSheet, query: TripQuery, groups: list[FieldGroup], *, below: int) -> None:
        """Take the tab, its workings and its fields, and the row below which nothing stands on the left."""
        self.sheet, self.query, self.groups, self.below = sheet, query, groups, below
        self.status = query.lines["status"]

    def add(self) -> int:
        """Add all parts and return the last row."""
        self.add_headline()
        row = self.add_totals()
        for title, rows, columns in _BLOCKS:
            row = self.add_block(row + 1, MIDDLE, title, rows, columns)
        right = self.add_front()
        return self.add_texts(max(row, right, self.below) + 1)

    def add_headline(self) -> None:
        """Add what there is to know first, and where it comes from if it is stored."""
        query, status = self.query, self.status
        told = (
            f'IF({self.query.lines[_BANNED]}="fire-not-allowed",{self.first("cautions.*.text")},'
            f'IF({status}="optimal","Proven: no lighter kit works",IF({status}="feasible",'
            f'"A kit that works; it is not proven to be the lightest",'
            f'IF({status}="uncovered","Uncovered: no allowed kit does all of this","{_NOT_SETTLED}"))))'
        )
        stored = f'"Stored at "&{query.stored_at}&": "'
        shown = f'IF({query.answered}="",{query.cause},IF({query.is_stored}=1,{stored},"")&{told})'
        self.sheet.put(2, MIDDLE, f"={shown}", "headline", span=LAST - MIDDLE + 1, rows=2)
        other = f'"The result stored at "&{query.stored_at}&" is of another trip or question."'
        long = f'"The result stored at "&{query.stored_at}&" is too long for a cell: see the sheet Stored."'
        note = (
            f'=IF({query.is_stored}=1,"Nothing newer: "&{query.cause},IF(OR({query.answered}<>"",'
            f'{query.stored_at}=""),"",IF({query.stored_text}="",{long},{other})))'
        )
        self.sheet.put(4, MIDDLE, note, "note", span=LAST - MIDDLE + 1)

    def first(self, path: str) -> str:
        """Return the address of the first member of a list."""
        return self.query.member(path, 1)

    def add_totals(self) -> int:
        """Add the totals and return the next row."""
        sheet, status, row = self.sheet, self.status, 5
        part = f'=IF({status}="uncovered","Totals of a kit that does NOT do all of it","Totals")'
        sheet.put(row, MIDDLE, part, "band", span=5)
        for label, path, unit, look in _TOTALS:
            row += 1
            sheet.put(row, MIDDLE, label, "label")
            shown = f'IF({self.query.answered}="","",{_number(self.query.lines[path])})'
            sheet.put(row, MIDDLE + 1, f"={shown}", look)
            sheet.put(row, MIDDLE + 2, in_tab_units(unit), "unit", span=3)
        return row + 1

    def add_block(self, row: int, at: int, title: str, rows: int, columns: _Columns) -> int:
        """Add a list from a row on and return the next row."""
        sheet = self.sheet
        members = self.query.count(columns[-1][1].partition("+")[0])
        sheet.put(row, at, _counted(title, members, rows), "band", span=sum(span for *_, span in columns))
        for head, path, look, span in columns:
            numeric = look in ("whole", "tenth", "hundredth", "figure")
            sheet.put(row + 1, at, in_tab_units(head), "head_right" if numeric else "head", span=span)
            for place in range(1, rows + 1):
                sheet.put(row + 1 + place, at, self._member(path, place, numeric=numeric), look, span=span)
            at += span
        return row + 2 + rows

    def _member(self, path: str, place: int, *, numeric: bool) -> str:
        """Return the formula of a member of a list on the page."""
        if not path:
            return f'=IF({self.query.member("share.*.mass_g", place)}="","",{place})'
        first, _, second = path.partition("+")
        member = self.query.member(first, place)
        if second:
            other = self.query.member(second, place)
            return f'={member}&IF(AND({member}<>"",{other}<>""),"; ","")&{other}'
        return f"={_number(member)}" if numeric else f'={member}&""'

    def add_front(self) -> int:
        """Add the chart of the front, its kits, next kits and unknowns, and return the next row."""
        sheet, query = self.sheet, self.query
        first, last = query.points_rows()
        x_column = query.next_column
        x, y, kit_x, kit_y = (letters(x_column + more) for more in range(4))
        for column, path, title in (
            (x_column, "front.points.*.work_min_per_day", "front: minutes"),
            (x_column + 1, "front.points.*.mass_g", f'="kits that no other beats, tab "&{query.tab}'),
        ):
            sheet.put(first - 1, column, title, "head")
            for place in range(1, MOST_POINTS + 1):
                member = query.member(path, place)
                sheet.put(first - 1 + place, column, f'=IF({member}="",NA(),NUMBERVALUE({member},".",","))', "workings")
        for column, path, title in (
            (x_column + 2, "kit.work_min_per_day", "this kit: minutes"),
            (x_column + 3, "kit.mass_g", f'="this kit, tab "&{query.tab}'),
        ):
            line = query.lines[path]
            none = f'OR({line}="",{self.status}="uncovered",{self.status}="not_settled")'
            sheet.put(first - 1, column, title, "head")
            sheet.put(first, column, f'=IF({none},NA(),NUMBERVALUE({line},".",","))', "workings")
        count = query.lines["front.points.count"]
        title = _counted("Front: every kit that no other beats in grams and minutes", _number(count), MOST_POINTS)
        sheet.put(5, RIGHT, title, "band", span=3)
        series = (
            Series(sheet.name, x, y, first, last, "35574A", 6),
            Series(sheet.name, kit_x, kit_y, first, first, "C8641B", 10),
        )
        sheet.charts.append(
            Chart(6, RIGHT, "", "minutes of wood work a day", "packed mass, as in Totals", series, 151, 92)
        )
        row = 6 + _CHART_ROWS
        for title, rows, columns in (_FRONT_BLOCK, *_NEXT_BLOCKS, _UNKNOWNS):
            row = self.add_block(row, RIGHT, title, rows, columns) + 1
        return row

    def add_texts(self, row: int) -> int:
        """Add what is told in sentences, over the whole width, and return the last row."""
        lines = self.query.lines
        at_confidence, gap = lines["sure.at_confidence.text"], self.first("sure.gaps.*.text")
        longer = lines["sure.longer_day.text"]
        asked = str(self.groups[-1].wanted)
        first = f'IF({asked},{lines["sure.at_medians.text"]},"Not asked: say on the left how sure the kit must be.")'
        enough = f'IF({at_confidence}="",{gap},{at_confidence})'
        sure = [first, f'IF({longer}="",{enough},{longer}&" "&{enough})']
        sure += [self.query.member("sure.suggested_trials.*.text", place) for place in (1, 2, 3)]
        row = self.add_sentences(row, '="How sure"', sure)
        for title, rows, name in (("What is missing", 6, "gaps"), ("Cautions", MOST_MEMBERS, "cautions")):
            heading = _counted(title, _number(lines[f"{name}.count"]), rows)
            texts = [self.query.member(f"{name}.*.text", place) for place in range(1, rows + 1)]
            row = self.add_sentences(row, heading, texts)
        self.sheet.put(row, 1, "Defer to local codes and licensed practice.", "note", span=LAST)
        return row

    def add_sentences(self, row: int, heading: str, texts: list[str]) -> int:
        """Add sentences below a heading and return the next row."""
        self.sheet.put(row, 1, heading, "band", span=LAST)
        for place, text in enumerate(texts, start=1):
            self.sheet.put(row + place, 1, f'={text}&""', "caution", span=LAST)
        return row + len(texts) + 2


_NOT_SETTLED = "The time allowed did not suffice"


def _counted(title: str, members: str, rows: int) -> str:
    """Return the formula of a title that says where not all members have room."""
    cut = f'IF({members}>{rows}," (the first {rows} of "&{members}&")","")'
    return f'="{title}"&IF(ISNUMBER({members}),{cut},"")'


def _number(text: str) -> str:
    """Return the formula of the number that a text shows, or of the text where it shows none."""
    return f'IF({text}="","",IFERROR(NUMBERVALUE({text},".",","),{text}))'
