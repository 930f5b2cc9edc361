"""The planning workbook: inputs on the left, the kit in the middle, front and cautions on the right."""

from api.sheet import cell
from api.sheet.column import COLUMNS
from api.sheet.query_parameter import SHEET_KEY, field_of
from api.workbook.workbook import CellChoice, Chart, Series, Workbook, WorkbookSheet, letters
from catalog.equipment.camp_work import camp_items
from catalog.walking.load_carriage import terrains
from catalog.wood.hearth import hearths
from catalog.wood.species import woods
from solver.forms.aim import AIMS
from solver.forms.barring import ASKED
from solver.forms.limit import WORK
from solver.forms.task import TASK_ROWS

TRIP, WORKINGS, LISTS = "Trip", "Workings", "Lists"
_NO_ANSWER = "no answer"
# Label, column of the trip, what stands there at first, unit or hint, list of words. An invented trip.
_INPUTS: dict[str, list[tuple[str, str, str | float | None, str, str | None]]] = {
    "Party": [
        ("Label", "name", "Invented: three nights by a lake", "", None),
        ("People", "people", 2, "", None),
        ("Who carries at most", "members", None, "grams: Ann 4000; Ben 2500", None),
        ("Nights", "nights", 3, "", None),
        ("Skill", "skill", "practised", "", "skill"),
    ],
    "Fire, each day": [
        ("Hot water per person", "hot_water_l_per_person", None, "l", None),
        ("Melted from snow", "melt_snow", None, "", "yes or no"),
        ("Warmth", "warmth_h", None, "hours", None),
        ("Drying clothes", "drying_h", None, "hours", None),
        ("Fire allowed", "fire_allowed", None, "", "yes or no"),
        ("Hearth", "hearth", None, "empty: an open fire", "hearth"),
    ],
    "Camp work": [
        ("Pieces per day", "camp_per_day", None, "as toggle:1|tongs:2", None),
        ("Pieces per trip", "camp_per_trip", "peg:8", "as peg:8|pot-hanger:1", None),
    ],
    "Wood and place": [
        ("Species", "species", "white-spruce", "", "species"),
        ("State", "state", "dead-dry", "", "state"),
        ("Frozen", "frozen", None, "empty: depends on the air", "yes or no"),
        ("Knotty", "knotty", None, "", "yes or no"),
        ("Thicknesses available", "diameters_mm", None, "mm, as 40|60|90", None),
        ("Air", "air_c", 10, "\u00b0C", None),
        ("Elevation", "elevation_m", None, "m", None),
    ],
    "Route of a day": [
        ("Way", "km_per_day", None, "km", None),
        ("Climb", "climb_m_per_day", None, "m", None),
        ("Terrain", "terrain", None, "", "terrain"),
        ("Body", "body_kg", None, "kg", None),
        ("Pack without tools", "pack_kg", None, "kg", None),
    ],
    "Limits": [(asked.label, field, 60 if field == WORK.field else None, asked.hint, None) for field, asked in ASKED],
    "Rules": [
        ("Must be in the kit", "must_carry", None, "ids, separated by |", None),
        ("Must stay at home", "leave_home", None, "ids, separated by |", None),
        ("Only these allowed", "only", None, "ids, separated by |", None),
        ("Field methods", "field_methods", None, "empty: yes", "yes or no"),
        ("Tools wear", "life", None, "empty: yes", "yes or no"),
        ("Edges need a sharpener", "upkeep", None, "empty: yes", "yes or no"),
        ("Second tool for", "backup", "none", "needs", "backup"),
        ("Knife that stays in the pack", "knife", "one", "each: one a person", "knife"),
        ("Needs after a lost tool", "robust_needs", None, "needs", "robust"),
        ("Minimise", "aim", "mass", "", "aim"),
        ("Your own figures", "assumptions", None, "as saw_rate:240|body_kg:80", None),
        ("Stored catalog", "catalog", None, "its name", None),
        ("Sheet key", "key", None, "of a stored catalog", None),
    ],
}
_WORDS = {
    "yes or no": ["yes", "no"],
    "skill": ["novice", "practised", "expert"],
    "state": ["dead-dry", "dead-wet", "green"],
    "hearth": list(hearths()),
    "backup": ["none", "critical", "all"],
    "robust": ["critical", "all"],
    "knife": ["one", "each", "none"],
    "aim": list(AIMS),
}
_TOTALS = [
    ("Packed mass", "kit.mass_g", "g", "total"),
    ("", "kit.mass_oz", "oz", "tenth"),
    ("Wood work", "kit.work_min_per_day", "minutes a day", "tenth"),
    ("Carrying the tools", "kit.carry_kcal_per_day", "kcal a day, party", "whole"),
    ("Working with them", "kit.work_kcal_per_day", "kcal a day, party", "whole"),
]
# Title of a list in the answer, its rows on the page, and its columns: heading, field, look, columns spanned.
_BLOCKS: list[tuple[str, int, list[tuple[str, str, str, int]]]] = [
    (
        "Kit",
        8,
        [
            ("tool", "kit.tools.*.name", "text", 2),
            ("how many", "kit.tools.*.count", "whole", 1),
            ("g each", "kit.tools.*.mass_g", "whole", 1),
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
            ("mm to spare", "needs.*.spare_mm", "whole", 1),
            ("done with", "needs.*.done_with", "ids", 1),
        ],
    ),
    (
        "Who carries what",
        6,
        [
            ("person", "", "whole", 1),
            ("name", "share.*.name", "text", 1),
            ("g", "share.*.mass_g", "whole", 1),
            ("tools", "share.*.ids", "ids", 2),
        ],
    ),
]
_TALE = [("What is missing", 3, "gaps"), ("Cautions", 12, "cautions")]  # title, rows on the page, list of texts
_FRONT_FIELDS = ("front.points.*.work_min_per_day", "front.points.*.mass_g")
_BANNED = "cautions.1.code"  # a fire that is wanted and not allowed comes first
_MOST_POINTS = 60
MIDDLE, RIGHT = 7, 13  # columns where the answer, and the front, begin


