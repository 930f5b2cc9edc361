"""/embed/: <kitwright-kit> as versioned, immutable modules, and the frame for hosts without modules."""

from functools import cache
from string import Template
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import Response

from api.settings.settings import Settings
from api.web.web_file import ASK_AGAIN, FOR_EVER, WebFile, packaged

_VERSIONS = ("1.0.0", "1.1.0", "1.2.0", "1.3.0", "1.4.0", "1.5.0")  # oldest first; bytes that were released once stay
_FILES = ("kitwright.js", "frame.js")
_FOR_ANY_ORIGIN = {"Access-Control-Allow-Origin": "*", "Cross-Origin-Resource-Policy": "cross-origin"}
PAGE_HEADERS = {"Permissions-Policy": "camera=(), geolocation=(), microphone=()"}
_FRAME_POLICY = (
    "default-src 'none'; script-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; "
    "require-trusted-types-for 'script'; trusted-types 'none'; frame-ancestors "
)

router = APIRouter(prefix="/embed", include_in_schema=False)


@cache
def module(version: str, name: str) -> WebFile:
    """Return a file of a version of the element.

    Raises:
        KeyError: there is no such version or file.
    """
    if version not in _VERSIONS or name not in _FILES:
        raise KeyError(f"{version}/{name}")
    return packaged(f"embed/v{version}/{name}")


@router.get("/")
async def get_inventory(request: Request) -> Any:
    """Return every version: its address and the hash that pins its bytes."""
    base = f"{request.base_url}embed/"
    items = [
        {
            "version": version,
            "url": f"{base}v{version}/kitwright.js",
            "integrity": module(version, "kitwright.js").integrity,
            "bytes": len(module(version, "kitwright.js").body),
        }
        for version in _VERSIONS
    ]
    return {"items": items, "next": None}


@router.get("/v{version}/{name}")
async def get_module(request: Request, version: str, name: str) -> Response:
    """Return a file of a version, to be kept for ever."""
    try:
        found = module(version, name)
    except KeyError as error:
        raise HTTPException(404, f"version {version!r} of the embed has no file {name!r}") from error
    return found.response(request, cache=FOR_EVER, headers=_FOR_ANY_ORIGIN)


@router.get("/frame")
async def get_frame(request: Request) -> Response:
    """Return a page that holds nothing but the newest element, for an iframe."""
    settings: Settings = request.app.state.settings
    policy = _FRAME_POLICY + " ".join(("'self'", *settings.frame_ancestors))
    return _frame_page().response(request, cache=ASK_AGAIN, headers={"Content-Security-Policy": policy, **PAGE_HEADERS})


@cache
def _frame_page() -> WebFile:
    """Return the frame, pinned to the bytes of the newest version."""
    page = packaged("frame.html")
    pinned = {name.removesuffix(".js"): module(_VERSIONS[-1], name).integrity for name in _FILES}
    text = Template(page.body.decode()).substitute(version=_VERSIONS[-1], **pinned)
    return WebFile(text.encode(), page.media_type)
