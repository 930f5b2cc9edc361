"""The planning workbook: its inputs, and the sheets that it is made of."""

from collections.abc import Mapping

from api.sheet import cell
from api.sheet.column import COLUMNS
from api.sheet.field_list import paths_of
from api.workbook.answer_blocks import LAST, AnswerBlocks, answer_groups
from api.workbook.compare_sheet import trip_against_trip
from api.workbook.input_rule import input_rule_of
from api.workbook.stored_result import stored_sheet
from api.workbook.tab_units import UNITS_AT, in_tab_units, us_fields
from api.workbook.tools_sheet import own_tools_sheet
from api.workbook.trip_query import PIECES_AT, FieldGroup, TripQuery
from api.workbook.workbook import CellChoice, Content, Workbook, WorkbookSheet, letters
from catalog.equipment.camp_work import camp_items
from catalog.walking.load_carriage import terrains
from catalog.wood.hearth import hearths
from catalog.wood.species import woods
from solver.forms.aim import AIMS
from solver.forms.barring import ASKED
from solver.forms.limit import WORK
from solver.forms.task import TASK_ROWS

TRIP = "Trip"
_KEY_AT = "T18"  # beyond what is printed
_LISTS_AT = 90  # the column where lists of words begin
_MARKED = {"g": "{g}", "mm": "{mm}"}  # hints that are units
# Label, column of the trip, what stands there at first, unit or hint, list of words. An invented trip.
_INPUTS: dict[str, list[tuple[str, str, str | float | None, str, str | None]]] = {
    "Party": [
        ("Label", "name", "Invented: three nights by a lake", "", None),
        ("People", "people", 2, "", None),
        ("Who carries at most", "members", None, "{members}", None),
        ("Nights", "nights", 3, "", None),
        ("Skill", "skill", "practised", "", "skill"),
    ],
    "Fire, each day": [
        ("Hot water per person", "hot_water_l_per_person", None, "{l}", None),
        ("Melted from snow", "melt_snow", None, "empty: no", "yes or no"),
        ("Warmth", "warmth_h", None, "hours", None),
        ("Drying clothes", "drying_h", None, "hours", None),
        ("Fire allowed", "fire_allowed", None, "empty: yes", "yes or no"),
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
        ("Knotty", "knotty", None, "empty: no", "yes or no"),
        ("Thicknesses available", "diameters_mm", None, "{mm}, as {sizes}", None),
        ("Air", "air_c", 10, "{c}", None),
        ("Elevation", "elevation_m", None, "{m}", None),
    ],
    "Route of a day": [
        ("Way", "km_per_day", None, "{km}", None),
        ("Climb", "climb_m_per_day", None, "{m}", None),
        ("Terrain", "terrain", None, "", "terrain"),
        ("Body", "body_kg", None, "{kg}", None),
        ("Pack without tools", "pack_kg", None, "{kg}", None),
    ],
    "Limits": [
        (asked.label, field, 60 if field == WORK.field else None, _MARKED.get(asked.hint, asked.hint), None)
        for field, asked in ASKED
    ],
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
        ("How sure", "sure_confidence", None, "share of draws, as 0.9; empty: not asked", None),
        ("Draws", "sure_draws", None, "64 to 4096; many take long", None),
        ("Seed of the draws", "sure_seed", None, "", None),
        ("Your own figures", "assumptions", None, "as saw_rate:240|body_kg:80", None),
        ("Stored catalog", "catalog", None, "its name; its key: cell T18", None),
    ],
}
_WORDS = {
    "units": ["metric", "us"],
    "yes or no": ["yes", "no"],
    "skill": ["novice", "practised", "expert"],
    "state": ["dead-dry", "dead-wet", "green"],
    "hearth": list(hearths()),
    "backup": ["none", "critical", "all"],
    "robust": ["critical", "all"],
    "knife": ["one", "each", "none"],
    "aim": list(AIMS),
}

_TASK_PARTS = ("mm", "per_day", "min_score", "critical")
_LISTED = (cell.words, cell.amounts, cell.figures, cell.members, cell.numbers)


