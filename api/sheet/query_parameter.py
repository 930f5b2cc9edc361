"""The columns as OpenAPI parameters: types, ranges and words come from the trip's own schema."""

from collections.abc import Sequence
from functools import cache
from typing import Any

from api.sheet import cell
from api.sheet.column import COLUMNS, Column, Read
from solver import Trip
from solver.forms.task import TASK_ROWS

Schema = dict[str, Any]

# Ranges of members are beyond a pattern: the service checks them.
_NUMBERS = r"^[0-9]+([.,][0-9]+)?( ?[|;] ?[0-9]+([.,][0-9]+)?)+$"
_TRUTHS = r"^(yes|no|true|false|1|0)( ?[|;] ?(yes|no|true|false|1|0))*$"
_AMOUNTS = r"^[A-Za-z0-9._-]+:[0-9]+([.,][0-9]+)?( ?[|;] ?[A-Za-z0-9._-]+:[0-9]+([.,][0-9]+)?)*$"
_WORDS = r"^[A-Za-z0-9][A-Za-z0-9._ -]*( ?[|;] ?[A-Za-z0-9][A-Za-z0-9._ -]*)*$"
_FIGURES = _AMOUNTS.replace(":[0-9]", ":-?[0-9]")
_OWN_TOOL = r"[A-Za-z0-9][A-Za-z0-9._-]{0,79}(~[^~|;]+~[^~|;]*)*"
_CARRIES = r"( [A-Za-z0-9._-]+)*(: ?| )[0-9]+([.,][0-9]+)?"
_MEMBER = rf"[A-Za-z0-9._-]+{_CARRIES}"
_AFTER_COMMA = rf"[A-Za-z._-][A-Za-z0-9._-]*{_CARRIES}"
_MEMBERS = rf"^{_MEMBER}( ?[|;] ?{_MEMBER}|, {_AFTER_COMMA})*$"
_PATTERNS: dict[Read, str] = {
    cell.amounts: _AMOUNTS,
    cell.figures: _FIGURES,
    cell.members: _MEMBERS,
    cell.words: _WORDS,
    cell.own_tools: rf"^{_OWN_TOOL}( ?[|;] ?{_OWN_TOOL})*$",
    cell.truths: _TRUTHS,
}
_NOTES = {
    "name": "Your own label.",
    "camp_per_day": "Pieces of camp work a day, by id of GET /v1/camp-work: `toggle:1|tongs:2`.",
    "camp_per_trip": "Pieces of camp work for the whole trip, by id: `peg:8|pot-hanger:1`.",
    "reach_kg_per_day": "Wood within reach each day [kg], one member for each of diameters_mm.",
    "assumptions": "Your own figures for assumed ones, by id of GET /v1/assumptions: `saw_rate:240|body_kg:80`.",
    "members": "Who goes, with the grams that each carries at most: `Ann:4000|Ben:2500`, `Ann 4000; Ben 2500` or "
    "`Ann 4000, Ben 2500`. Any letters may be used.",
    "own_tools": "Tools of your own beside those built in (`extra_tools`), each its id, then names and values of "
    "columns of a table of tools: `my-saw~mass_g~300~saw_score~6~saw_max_mm~120|my-knife~mass_g~150`.",
    "knotty": "Whether the wood is full of knots.",
    "fire_allowed": "no: no wood fire is allowed, so no firewood is cut.",
}
_EXAMPLES = {"split_mm": 120, "saw_mm": 90}
IGNORED = ("_", "refresh", "key")  # what makes a spreadsheet ask again, and who asks
CHOICES = {
    "units": (("metric", "us"), "us adds ounces, pounds and inches."),
    "inputs": (
        ("metric", "us"),
        "us: figures of the trip are in US units, whatever the names of the columns: inches, ounces, pounds, feet, "
        "miles, quarts and degrees Fahrenheit. Those of own_tools and assumptions keep the units of their tables.",
    ),
    "against": (("minutes", "price"), "The second aim of the front, besides grams."),
    "errors": (
        ("problem", "text"),
        "text: errors are sent as text with status 200, because a cell does not show a 4xx.",
    ),
    "uncovered": (
        ("word", "figures"),
        "figures: the figures of an uncovered trip are told, those of a kit that does what it can.",
    ),
    "decimal": (
        ("auto", "point", "comma"),
        "Sign of decimals. comma: they have a comma, and semicolons separate the cells of a CSV answer. Of a table "
        "that is sent it says how its numbers are written; auto: they tell it themselves, and what may mean two "
        "things is refused.",
    ),
    "again": (("0", "1"), "1: answer also the rows whose trip has not changed since they were answered."),
    "front": (("no", "yes"), "Whether the file asks for the front."),
    "more": (("no", "yes"), "Whether the file asks for next kits and prices."),
    "bom": (("0", "1"), "1: begin with a byte order mark, for programs that open the saved file."),
}

