"""A catalog as callers send and get it: JSON or CSV, checked as a whole."""

from collections.abc import Mapping, Sequence
from json import JSONDecodeError
from typing import Annotated, TypeVar

from fastapi import HTTPException
from fastapi.exceptions import RequestValidationError
from pydantic import BaseModel, Field, TypeAdapter

from api.http.body_form import RefusedBody, form_in
from api.http.catalog_refused import CatalogRefused
from api.http.media import CSV
from api.store.stored_catalog import Head
from catalog import Tool, mass_slips, methods, parse_tools
from catalog.equipment.tool import FreeText, Id
from catalog.equipment.tool_text import cell_faults
from catalog.tables.table import DecimalSign
from solver import Fault, Trip
from solver.forms.trip import CATALOG_NAME, FigureInterval, Form
from solver.forms.validation import companions, interval_faults, own_figure_faults, twice

Name = Annotated[str, Field(pattern=f"^{CATALOG_NAME}$", examples=["invented-hut"])]
_MOST_ROWS = 20_000
_MOST_WARNINGS = 100


_AnyForm = TypeVar("_AnyForm", bound=BaseModel)


class CatalogForm(Form):
    """A catalog: its tools in order, and a note. PUT takes what GET returns, unchanged."""

    note: FreeText | None = None
    tools: list[Tool] = Field(min_length=1, max_length=_MOST_ROWS, description="Rows like those of GET /v1/tools.")
    assumptions: dict[Id, float] = Field(
        default_factory=dict,
        max_length=200,
        description="Figures in place of assumed ones, as in a trip, for each trip with this catalog that does not "
        "state its own. POST of trials writes the rates that they leave. If it is left out, the old ones stay.",
    )
    assumption_intervals: dict[Id, FigureInterval] = Field(
        default_factory=dict,
        max_length=200,
        description="90 % intervals of `assumptions`, by id, in which `sure` draws them; low = high = the figure where "
        "it is known. A rate or a handling without one is drawn as widely as an assumed one, about its value; other "
        "figures without one are known. They come and go with `assumptions`.",
    )


class CatalogChange(Form):
    """Changes of a catalog. All of them are made, or none."""

    note: FreeText | None = Field(None, description="A new note; if it is left out, the old note stays.")
    tools: list[Tool] = Field(
        default_factory=list,
        max_length=_MOST_ROWS,
        description="Rows to add. A row with an existing id replaces that row.",
    )
    drop: list[Id] = Field(default_factory=list, max_length=_MOST_ROWS, description="Ids of rows to remove.")


class CatalogHead(BaseModel):
    """A revision of a catalog, without its tools."""

    name: str = Field(description="As its reader names it: OWNER:NAME where another owner shares it.")
    owner: str
    revision: int
    note: str | None
    tool_count: int
    made_at: str = Field(description="RFC 3339, UTC.")
    tag: str = Field(description="The value of If-Match for the next change; the ETag of the JSON form.")
    assumptions: dict[str, float] = Field(description="Figures that trips with this catalog take, by id.")
    assumption_intervals: dict[str, FigureInterval] = Field(description="90 % intervals of those that have one.")


class CatalogWritten(CatalogHead):
    """The stored revision, and figures in it that look wrong."""

    warnings: list[str] = Field(description="Masses far outside the usual range of their kind. Check the unit.")


def read_form(body: bytes, media: str, decimal: DecimalSign | None = None) -> CatalogForm:
    """Return the catalog that a body holds; of a table, decimals have the sign that is stated.

    Raises:
        RequestValidationError: it is not JSON, or not of the form.
        TableError: it is not a table of tools.
    """
    if media == CSV:
        rows = parse_tools(text_of(body), file="the body", decimal=decimal)
        return CatalogForm.model_construct(
            _fields_set={"tools"}, tools=rows, note=None, assumptions={}, assumption_intervals={}
        )
    return form_of(body, CatalogForm)


def form_of(body: bytes, form: type[_AnyForm]) -> _AnyForm:
    """Return the form that a JSON body holds.

    Raises:
        RequestValidationError: it is not JSON, or not of the form.
        HTTPException: 413 where it holds more values than any question needs.
    """
    try:
        found = form_in(body, TypeAdapter(form))
    except JSONDecodeError as error:
        detail = {"type": "json_invalid", "loc": ("body", error.pos), "msg": error.msg, "ctx": {"error": error.msg}}
        raise RequestValidationError([detail]) from error
    if isinstance(found, RefusedBody):
        raise RequestValidationError([], body=[found])
    return found


def text_of(body: bytes) -> str:
    """Return the text of a body, with or without a byte order mark.

    Raises:
        HTTPException: 400 where it is not UTF-8.
    """
    try:
        return body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise HTTPException(400, f"not UTF-8: {error.reason} at byte {error.start}") from error


def check_rows(rows: Sequence[Tool], *, below: str) -> None:
    """Check rows one by one: their pointers are `below`/INDEX, or `below` where it is one row by itself.

    Raises:
        CatalogRefused: every row that can't be stored.
    """
    taken = {method.id for method in methods()}
    faults: list[Fault] = []
    for index, tool in enumerate(rows):
        place = f"{below}/{index}" if below else "#"
        if tool.id in taken:
            detail = f"the id {tool.id} is already the id of a field method"
            faults.append(Fault(f"{place}/id", tool.id, "a unique id", detail))
        faults += [
            Fault(f"{place}/{column}", getattr(tool, column), "what a table cell can hold", why)
            for column, why in cell_faults(tool)
        ]
    if faults:
        raise CatalogRefused(faults)


def check_whole(rows: Sequence[Tool], *, most: int) -> None:
    """Check what ties the rows of a catalog together.

    Raises:
        CatalogRefused: every fault found.
    """
    if not 1 <= len(rows) <= most:
        raise CatalogRefused(
            [Fault("#/tools", len(rows), f"1 to {most} tools", f"{len(rows)} tools are outside 1 to {most} tools")]
        )
    as_trip = Trip.model_construct(tools=list(rows), extra_tools=[])
    if faults := twice(as_trip) + companions(as_trip):
        raise CatalogRefused(faults)


def check_figures(figures: Mapping[str, float], intervals: Mapping[str, FigureInterval]) -> None:
    """Check that figures are ones that trips read, within their hard limits, and that their intervals hold them.

    Raises:
        CatalogRefused: every fault found.
    """
    if faults := own_figure_faults(figures) or interval_faults(figures, intervals):
        raise CatalogRefused(faults)


def head_shown(head: Head) -> CatalogHead:
    """Return a revision as callers see it."""
    given = {name: getattr(head, name) for name in CatalogHead.model_fields if name != "assumption_intervals"}
    return CatalogHead.model_validate(given | {"assumption_intervals": dict(head.intervals)})


def as_written(head: Head, rows: Sequence[Tool]) -> CatalogWritten:
    """Return what was stored as its writer sees it."""
    return CatalogWritten(
        **head_shown(head).model_dump(), warnings=[slip.text for slip in mass_slips(rows)[:_MOST_WARNINGS]]
    )
