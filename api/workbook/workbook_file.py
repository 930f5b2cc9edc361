"""GET /v1/sheet/workbook.ods and .xlsx: the planning workbook, made for the address it is fetched from."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.http.media import ODS, XLSX
from api.workbook.book_file import ADDRESS, BookKind, usual_address, workbook_file

router = APIRouter(prefix="/v1/sheet", tags=["sheet"])
_MEDIA: dict[BookKind, str] = {"ods": ODS, "xlsx": XLSX}


@router.get(
    "/workbook.ods",
    summary="Get the planning workbook as .ods",
    response_class=Response,
    responses={200: {"content": {_MEDIA["ods"]: {"schema": {"type": "string", "format": "binary"}}}}},
)
def get_workbook_ods(request: Request) -> Response:
    """Return a workbook that uses this service: inputs, kit, needs, shares, front, cautions."""
    return _workbook(request, "ods")


@router.get(
    "/workbook.xlsx",
    summary="Get the planning workbook as .xlsx",
    response_class=Response,
    responses={200: {"content": {_MEDIA["xlsx"]: {"schema": {"type": "string", "format": "binary"}}}}},
)
def get_workbook_xlsx(request: Request) -> Response:
    """Return the same workbook in the other format."""
    return _workbook(request, "xlsx")


def _workbook(request: Request, kind: BookKind) -> Response:
    """Return the workbook as a file to keep."""
    named = str(request.base_url).rstrip("/")
    service = named if ADDRESS.fullmatch(named) else usual_address()
    headers = {"Content-Disposition": f'attachment; filename="kitwright.{kind}"', "X-Content-Type-Options": "nosniff"}
    return Response(workbook_file(service, kind), media_type=_MEDIA[kind], headers=headers)