class _Planner:
    """The workbook while it is put together."""

    def __init__(self, service: str) -> None:
        self.trip = WorkbookSheet(
            TRIP, (50, 27, 22, 26, 26, 5, 58, 26, 24, 30, 74, 5, 38, 38, 38, 30), frozen_rows=3, landscape=True
        )
        self.workings = WorkbookSheet(WORKINGS, (50, 110, *[30] * 14), frozen_rows=1)
        self.lists = WorkbookSheet(LISTS, (35,) * 8, frozen_rows=1)
        self.pieces: list[str] = []
        self.ranges: dict[str, str] = {}
        self.fetched: dict[str, str] = {}
        self.grids: dict[str, int] = {}
        self.service = service

    def built(self) -> Workbook:
        """Return the workbook."""
        self.add_lists()
        self.add_inputs()
        self.add_workings()
        self.add_answer()
        self.add_front()
        return Workbook("Kitwright: plan the lightest kit", (self.trip, self.workings, self.lists))

    def add_lists(self) -> None:
        """Add the words that inputs choose from."""
        listed = _WORDS | {"species": sorted(woods()), "terrain": sorted(terrains()), "camp work": sorted(camp_items())}
        for column, (title, words) in enumerate(listed.items(), start=1):
            self.lists.put(1, column, title, "head")
            for row, word in enumerate(words, start=2):
                address = self.lists.put(row, column, word)
            letter = address.rstrip("0123456789")
            self.ranges[title] = f"{LISTS}!${letter}$2:${letter}${len(words) + 1}"

    def add_inputs(self) -> None:
        """Add the address of the service and the inputs of the trip."""
        trip = self.trip
        trip.put(1, 1, "Kitwright: the lightest kit for a trip on foot", "title", span=11)
        trip.put(2, 1, "Fill in the yellow cells. An empty cell uses the default.", "note", span=5)
        trip.put(5, 1, "Service", "band", span=5)
        trip.put(6, 1, "Address", "label")
        trip.put(6, 2, self.service, "input_text", span=4)
        trip.put(7, 1, "To ask again, change this", "label")
        trip.put(7, 2, 1, "input")
        trip.put(8, 1, "Draw the front", "label")
        trip.put(8, 2, "yes", "input")
        trip.put(8, 3, "many solves: slow with a fire", "unit", span=3)
        trip.choices.append(CellChoice(8, 2, words=self.ranges["yes or no"]))
        row = self.add_tasks(9)
        for title, inputs in _INPUTS.items():
            trip.put(row, 1, title, "band", span=5)
            for label, name, content, unit, words in inputs:
                row += 1
                self.add_input(row, label, name, content, unit, words)
            row += 1

    def add_tasks(self, row: int) -> int:
        """Add the stated tasks from a row on and return the next row."""
        trip = self.trip
        trip.put(row, 1, "Wood work, each day", "band", span=5)
        for column, head in enumerate(("task", "mm thick", "a day", "min score", "critical"), start=1):
            trip.put(row + 1, column, head, "head" if column == 1 else "head_right")
        for row_of_task, (task, about) in enumerate(TASK_ROWS.items(), start=row + 2):
            trip.put(row_of_task, 1, about.label, "label")
            size = f"{TRIP}!$B${row_of_task}"
            for column, (part, content) in enumerate(
                zip(("mm", "per_day", "min_score", "critical"), (*about.at_first, None, None), strict=True), start=2
            ):
                address = trip.put(row_of_task, column, content, "input")
                self.limit(row_of_task, column, f"{task}_{part}", "yes or no" if part == "critical" else None)
                self.add_piece(f"{task}_{part}", f"{TRIP}!{address}", beside=size)
        return row + 2 + len(TASK_ROWS)

    def add_input(
        self, row: int, label: str, name: str, content: str | float | None, unit: str, words: str | None
    ) -> None:
        """Add one input."""
        column = COLUMNS.get(name)
        lists = column is not None and column.read in (
            cell.words,
            cell.amounts,
            cell.figures,
            cell.members,
            cell.numbers,
        )
        wide = lists or name in ("name", "species", "terrain", SHEET_KEY["name"])
        self.trip.put(row, 1, label, "label")
        address = self.trip.put(row, 2, content, "input_text" if wide else "input", span=2 if wide else 1)
        self.trip.put(row, 4 if wide else 3, unit, "unit", span=2 if wide else 3)
        self.limit(row, 2, name, words)
        self.add_piece(name, f"{TRIP}!{address}")

    def limit(self, row: int, column: int, name: str, words: str | None) -> None:
        """Say what an input may hold: words of a list, or numbers in the range of the trip's own form."""
        if words is not None:
            self.trip.choices.append(CellChoice(row, column, words=self.ranges[words]))
        elif (column_of := COLUMNS.get(name)) and (column_of.read is cell.number or column_of.place[0] == "tasks"):
            schema = field_of(column_of)
            low, high = schema.get("minimum", 0), schema.get("maximum", 1e9)
            self.trip.choices.append(CellChoice(row, column, low=low, high=high, whole=schema.get("type") == "integer"))

    def add_piece(self, name: str, address: str, *, beside: str | None = None) -> None:
        """Add the piece of the query that an input makes; of a task only where its thickness is said."""
        row = len(self.pieces) + 4
        absent = (
            f'{address}=""'
            if beside is None or beside.replace("$", "") == address
            else (f'OR({address}="",{beside}="")')
        )
        self.workings.put(row, 1, name)
        piece = self.workings.put(row, 2, f'=IF({absent},"","&{name}="&ENCODEURL({address}))')
        self.pieces.append(piece)

    def add_workings(self) -> None:
        """Add the address that is asked, the answers as they come, and their members."""
        work = self.workings
        work.put(1, 1, "How the answer is fetched: one address per field", "head", span=2)
        address = f"{TRIP}!$B$6"
        work.put(2, 1, "asked")
        work.put(
            2,
            2,
            f'=IF(RIGHT({address},1)="/",LEFT({address},LEN({address})-1),{address})&"/v1/sheet/value?errors=text"'
            f'&{"&".join(self.pieces)}&"&_="&{TRIP}!$B$7&"&field="',
        )
        row = len(self.pieces) + 5
        work.put(row, 1, "field", "head")
        work.put(row, 2, "text", "head")
        fields = ["status", *(field for _, field, _, _ in _TOTALS)]
        fields += [field for _, _, columns in _BLOCKS for _, field, _, _ in columns if field]
        fields += [_BANNED, *(f"{name}.{part}" for _, rows, name in _TALE for part in ("count", *_numbered(rows)))]
        for path in (*fields, *_FRONT_FIELDS):
            row += 1
            asked = f'IFERROR(WEBSERVICE($B$2&"{path}"),"{_NO_ANSWER}")'
            formula = f'=IF({TRIP}!$B$8="yes",{asked},"")' if path in _FRONT_FIELDS else f"={asked}"
            work.put(row, 1, path)
            self.fetched[path] = f"${work.put(row, 2, formula).replace('B', 'B$')}"
        status = self.fetched["status"]
        work.put(3, 1, "answered")
        work.put(3, 2, f'=IF(OR({status}="optimal",{status}="feasible",{status}="uncovered"),1,0)')
        for column, path in enumerate([field for field in fields if "*" in field] + list(_FRONT_FIELDS), start=3):
            self.add_grid(column, path)

    def add_grid(self, column: int, path: str) -> None:
        """Add the members of a list, one below the other."""
        self.grids[path] = column
        self.workings.put(1, column, path, "head")
        for number in range(1, _MOST_POINTS + 1 if path in _FRONT_FIELDS else 13):
            text = self.fetched[path]
            wide = f'SUBSTITUTE({text},"|",REPT(" ",LEN({text})))'  # each member in a field as long as the whole
            cut = f"TRIM(MID({wide},{number - 1}*LEN({text})+1,LEN({text})))"
            self.workings.put(number + 1, column, f'=IF($B$3=1,{cut},"")')

    def member(self, path: str, number: int) -> str:
        """Return the address of a member of a list."""
        column = self.grids[path]
        return f"{WORKINGS}!{letters(column)}{number + 1}"

    def add_answer(self) -> None:
        """Add status, totals, kit, needs and shares."""
        trip, status = self.trip, f"{WORKINGS}!{self.fetched['status']}"
        answered, banned = f"{WORKINGS}!$B$3=1", f"{WORKINGS}!{self.fetched[_BANNED]}"
        trip.put(
            2,
            MIDDLE,
            f'=IF({banned}="fire-not-allowed",{WORKINGS}!{self.fetched["cautions.1.text"]},'
            f'IF({status}="optimal","Proven: no lighter kit works",IF({status}="feasible",'
            f'"A kit that works; it is not proven to be the lightest",IF({status}="uncovered",'
            f'"Uncovered: no allowed kit does all of this",IF({status}="{_NO_ANSWER}",'
            f'"No answer from the service at this address: is it running?",{status})))))',
            "headline",
            span=10,
        )
        trip.put(5, MIDDLE, "Totals", "band", span=5)
        row = 5
        for label, path, unit, look in _TOTALS:
            row += 1
            trip.put(row, MIDDLE, label, "label")
            text = f"{WORKINGS}!{self.fetched[path]}"
            shown = f'IF({answered},{_number(text)},IF({status}="{_NO_ANSWER}","{_NO_ANSWER}","see above"))'
            trip.put(row, MIDDLE + 1, f"={shown}", look)
            trip.put(row, MIDDLE + 2, unit, "unit", span=3)
        for title, rows, columns in _BLOCKS:
            row = self.add_block(row + 2, title, rows, columns) - 1

    def add_block(self, row: int, title: str, rows: int, columns: list[tuple[str, str, str, int]]) -> int:
        """Add a list from a row on and return the next row."""
        text = f"{WORKINGS}!{self.fetched[columns[-1][1]]}"
        members = f'LEN({text})-LEN(SUBSTITUTE({text},"|",""))+1'
        self.trip.put(row, MIDDLE, _counted(title, members, rows), "band", span=5)
        at = MIDDLE
        for head, path, look, span in columns:
            numeric = look in ("whole", "tenth")
            self.trip.put(row + 1, at, head, "head_right" if numeric else "head", span=span)
            for place in range(1, rows + 1):
                if not path:
                    mass = self.member("share.*.mass_g", place)
                    formula = f'=IF({mass}="","",{place})'
                else:
                    member = self.member(path, place)
                    formula = f"={_number(member)}" if numeric else f'={member}&""'
                self.trip.put(row + 1 + place, at, formula, look, span=span)
            at += span
        return row + 2 + rows

    def add_front(self) -> None:
        """Add the chart of the front, what is missing, and the cautions."""
        trip, work = self.trip, self.workings
        first, last = 2, _MOST_POINTS + 1
        x_column, y_column = len(self.grids) + 3, len(self.grids) + 4
        for column, path, title in zip(
            (x_column, y_column), _FRONT_FIELDS, ("front: minutes", "kits that no other beats"), strict=True
        ):
            work.put(1, column, title, "head")
            for place in range(1, _MOST_POINTS + 1):
                member = self.member(path, place).removeprefix(f"{WORKINGS}!")
                above = f"{letters(column)}{place}" if place > 1 else "0"
                work.put(place + 1, column, f'=IFERROR(NUMBERVALUE(IF({member}="","x",{member}),".",","),{above})')
        for column, path in ((x_column + 2, "kit.work_min_per_day"), (x_column + 3, "kit.mass_g")):
            work.put(1, column, "this kit" if path == "kit.mass_g" else "this kit: minutes", "head")
            work.put(2, column, f'=IFERROR(NUMBERVALUE({self.fetched[path]},".",","),0)')
        trip.put(5, RIGHT, "Front: every kit that no other beats in grams and minutes", "band", span=4)
        kit_x, kit_y = letters(x_column + 2), letters(x_column + 3)
        series = (
            Series(WORKINGS, letters(x_column), letters(y_column), first, last, "35574A", 6),
            Series(WORKINGS, kit_x, kit_y, 2, 2, "C8641B", 10),
        )
        trip.charts.append(Chart(6, RIGHT, "", "minutes of wood work a day", "packed grams", series, 143, 92))
        row = 25
        for title, rows, name in _TALE:
            told = f"{WORKINGS}!{self.fetched[f'{name}.count']}"
            trip.put(row, RIGHT, _counted(title, _number(told), rows), "band", span=4)
            for place, part in enumerate(_numbered(rows)):
                text = f"{WORKINGS}!{self.fetched[f'{name}.{part}']}"
                shown = f'=IF({WORKINGS}!$B$3=1,{text},"")'
                trip.put(row + 1 + 2 * place, RIGHT, shown, "caution", span=4, rows=2)
            row += 2 * rows + 2
        trip.put(row, RIGHT, "Defer to local codes and licensed practice.", "note", span=4)


def _numbered(rows: int) -> list[str]:
    """Return the paths of the first texts of a list."""
    return [f"{place}.text" for place in range(1, rows + 1)]


def _counted(title: str, members: str, rows: int) -> str:
    """Return the formula of a title that says where not all members have room."""
    return f'="{title}"&IFERROR(IF({members}>{rows}," (the first {rows} of "&{members}&")",""),"")'


def _number(text: str) -> str:
    """Return the formula of the number that a text shows, or of the text where it shows none."""
    return f'IF({text}="","",IFERROR(NUMBERVALUE({text},".",","),{text}))'


def planner(service: str) -> Workbook:
    """Return the planning workbook, which asks the service at an address."""
    return _Planner(service).built()
