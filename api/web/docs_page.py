"""/docs: the contract in a viewer that the package brings, with the way to the guide above it."""

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from api.web.web_file import ASK_AGAIN, FOR_EVER, packaged

_FOLDER = "docs"
_VIEWER = "rapidoc-9.3.8.js"
_KEPT = (_VIEWER, "rapidoc-9.3.8.LICENSE.txt")  # their names carry their version
_FILES = (*_KEPT, "viewer.js")
# the viewer writes style into its elements, and asks the service what a reader tries out
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'unsafe-inline'; img-src 'self' data:; connect-src 'self'; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)

router = APIRouter(include_in_schema=False)


@router.get("/docs")
async def get_docs(request: Request) -> Response:
    """Return the page of the contract."""
    page = packaged(f"{_FOLDER}/index.html")
    return page.response(request, cache=ASK_AGAIN, headers={"Content-Security-Policy": _POLICY})


@router.get("/docs/{name}")
async def get_docs_file(request: Request, name: str) -> Response:
    """Return the viewer, its licence, or the script that starts it."""
    if name not in _FILES:
        raise HTTPException(404, f"the contract's viewer has no file {name!r}")
    return packaged(f"{_FOLDER}/{name}").response(request, cache=FOR_EVER if name in _KEPT else ASK_AGAIN, headers={})
