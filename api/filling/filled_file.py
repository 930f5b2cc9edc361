"""POST /v1/sheet/trips.csv, .xlsx and .ods: a file of trips, and the same file back with its answers."""

from typing import Any

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.answering.later_answer import job_offer, kept_for_later
from api.filling.grid import Heed
from api.filling.trip_file import TripFile, grid_of, wanted_fields
from api.http.media import CSV, ODS, XLSX, RawBody
from api.settings.refused import Refused
from api.settings.units import Units
from api.sheet.cell_reply import in_words
from api.sheet.query_parameter import choices, parameter
from api.sheet.sheet_question import DeskOf, SheetQuestion, sheet_question_of
from catalog.tables.table import DecimalSign
from solver import Fault, TripError, Unfinished

router = APIRouter(prefix="/v1/sheet", tags=["sheet"])
_MEDIA = {"csv": CSV, "xlsx": XLSX, "ods": ODS}
_MOST_TRIPS = 10_000  # judged: of one file
_OFFER = job_offer()
_MORE = ["fields", "sheet", "again", "units", "inputs", "decimal"]
_ABOUT_FILE = (
    "A row of the sheet names the columns: parameters of GET /v1/sheet/value, in any order, among columns of your own. "
    f"Each row below that asks for work is a trip; at most {_MOST_TRIPS:,}."
)
_FIELDS = parameter(
    "fields",
    {"type": "string", "maxLength": 2000},
    "Fields of GET /v1/sheet/value, separated by |; if it is left out, those that columns are titled by, else the "
    "usual ones of POST /v1/sheet/trips.",
)
_SHEET = parameter("sheet", {"type": "string", "maxLength": 200}, "Sheet of the trips: `Trips` or the first.")
_EXAMPLE = "mine,saw_mm,nights,kit.mass_g\r\nInvented: by the lake,90,3,\r\n"


def _operation(kind: str) -> dict[str, Any]:
    """Return what the contract says of the address of a kind of file."""
    media = _MEDIA[kind]
    schema: dict[str, Any] = {"type": "string"} if kind == "csv" else {"type": "string", "format": "binary"}
    body = {"schema": schema} | ({"example": _EXAMPLE} if kind == "csv" else {})
    return {
        "response_class": Response,
        "responses": {
            200: {"description": "The same file, filled in", "content": {media: {"schema": schema}}},
            503: {},
        },
        "openapi_extra": {
            "parameters": [_FIELDS, _SHEET, *choices(_MORE), *_OFFER["parameters"]],
            "x-answered-later": _OFFER["x-answered-later"],
            "requestBody": {"required": True, "description": _ABOUT_FILE, "content": {media: body}},
        },
    }


@router.post("/trips.csv", summary="Fill a CSV of trips in", **_operation("csv"))
async def post_trips_csv(request: Request, body: RawBody, desk: DeskOf) -> Response:
    """Return the CSV with the answers in its columns, or in new ones behind the last; other cells stay as they are.

    A trip has `error`, `answered_at` and `trip_key` beside its answer. A row that has its answer is not answered again
    unless its trip has changed, or `again` is 1. All trips together take no longer than one answer may for each 100 kB.
    """
    return await _filled(request, body, desk, "csv")


@router.post("/trips.xlsx", summary="Fill an .xlsx workbook of trips in", **_operation("xlsx"))
async def post_trips_xlsx(request: Request, body: RawBody, desk: DeskOf) -> Response:
    """Return the workbook with the answers in place; its formats, formulas and other sheets stay. As `trips.csv`."""
    return await _filled(request, body, desk, "xlsx")


@router.post("/trips.ods", summary="Fill an .ods workbook of trips in", **_operation("ods"))
async def post_trips_ods(request: Request, body: RawBody, desk: DeskOf) -> Response:
    """Return the workbook with the answers in place; its formats, formulas and other sheets stay. As `trips.csv`."""
    return await _filled(request, body, desk, "ods")


async def _filled(request: Request, body: bytes, desk: DeskOf, kind: str) -> Response:
    """Return a file with its answers.

    Raises:
        TripError: the file can't be taken.
        Unfinished: reading or writing it takes longer than an answer may.
    """
    question = sheet_question_of(request.query_params.multi_items(), more=_MORE, columns=False)
    patiently = desk.answers.solves.run_patiently  # its places bound the reading and the writing; who leaves ends them
    trips = await patiently(lambda effort: _read(body, kind, question, effort.begun().go_on), desk.time_of(len(body)))
    if (kept := await kept_for_later(request)) is not None:
        return kept
    time, units, inputs = desk.time_of(len(body)), question.units, question.inputs
    for job in trips.jobs:
        try:
            trips.fill(job, await desk.texts(job.cells, trips.wanted, units=units, inputs=inputs, time=time), "")
        except (TripError, Unfinished) as error:
            trips.fill(job, [], in_words(error))
    written = await patiently(lambda effort: trips.grid.written(effort.begun().go_on), desk.time_of(len(body)))
    headers = {"Cache-Control": "no-store", "X-Content-Type-Options": "nosniff"}
    headers["Content-Disposition"] = f'attachment; filename="trips.{kind}"'
    return Response(written, media_type=_MEDIA[kind], headers=headers)


def _read(body: bytes, kind: str, question: SheetQuestion, heed: Heed) -> TripFile:
    """Return the trips of a file.

    Raises:
        TripError: it can't be taken, or they are too many.
        Cancelled: nobody waits any more.
        Unfinished: it takes too long.
    """
    units: Units = question.units
    stated = question.said["decimal"]
    decimal: DecimalSign | None = None if stated == "auto" else "comma" if stated == "comma" else "point"
    try:
        grid = grid_of(body, kind, heed, sheet=question.said["sheet"] or None, decimal=decimal)
        wanted = wanted_fields(grid, question.said["fields"], units=units)
        trips = TripFile(grid, wanted, heed, units=units, inputs=question.inputs, again=question.said["again"] == "1")
    except Refused as error:
        raise TripError([Fault("#", None, "a file of trips", "; ".join(error.told().splitlines()))]) from error
    if (number := len(trips.jobs)) > _MOST_TRIPS:
        detail = f"{number} trips are more than {_MOST_TRIPS}; send them in parts"
        raise TripError([Fault("#", number, f"at most {_MOST_TRIPS} trips", detail)])
    return trips