class _Planner:
    """The workbook while it is put together."""

    def __init__(self, service: str, kind: str, filled: Mapping[str, Content] | None) -> None:
        widths = (50, 27, 22, 26, 26, 5, 58, 26, 24, 30, 84, 5, 28, 28, 96, 5, 5, 5, 30, 30)
        self.trip = WorkbookSheet(TRIP, widths, frozen_rows=4, landscape=True, protected=True)
        self.query = TripQuery(self.trip)
        self.ranges: dict[str, str] = {}
        self.at: dict[str, str] = {}
        self.service, self.kind, self.filled = service, kind, filled
        self.own = str((filled or {}).get("own_tools") or "")
        self.tools, self.own_tools, self.own_ids = own_tools_sheet(cell.own_tools(self.own))

    def built(self, stored: tuple[str, str] | None) -> Workbook:
        """Return the workbook, with the result of its trip where one is stored: the time, and the text."""
        self.add_lists()
        row = self.add_inputs()
        self.query.tell_elsewhere(self.query.add_piece("own_tools", self.own_tools, label="Tools of your own"))
        self.query.add_piece("key", _KEY_AT, label="Sheet key")
        groups = self.groups()
        kept = (
            ("", "", "")
            if stored is None
            else (stored[0], self.query.trip_text(groups, {self.own_tools: self.own or None}), stored[1])
        )
        self.query.ask("$B$6", "$B$7", groups, kept)
        self.add_link()
        last = AnswerBlocks(self.trip, self.query, groups, below=row).add()
        self.trip.printed = f"A1:{letters(LAST)}{last}"
        sheets = [self.trip, self.tools, trip_against_trip(self.trip, self.query)]
        if stored is not None:
            sheets.insert(0, stored_sheet(*stored, _asked_paths(groups, self.filled)))
        return Workbook("Kitwright: plan the lightest kit", sheets)

    def groups(self) -> list[FieldGroup]:
        """Return what is asked of the trip."""
        sure = ("sure_confidence", "sure_draws", "sure_seed")
        wanted = ",".join(f'{self.at[name]}<>""' for name in sure)
        on = (
            self.said("front", "yes") == "yes",
            self.said("more", None) == "yes",
            any(self.said(n, None) for n in sure),
        )
        return answer_groups(front='$B$8="yes"', more='$B$9="yes"', sure=f"OR({wanted})", on=on)

    def said(self, name: str, at_first: Content) -> Content:
        """Return what an input holds: what it is filled with, or in a fresh workbook what stands there at first."""
        return at_first if self.filled is None else self.filled.get(name)

    def add_lists(self) -> None:
        """Add the words that inputs choose from, far to the right of the same tab: a copy of it takes them along."""
        listed = _WORDS | {"species": sorted(woods()), "terrain": sorted(terrains()), "camp work": sorted(camp_items())}
        for column, (title, words) in enumerate(listed.items(), start=_LISTS_AT):
            self.trip.put(1, column, title, "head")
            for row, word in enumerate(words, start=2):
                self.trip.put(row, column, word, "workings")
            self.ranges[title] = f"${letters(column)}$2:${letters(column)}${len(words) + 1}"

    def add_inputs(self) -> int:
        """Add the address of the service and the inputs of the trip, and return the next row."""
        trip = self.trip
        trip.put(1, 1, "Kitwright: the lightest kit for a trip on foot", "title", span=11)
        trip.put(2, 1, "Fill in the yellow cells. An empty cell uses the default.", "note", span=5)
        trip.put(5, 1, "Service", "band", span=5)
        trip.put(6, 1, "Address", "label")
        trip.put(6, 2, self.service, "input_text", span=4)
        trip.put(7, 1, "To ask again, change this", "label")
        trip.put(7, 2, 1, "input")
        trip.put(7, 3, self.query.near(), "unit", span=3)
        for row, label, name, at_first, note in (
            (8, "Draw the front", "front", "yes", "many solves: slow with a fire"),
            (9, "Next kits and prices", "more", None, "many solves"),
        ):
            trip.put(row, 1, label, "label")
            trip.put(row, 2, self.said(name, at_first), "input")
            trip.put(row, 3, note, "unit", span=3)
            trip.choices.append(CellChoice(row, 2, words=self.ranges["yes or no"]))
        trip.put(3, 1, "Units", "label")
        trip.put(3, 2, self.said("inputs", "metric") or "metric", "input")
        told = '"ounces, inches, \u00b0F: write your figures anew","grams, millimetres, \u00b0C"'
        trip.put(3, 3, f'=IF({UNITS_AT}="us",{told})', "unit", span=3)
        trip.choices.append(CellChoice(3, 2, words=self.ranges["units"]))
        row = self.add_tasks(11)
        for title, inputs in _INPUTS.items():
            trip.put(row, 1, title, "band", span=5)
            for label, name, content, unit, words in inputs:
                row += 1
                self.add_input(row, label, name, content, unit, words)
            row += 1
        trip.put(row, 1, "Tools of your own", "label")
        ids = self.own_ids
        moved = f'"from the sheet Tools of another file: "&IF({ids}="","none",{ids})'
        told = f'=IF(ISERROR({ids}),"the sheet Tools is missing",IF({self.query.elsewhere}>0,{moved},{ids}&""))'
        trip.put(row, 2, told, "text", span=4)
        trip.put(18, PIECES_AT, "Sheet key, for a stored catalog", "workings")
        trip.put(18, PIECES_AT + 1, None, "input_text")
        return row + 1

    def add_link(self) -> None:
        """Add the link that brings this trip as a file with its result, for where nothing can be fetched."""
        asked = f'"/v1/sheet/workbook.{self.kind}?"&MID({self.query.query},2,9999)'
        switches = f'"&inputs="&{UNITS_AT}&"&front="&$B$8&"&more="&$B$9'
        self.trip.put(10, 1, "To keep it offline", "label")
        link = f'=HYPERLINK({self.query.root}&{asked}&{switches},"get this trip as a file with its result")'
        self.trip.put(10, 2, link, "link", span=4)

    def add_tasks(self, row: int) -> int:
        """Add the stated tasks from a row on and return the next row."""
        trip = self.trip
        trip.put(row, 1, "Wood work, each day", "band", span=5)
        for column, head in enumerate(("task", "{mm} thick", "a day", "min score", "critical"), start=1):
            trip.put(row + 1, column, in_tab_units(head), "head" if column == 1 else "head_right")
        for row_of_task, (task, about) in enumerate(TASK_ROWS.items(), start=row + 2):
            trip.put(row_of_task, 1, about.label, "label")
            size = f"$B${row_of_task}"
            parts = zip(_TASK_PARTS, (*about.at_first, None, None), strict=True)
            for column, (part, content) in enumerate(parts, start=2):
                name = f"{task}_{part}"
                at = trip.put(row_of_task, column, self.said(name, content), "input")
                self.limit(row_of_task, column, name, at)
                beside = None if part == "mm" else size
                self.query.add_piece(name, at, label=f"{about.label}, {part}", beside=beside, truth=part == "critical")
        return row + 2 + len(TASK_ROWS)

    def add_input(self, row: int, label: str, name: str, content: Content, unit: str, words: str | None) -> None:
        """Add one input."""
        wide = COLUMNS[name].read in _LISTED or name in ("name", "species", "terrain")
        self.trip.put(row, 1, label, "label")
        span = 4 if name == "name" else 2 if wide else 1
        at = self.trip.put(row, 2, self.said(name, content), "input_text" if wide else "input", span=span)
        self.at[name] = f"$B${row}"
        if span < 4:
            self.trip.put(row, 2 + span, in_tab_units(unit), "unit", span=4 - span)
        if words is not None:
            self.trip.choices.append(CellChoice(row, 2, words=self.ranges[words]))
        else:
            self.limit(row, 2, name, at)
        self.query.add_piece(name, at, label=label, truth=COLUMNS[name].read is cell.truth)

    def limit(self, row: int, column: int, name: str, at: str) -> None:
        """Say what an input may hold."""
        if (rule := input_rule_of(name, at)) is not None:
            self.trip.choices.append(CellChoice(row, column, formula=rule[0], told=rule[1]))


def asked_in(filled: Mapping[str, Content]) -> list[str]:
    """Return the fields that the workbook asks for with its inputs filled."""
    made = _Planner("", "ods", filled)
    made.add_lists()
    made.add_inputs()
    return _asked_paths(made.groups(), filled)


def _asked_paths(groups: list[FieldGroup], filled: Mapping[str, Content] | None) -> list[str]:
    """Return the fields that are asked for in the units of the inputs."""
    us = (filled or {}).get("inputs") == "us"
    listed = [group.listed for group in groups if group.on]
    return [path for text in listed for path in paths_of(us_fields(text) if us else text)]


def planner(
    service: str,
    *,
    kind: str = "ods",
    filled: Mapping[str, Content] | None = None,
    stored: tuple[str, str] | None = None,
) -> Workbook:
    """Return the planning workbook, which asks the service at an address.

    Args:
        service: the address.
        kind: the form of file that its link asks for.
        filled: what inputs hold, by column of a trip, and the switches `front` and `more`; None: an invented trip.
        stored: the time and the answer of GET /v1/sheet/values to this trip, kept in the file.
    """
    return _Planner(service, kind, filled).built(stored)
