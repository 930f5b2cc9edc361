"""GET /v1/sheet/workbook.ods and .xlsx: the planning workbook, made for the address it is fetched from.

With a trip in the query, its inputs are filled and the result is kept in it.
"""

from datetime import UTC, datetime

import anyio
from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.http.media import ODS, XLSX
from api.settings.service_address import address_of
from api.sheet.draft import Draft
from api.sheet.field import field_named
from api.sheet.query_parameter import choices, trip_parameters
from api.sheet.sheet_question import Desk, DeskOf, sheet_question_of
from api.workbook.book_file import BookKind, stored_file, workbook_file
from api.workbook.planner_sheet import asked_in
from api.workbook.stored_result import filled_of

_MORE = ["inputs", "front", "more"]
router = APIRouter(prefix="/v1/sheet", tags=["sheet"])
_MEDIA: dict[BookKind, str] = {"ods": ODS, "xlsx": XLSX}


@router.get(
    "/workbook.ods",
    summary="Get the planning workbook as .ods",
    response_class=Response,
    responses={200: {"content": {_MEDIA["ods"]: {"schema": {"type": "string", "format": "binary"}}}}, 503: {}},
    openapi_extra={"parameters": [*trip_parameters(), *choices(_MORE)]},
)
async def get_workbook_ods(request: Request, desk: DeskOf) -> Response:
    """Return a workbook that uses this service: inputs, kit, needs, shares, front, cautions.

    With a trip in the query (the parameters of GET /v1/sheet/value), its inputs are filled and the result is kept in
    the file with its time. It is shown where nothing can be fetched, as long as the trip stays as it is.
    """
    return await _workbook(request, desk, "ods")


@router.get(
    "/workbook.xlsx",
    summary="Get the planning workbook as .xlsx",
    response_class=Response,
    responses={200: {"content": {_MEDIA["xlsx"]: {"schema": {"type": "string", "format": "binary"}}}}, 503: {}},
    openapi_extra={"parameters": [*trip_parameters(), *choices(_MORE)]},
)
async def get_workbook_xlsx(request: Request, desk: DeskOf) -> Response:
    """Return the same workbook in the other format."""
    return await _workbook(request, desk, "xlsx")


async def _workbook(request: Request, desk: Desk, kind: BookKind) -> Response:
    """Return the workbook as a file to keep.

    Raises:
        TripError: what can't be taken, by column.
        Unfinished: the effort ran out.
        Busy: too many wait for a place.
    """
    service = address_of(request.base_url)
    question = sheet_question_of(request.query_params.multi_items(), more=_MORE)
    headers = {"Content-Disposition": f'attachment; filename="kitwright.{kind}"', "X-Content-Type-Options": "nosniff"}
    if not question.cells:
        return Response(workbook_file(service, kind), media_type=_MEDIA[kind], headers=headers)
    units = question.inputs
    Draft(question.cells, inputs=units).trip()  # refuses what is no trip before anything is made of it
    filled = filled_of(question.cells, question.said)
    wanted = [field_named(path, units=units) for path in asked_in(filled)]
    told = await desk.texts(question.cells, wanted, units=units, inputs=units, anyway=True)
    time = datetime.now(UTC).strftime("%Y-%m-%d %H:%M UTC")
    made = await anyio.to_thread.run_sync(stored_file, service, kind, filled, time, "\n".join([*told, "end"]))
    return Response(made, media_type=_MEDIA[kind], headers=headers | {"Cache-Control": "no-store"})
