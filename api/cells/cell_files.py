"""GET /v1/sheet/functions.oxt and .js: functions for cells, made for the address that they are fetched from."""

from functools import cache
from importlib.resources import files

from fastapi import APIRouter, Request
from fastapi.responses import Response

from api.cells.calc_add_in import calc_add_in
from api.http.service_address import named_address, usual_address

OXT, SCRIPT = "application/vnd.openofficeorg.extension", "text/javascript"
router = APIRouter(prefix="/v1/sheet", tags=["sheet"])


@router.get(
    "/functions.oxt",
    summary="Get the functions for cells of Calc, as an add-in",
    response_class=Response,
    responses={200: {"content": {OXT: {"schema": {"type": "string", "format": "binary"}}}}},
)
async def get_functions_oxt(request: Request) -> Response:
    """Return an add-in for Calc with the functions KITWRIGHT, KITWRIGHT_TRIPS and KITWRIGHT_STATE.

    `unopkg add kitwright.oxt` installs it, or Extensions in the program. It asks this service and no other.
    """
    return _file(calc_add_in(named_address(request)), OXT, "kitwright.oxt")


@router.get(
    "/functions.js",
    summary="Get the functions for cells of sheets in the cloud, as a script",
    response_class=Response,
    responses={200: {"content": {SCRIPT: {"schema": {"type": "string"}}}}},
)
async def get_functions_js(request: Request) -> Response:
    """Return the same functions as a script to paste into the script editor of a sheet in the cloud.

    Such a sheet fetches from its own servers, so that the service needs a public https address.
    """
    return _file(online_script(named_address(request)).encode(), f"{SCRIPT}; charset=utf-8", "kitwright.js")


def online_script(service: str) -> str:
    """Return the script that asks the service at an address."""
    return _script().replace(f'"{usual_address()}"', f'"{service}"', 1)


@cache
def _script() -> str:
    """Return the script as it is packed, with the usual address."""
    return files("api").joinpath("cells", "online", "functions.js").read_text("utf-8")


def _file(body: bytes, media: str, name: str) -> Response:
    """Return a file to keep."""
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    return Response(body, media_type=media, headers=headers)