_SHEET_KEY: Schema = {
    "name": "key",
    "in": "query",
    "required": False,
    "schema": {"type": "string", "maxLength": 80},
    "description": "A sheet key for a stored catalog, if the service uses keys. `kitwright key create --scope sheet` "
    "makes it. It can only plan from these addresses. No other key is accepted in an address.",
}


def trip_parameters() -> list[Schema]:
    """Return every column as a query parameter."""
    return [parameter(column.name, _schema_of(column), _note_of(column)) for column in COLUMNS.values()]


def parameter(name: str, schema: Schema, note: str, *, required: bool = False) -> Schema:
    """Return one query parameter."""
    found = {"name": name, "in": "query", "required": required, "schema": schema, "description": note}
    return found | ({"example": _EXAMPLES[name]} if name in _EXAMPLES else {})


def choices(names: Sequence[str]) -> list[Schema]:
    """Return options as query parameters, and those that are ignored."""
    found = [
        parameter(name, {"type": "string", "enum": list(words), "default": words[0]}, note)
        for name, (words, note) in CHOICES.items()
        if name in names
    ]
    ignored = "Ignored, like `_`. A new value makes a spreadsheet ask again."
    return [*found, parameter("refresh", {"type": "string", "maxLength": 80}, ignored), _SHEET_KEY]


def _note_of(column: Column) -> str:
    """Return what a column is, with how it is written."""
    note: str = _NOTES.get(column.name) or field_of(column).get("description", "")
    if column.place[0] == "tasks":
        return f"To {column.place[1]}: {note} Several diameters: `120|90`."
    written: dict[Read, str] = {
        cell.truth: "yes or no",
        cell.words: "members separated by |",
        cell.numbers: "members separated by |",
    }
    how = written.get(column.read)
    return f"{note} Write: {how}." if how else note


def _schema_of(column: Column) -> Schema:
    """Return the schema of a column's cell."""
    if (pattern := _PATTERNS.get(column.read)) is not None:
        return {"type": "string", "pattern": pattern}
    if column.read is cell.truth:
        return {"type": "string", "enum": sorted(cell.TRUTH)}
    plain = {key: value for key, value in field_of(column).items() if key not in ("title", "default", "description")}
    return {"anyOf": [plain, {"type": "string", "pattern": _NUMBERS}]} if column.read is cell.numbers else plain


def field_of(column: Column) -> Schema:
    """Return the schema of a field of the trip, or of a member where it is a list of numbers."""
    place = column.place
    if place[0] == "tasks":
        return dict(_form_schema("Task")[place[2]])
    if column.name == "reach_kg_per_day":
        return dict(_form_schema("DiameterClass")["reach_kg_per_day"])
    found = _form_schema(None)
    for step in place[:-1]:
        found = _below(found[step])
    return _member(found[place[-1]], column)


def _member(field: Schema, column: Column) -> Schema:
    """Return a field without the null it may be; of a list of numbers, its members."""
    plain: Schema = next((option for option in field.get("anyOf", []) if option.get("type") != "null"), {})
    whole = {key: value for key, value in field.items() if key != "anyOf"} | plain
    if column.read is cell.numbers:
        return {**whole["items"], "description": field.get("description", "")}
    return whole


def _below(field: Schema) -> Schema:
    """Return the fields of the form that a field holds."""
    options = [field, *field.get("anyOf", []), *field.get("allOf", [])]
    ref = next(option["$ref"] for option in options if "$ref" in option)
    return _form_schema(ref.rsplit("/", 1)[-1])


def _form_schema(form: str | None) -> Schema:
    """Return the fields of the trip, or of a form inside it."""
    document = _trip_schema()
    fields: Schema = (document if form is None else document["$defs"][form])["properties"]
    return fields


@cache
def _trip_schema() -> Schema:
    """Return the schema of a trip."""
    return Trip.model_json_schema()


assert set(TASK_ROWS) == set(_form_schema("Task")["task"]["enum"]), "every task has its columns"
