"""From cells to a trip: the same form that POST /v1/kits takes, and every fault led back to its column."""

from collections.abc import Mapping
from typing import Any

from pydantic import TypeAdapter, ValidationError

from api.http.problem_details import range_of
from api.settings.inch_fraction import without_fractions
from api.settings.units import Units
from api.settings.us_fault import UsMeasure, measure_at, sentence_in
from api.sheet.column import COLUMNS, OF_A_TASK
from catalog.tables.wrong_value import with_both_ends
from solver import Fault, Trip, TripError
from solver.forms.task import TASK_ROWS

_Place = tuple[str | int, ...]
_TRIP = TypeAdapter(Trip)
_AS_IN_TABLES = ("own_tools", "assumptions")  # columns whose figures have the units of their tables, whatever is said
_NO_WORK = "split_mm"  # where a trip that asks for nothing is told so


class Draft:
    """A trip's form as it is filled from cells, and the column that each part of it came from."""

    def __init__(self, cells: Mapping[str, str], *, units: Units = "metric", inputs: Units = "metric") -> None:
        """Fill the form.

        Args:
            cells: the text of each column.
            units: units in which faults are told beside those of the columns.
            inputs: units of the figures in the cells; faults are told in them, too.
        """
        self.units: Units = "us" if inputs == "us" else units
        self.inputs = inputs
        self.cells = {name: text.strip() for name, text in cells.items() if text.strip()}
        self.form: dict[str, Any] = {}
        self.origins: dict[_Place, str] = {}
        self.faults: list[Fault] = []
        self.values = {name: value for name in self.cells if (value := self.read(name)) is not None}
        self.fill()

    def read(self, name: str) -> Any:
        """Return what a column's cell says; None where it can't be read, which is noted."""
        text = self.cells[name]
        if self.inputs == "us" and (measure := measure_at((name,))) is not None and measure.us == "in":
            text = without_fractions(text)
        try:
            value = COLUMNS[name].read(text)
        except ValueError as error:
            self.fault(name, str(error), allowed="a number, or a list separated by | or ;")
            return None
        return value if self.inputs == "metric" else _in_metric(name, value)

    def fault(self, name: str, detail: str, *, allowed: str) -> None:
        """Note what is wrong with a column."""
        self.faults.append(Fault(f"#/{name}", self.cells.get(name), allowed, detail))

    def put(self, place: tuple[str, ...], value: Any, name: str) -> None:
        """Put a value at its place in the form."""
        self.origins[place] = name
        *above, last = place
        into = self.form
        for step in above:
            into = into.setdefault(step, {})
        into[last] = value

    def fill(self) -> None:
        """Fill the form: plain columns where they belong, then the lists that several columns make together."""
        made_together = ("tasks", "camp_work")
        for name, value in self.values.items():
            place = COLUMNS[name].place
            if place[0] not in made_together and name not in ("diameters_mm", "reach_kg_per_day"):
                self.put(place, value, name)
        self.add_tasks()
        self.add_camp_work()
        self.add_diameters()

    def add_tasks(self) -> None:
        """Add the stated tasks, one for each diameter."""
        for task in TASK_ROWS:
            sizes = self.values.get(f"{task}_mm", [])
            rows: list[dict[str, Any]] = [{"task": task} for _ in sizes]
            for part, (field, _) in OF_A_TASK.items():
                self.add_task_part(rows, f"{task}_{part}", field, asked=f"{task}_mm")
            if rows:
                self.form.setdefault("tasks", []).extend(rows)

    def add_task_part(self, rows: list[dict[str, Any]], name: str, field: str, *, asked: str) -> None:
        """Add one column to the tasks: a member for each, or one for all."""
        members = self.values.get(name)
        if members is None:
            return
        if not rows:
            if asked not in self.cells:
                self.fault(name, f"{name} needs {asked} beside it", allowed=f"only beside {asked}")
            return
        if len(members) not in (1, len(rows)):
            allowed = f"1 member, or {len(rows)} as in {asked}"
            self.fault(name, f"{name} has {len(members)} members, but {asked} has {len(rows)}", allowed=allowed)
            return
        first = len(self.form.get("tasks", []))
        for i, row in enumerate(rows):
            row[field] = members[i if len(members) > 1 else 0]
            self.origins["tasks", first + i, field] = name

    def add_camp_work(self) -> None:
        """Add the camp work, by the day and by the trip."""
        rows: list[dict[str, Any]] = []
        for name in ("camp_per_day", "camp_per_trip"):
            for work, amount in self.values.get(name, []):
                self.origins["camp_work", len(rows)] = name
                rows.append({"id": work, COLUMNS[name].place[1]: amount})
        if rows:
            self.form["camp_work"] = rows

    def add_diameters(self) -> None:
        """Add the thicknesses to be had, each with its reach where that is said."""
        sizes, reach = self.values.get("diameters_mm"), self.values.get("reach_kg_per_day")
        if reach is None:
            if sizes is not None:
                self.put(("wood", "diameters_mm"), sizes, "diameters_mm")
            return
        if len(reach) != len(sizes or []):
            detail = f"reach_kg_per_day has {len(reach)} members, but diameters_mm has {len(sizes or [])}"
            self.fault("reach_kg_per_day", detail, allowed="as many as in diameters_mm")
            return
        rows = [{"mm": mm, "reach_kg_per_day": kg} for mm, kg in zip(sizes or [], reach, strict=True)]
        self.put(("wood", "diameters"), rows, "diameters_mm")
        for i in range(len(rows)):
            self.origins["wood", "diameters", i, "reach_kg_per_day"] = "reach_kg_per_day"

    def column_of(self, place: _Place) -> str:
        """Return the column that a place of the form came from, or the nearest there is."""
        for length in range(len(place), 0, -1):
            if (name := self.origins.get(place[:length])) is not None:
                return name
        below = [name for origin, name in self.origins.items() if origin[: len(place)] == place]
        return below[0] if below else _NO_WORK

    def led_back(self, fault: Fault) -> Fault:
        """Return a fault of the trip as one of its column."""
        steps = fault.pointer.removeprefix("#/").split("/")
        name = self.column_of(tuple(int(step) if step.isdecimal() else step for step in steps))
        return Fault(f"#/{name}", self.cells.get(name), fault.allowed, fault.detail)

    def refused(self, error: ValidationError) -> list[Fault]:
        """Return the faults of a form that is no trip, by column."""
        found = []
        for detail in error.errors():
            name = self.column_of(tuple(detail["loc"]))
            text = self.of_member(detail["loc"]) + sentence_in(detail, detail["input"], self.units)
            allowed = range_of(with_both_ends(detail, _TRIP))
            found.append(Fault(f"#/{name}", self.cells.get(name), allowed, text))
        return found

    def of_member(self, place: _Place) -> str:
        """Return whose figure a place of the form is, as words to begin with; empty where it is nobody's."""
        if len(place) < 2 or place[0] not in ("members", "extra_tools"):
            return ""
        row = self.form[place[0]][place[1]]
        return f"{row['name']}: " if place[0] == "members" else f"{' '.join([row['id'], *map(str, place[2:])])}: "

    def trip(self) -> Trip:
        """Return the trip.

        Raises:
            TripError: what can't be taken, by column.
        """
        try:
            trip = Trip.model_validate(self.form)
        except ValidationError as error:
            raise TripError(self.faults + self.refused(error)) from error
        if self.faults:
            raise TripError(self.faults)
        return trip


def _in_metric(name: str, value: Any) -> Any:
    """Return what a column's cell says in US units in metric ones; a figure that measures nothing stays."""
    if name in _AS_IN_TABLES:
        return value
    if name == "members":
        return [{key: _figure_in_metric(key, one) for key, one in row.items()} for row in value]
    return (
        [_figure_in_metric(name, one) for one in value] if isinstance(value, list) else _figure_in_metric(name, value)
    )


def _figure_in_metric(name: str, value: Any) -> Any:
    """Return a figure in the metric unit that a name ends with; anything else as it stands."""
    measure: UsMeasure | None = measure_at((name,))
    is_figure = isinstance(value, int | float) and not isinstance(value, bool)
    return measure.in_metric(value) if measure is not None and is_figure else value
