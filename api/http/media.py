"""The two forms that tables come and go in, JSON and CSV: what a reader asks for, and what a writer sends."""

import re
from typing import Annotated, Any

from fastapi import Depends, HTTPException, Request

from api.http.json_lines import LINES_TYPE as JSON_LINES
from catalog.tables.table import ABOUT_TABLES

JSON, CSV = "application/json", "text/csv"
_OWN_MEDIA = {"/v1/sheet/trips": CSV, "/v1/kits/batch": JSON_LINES}
_TABLES = re.compile(r"(PUT /v1/catalogs/[^/]+|POST /v1/catalogs/[^/]+/trials|POST /v1/sheet/trips)")


def takes_table(request: Request) -> bool:
    """Tell whether the address of a request takes a table as well."""
    return _TABLES.fullmatch(f"{request.method} {request.url.path}") is not None


def wanted_media(request: Request) -> str:
    """Return the media type of bodies at the address of a request."""
    return _OWN_MEDIA.get(request.url.path, JSON)


async def _body_bytes(request: Request) -> bytes:
    """Return the body as it came: reading a large one is left to a thread."""
    return await request.body()


def media_of(request: Request) -> str:
    """Return the media type of a body, without its parameters."""
    return request.headers.get("content-type", "").split(";")[0].strip().lower()


RawBody = Annotated[bytes, Depends(_body_bytes)]
Media = Annotated[str, Depends(media_of)]


def raw_body(form: str, examples: dict[str, Any], table: str) -> dict[str, Any]:
    """Return the declaration of a body that is JSON of a form, or a table; with examples of both."""
    content = {
        JSON: {"schema": {"$ref": f"#/components/schemas/{form}"}, "examples": examples},
        CSV: {"schema": {"type": "string", "description": ABOUT_TABLES}, "example": table},
    }
    return {"requestBody": {"required": True, "content": content}}


def wants_csv(request: Request) -> bool:
    """Tell whether a reader asks for CSV by Accept (RFC 9110, 12.5.1); JSON where both are as good.

    Raises:
        HTTPException: 406 where it takes neither.
    """
    accept = request.headers.get("accept", "*/*")
    as_json, as_csv = quality(accept, JSON), quality(accept, CSV)
    if not max(as_json, as_csv):
        raise HTTPException(406, f"this address answers with {JSON} or {CSV}")
    return as_csv > as_json


def wants_lines(accept: str) -> bool:
    """Tell whether a reader asks for lines of JSON by Accept; JSON where both are as good."""
    return quality(accept, JSON_LINES) > quality(accept, JSON)


def quality(accept: str, media: str) -> float:
    """Return how much a reader wants a media type: the weight of the most specific range that it falls in."""
    wildcard = media.split("/")[0] + "/*"
    found: dict[str, float] = {}
    for part in accept.split(","):
        name, *parameters = (piece.strip().lower() for piece in part.split(";"))
        weights = [piece[2:] for piece in parameters if piece.startswith("q=")]
        found[name] = _weight_of(weights[0]) if weights else 1.0
    return next((found[name] for name in (media, wildcard, "*/*") if name in found), 0.0)


def _weight_of(text: str) -> float:
    """Return a weight of 0 to 1; one that is no number counts as none given."""
    digits = text.replace(".", "", 1)
    return min(float(text), 1.0) if digits.isascii() and digits.isdigit() else 1.0
