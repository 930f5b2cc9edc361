"""GET /v1/sheet/workbook.ods and .xlsx: the planning workbook, made for the address it is fetched from."""

import re
from functools import lru_cache
from typing import Literal

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.settings.settings import Settings
from api.workbook.ods import ods_of
from api.workbook.planner_sheet import planner
from api.workbook.xlsx import xlsx_of

router = APIRouter(prefix="/v1/sheet", tags=["sheet"])
Kind = Literal["ods", "xlsx"]
MEDIA: dict[Kind, str] = {
    "ods": "application/vnd.oasis.opendocument.spreadsheet",
    "xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}
ADDRESS = re.compile(r"https?://[A-Za-z0-9._:\[\]-]{1,255}")  # what a Host header makes of it may be anything


@router.get(
    "/workbook.ods",
    summary="The planning workbook as .ods",
    response_class=Response,
    responses={200: {"content": {MEDIA["ods"]: {"schema": {"type": "string", "format": "binary"}}}}},
)
def get_workbook_ods(request: Request) -> Response:
    """Return a workbook that asks this service: inputs, kit, needs, shares, front, cautions."""
    return workbook(request, "ods")


@router.get(
    "/workbook.xlsx",
    summary="The planning workbook as .xlsx",
    response_class=Response,
    responses={200: {"content": {MEDIA["xlsx"]: {"schema": {"type": "string", "format": "binary"}}}}},
)
def get_workbook_xlsx(request: Request) -> Response:
    """Return the same workbook in the other form."""
    return workbook(request, "xlsx")


def workbook(request: Request, kind: Kind) -> Response:
    """Return the workbook as a file to keep."""
    named = str(request.base_url).rstrip("/")
    service = named if ADDRESS.fullmatch(named) else usual_address()
    headers = {"Content-Disposition": f'attachment; filename="kitwright.{kind}"', "X-Content-Type-Options": "nosniff"}
    return Response(workbook_file(service, kind), media_type=MEDIA[kind], headers=headers)


def usual_address() -> str:
    """Return where the service is usually to be found."""
    fields = Settings.model_fields
    return f"http://{fields['host'].default}:{fields['port'].default}"


@lru_cache(maxsize=8)
def workbook_file(service: str, kind: Kind) -> bytes:
    """Return the planning workbook as a file; it is made in half a second, so the latest are kept."""
    made = planner(service)
    return ods_of(made) if kind == "ods" else xlsx_of(made)
