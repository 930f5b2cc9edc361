"""GET /v1/sheet/functions.oxt and .js: functions for cells, made for the address that they are fetched from."""

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.cells.calc_add_in import add_in_for
from api.cells.online_script import script_for
from api.settings.service_address import address_of

_OXT, _SCRIPT = "application/vnd.openofficeorg.extension", "text/javascript"
router = APIRouter(prefix="/v1/sheet", tags=["sheet"])


@router.get(
    "/functions.oxt",
    summary="Get the functions for cells of Calc, as an add-in",
    response_class=Response,
    responses={200: {"content": {_OXT: {"schema": {"type": "string", "format": "binary"}}}}},
)
async def get_functions_oxt(request: Request) -> Response:
    """Return an add-in for Calc with the functions KITWRIGHT, KITWRIGHT_TRIPS and KITWRIGHT_STATE.

    `unopkg add kitwright.oxt` installs it, or Extensions in the program. It asks this service and no other.
    """
    return _file(add_in_for(address_of(request.base_url)), _OXT, "kitwright.oxt")


@router.get(
    "/functions.js",
    summary="Get the functions for cells of sheets in the cloud, as a script",
    response_class=Response,
    responses={200: {"content": {_SCRIPT: {"schema": {"type": "string"}}}}},
)
async def get_functions_js(request: Request) -> Response:
    """Return the same functions as a script to paste into the script editor of a sheet in the cloud.

    Such a sheet fetches from its own servers, so that the service needs a public https address.
    """
    return _file(script_for(address_of(request.base_url)).encode(), f"{_SCRIPT}; charset=utf-8", "kitwright.js")


def _file(body: bytes, media: str, name: str) -> Response:
    """Return a file to keep."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    return Response(body, media_type=media, headers=headers)
