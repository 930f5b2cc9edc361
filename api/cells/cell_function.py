"""The functions for cells: their names, what they take, and what they give."""

from dataclasses import dataclass

_FIELDS = ("fields", "What to tell: kit.mass_g, or status|kit.mass_g, or cells that each hold a field.", False)
_NAMES = ("names", "Cells that name what stands in the values: saw_mm, nights, work_min_per_day...", False)
_UNITS = ("units", "us: fields in ounces, pounds and inches too. Empty: grams and millimetres.", True)


@dataclass(frozen=True)
class CellFunction:
    """A function: its name in a formula and in a program, what it does, its arguments.

    Attributes:
        name: as a formula has it.
        method: as the component has it.
        told: what it does, for the list of functions of the program.
        arguments: name, what it is, and whether it may be left out.
    """

    name: str
    method: str
    told: str
    arguments: tuple[tuple[str, str, bool], ...]


CELL_FUNCTIONS = (
    CellFunction(
        "KITWRIGHT",
        "oneTrip",
        "Tells fields of the lightest kit for one trip. Numbers come as numbers, failures as words.",
        (_FIELDS, _NAMES, ("values", "Cells of the trip, as many as there are names.", False), _UNITS),
    ),
    CellFunction(
        "KITWRIGHT_TRIPS",
        "manyTrips",
        "Tells fields of many trips, a row each, in one request for up to 500 trips.",
        (_FIELDS, _NAMES, ("rows", "Cells of the trips: a row a trip, as wide as there are names.", False), _UNITS),
    ),
    CellFunction(
        "KITWRIGHT_STATE",
        "state",
        "Tells which service is asked, and whether it is ready.",
        (("again", "Anything: a new value asks again.", True),),
    ),
)
