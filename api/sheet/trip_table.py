"""POST /v1/sheet/trips: many trips as CSV, a row each; CSV out, a row each, with what went wrong beside it."""

from collections.abc import Sequence

import anyio
from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from api.answering.later_answer import job_offer, kept_for_later
from api.http.media import RawBody
from api.sheet.cell_reply import BOM, in_words, sent
from api.sheet.field import Field, field_named
from api.sheet.query_parameter import Schema, choices, parameter
from api.sheet.sheet_question import Desk, DeskOf, SheetQuestion, sheet_question_of
from api.sheet.trip_rows import MOST_ROWS, TripCells, number_faults, plain_numbers, sign_of, trips_of
from api.solving.batch_time import BatchTime
from catalog.tables.table import DecimalSign, FigureCell, csv_text, separator
from solver import Fault, TripError, Unfinished

router = APIRouter(prefix="/v1/sheet", tags=["sheet"])
_MORE = ["fields", "units", "inputs", "decimal", "bom"]
_MOST_FIELDS = 30
_OFFER = job_offer()
USUAL = ("status", "kit.mass_g", "kit.work_min_per_day", "kit.tools", "kit.methods", "gaps")
TABLE_EXAMPLE = "name,split_mm,saw_mm,nights\r\nInvented: low camp,120,90,3\r\nInvented: high camp,,60,2\r\n"
_ABOUT_FIELDS = (
    f"Columns of the answer, separated by |: fields of GET /v1/sheet/value except those that need many solves; at most "
    f"{_MOST_FIELDS}; default {', '.join(USUAL)}."
)


def _body_of_trips() -> Schema:
    """Return what the body is, for OpenAPI."""
    note = (
        f"A header line of the parameters of GET /v1/sheet/value (columns in any order), then at most {MOST_ROWS:,} "
        "trips. UTF-8, with or without a byte order mark; separated by comma, semicolon or tab, which a line `sep=;` "
        "above may name; decimals with a point or a comma; an empty cell counts as absent. Where semicolons or tabs "
        "separate, 1.250 and 1,250, which "
        "may be 1250 or 1.25, are read by the decimal sign of the other numbers, and refused where they tell none; "
        "where commas separate, 1,250 is refused. `decimal` states the sign. `name` is your own label; it is returned."
    )
    content = {"text/csv": {"schema": {"type": "string", "description": note}, "example": TABLE_EXAMPLE}}
    return {"required": True, "description": note, "content": content}


@router.post(
    "/trips",
    summary="Plan many trips as CSV, one answer per row",
    response_class=Response,
    responses={200: {"description": "The table", "content": {"text/csv": {"schema": {"type": "string"}}}}},
    openapi_extra={
        "parameters": [
            parameter("fields", {"type": "string", "maxLength": 2000}, _ABOUT_FIELDS),
            *choices(_MORE),
            *_OFFER["parameters"],
        ],
        "x-answered-later": _OFFER["x-answered-later"],
        "requestBody": _body_of_trips(),
    },
)
async def post_sheet_trips(request: Request, body: RawBody, desk: DeskOf) -> Response:
    """Return one row per trip of the table, in the same order: row (as in a spreadsheet), name, fields, error.

    If a trip is wrong, its fields are empty and `error` says why. The other trips are answered. The answer has the
    separator of the body. Decimals are written as in the body; where it tells no sign, with a comma between semicolons.
    An apostrophe stands before =, +, - and @ where they begin a text or follow a separator in it. All rows together
    take no longer than one answer may for each 100 kB, the first begun; each takes at most half of what is left.
    """
    question = sheet_question_of(request.query_params.multi_items(), more=_MORE, columns=False)
    wanted = _wanted_fields(question)
    text = _decoded(body)
    if (kept := await kept_for_later(request)) is not None:
        return kept
    parted = separator(text)
    time = desk.time_of(len(body))
    rows: list[list[str]] = [["row", "name", *(field.path for field in wanted), "error"]]
    trips = await anyio.to_thread.run_sync(trips_of, text)  # a long table holds nobody else up
    decimal = sign_of(question.said["decimal"], trips, separator=parted)
    comma = (decimal or ("comma" if parted == ";" else "point")) == "comma"
    for number, cells in trips:
        rows.append([str(number), *await _told_row(cells, wanted, desk, question, decimal, comma=comma, time=time)])
    table = csv_text(rows, separator=parted)
    table = BOM + table if question.said["bom"] == "1" else table
    return sent(table, "text/csv", {"Cache-Control": "no-store"}, "trips.csv")


def _wanted_fields(question: SheetQuestion) -> list[Field]:
    """Return the fields asked for.

    Raises:
        TripError: too many, or one that there is not, or that takes many solves.
    """
    paths = [path.strip() for path in question.said["fields"].split("|") if path.strip()] or list(USUAL)
    if len(paths) > _MOST_FIELDS:
        raise _refused(
            "fields", len(paths), f"at most {_MOST_FIELDS}", f"{len(paths)} fields are more than {_MOST_FIELDS}"
        )
    found = [field_named(path, units=question.units, parameter="fields") for path in paths]
    for field in found:
        if field.front or field.full:
            raise _refused(
                "fields",
                field.path,
                "a field that does not need many solves",
                f"{field.path} needs many solves; ask for it with GET /v1/sheet/value",
            )
    return found


def _refused(name: str, value: object, allowed: str, detail: str) -> TripError:
    """Return the refusal of a parameter or column."""
    return TripError([Fault(f"#/{name}", value, allowed, detail)])


def _decoded(body: bytes) -> str:
    """Return the text of a body.

    Raises:
        HTTPException: 400, it is empty, or no UTF-8.
    """
    try:
        text = body.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise HTTPException(
            400, f"not UTF-8 text ({error.reason} at byte {error.start}): save it as CSV UTF-8"
        ) from error
    if not text.strip():
        raise HTTPException(400, "the body is empty; send a header line and one trip per row")
    return text


async def _told_row(
    cells: TripCells,
    wanted: Sequence[Field],
    desk: Desk,
    question: SheetQuestion,
    decimal: DecimalSign | None,
    *,
    comma: bool,
    time: BatchTime,
) -> list[str]:
    """Return name, fields and error of one trip; all empty for a blank row."""
    told, error = [""] * len(wanted), ""
    if cells:
        try:
            if faults := number_faults(cells, decimal):
                raise TripError(faults)
            units, inputs = question.units, question.inputs
            told = await desk.texts(plain_numbers(cells, decimal), wanted, units=units, inputs=inputs, time=time)
        except (TripError, Unfinished) as fault:
            error = in_words(fault)
    shown = [in_table(text, field, comma=comma) for text, field in zip(told, wanted, strict=True)]
    return [cells.get("name", ""), *shown, error]


def in_table(text: str, field: Field, *, comma: bool) -> str:
    """Return a field as the table writes it."""
    if not field.number:
        return text  # the table marks its texts itself
    return FigureCell(text.replace(".", ",") if comma else text)
