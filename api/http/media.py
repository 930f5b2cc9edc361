"""The two forms that tables come and go in, JSON and CSV: what a reader asks for, and what a writer sends."""

import re
from typing import Annotated, Any, Literal

from fastapi import Depends, HTTPException, Request
from fastapi.responses import Response
from pydantic import BaseModel, ConfigDict, Field

from api.http.json_lines import LINES_TYPE as JSON_LINES
from catalog.tables.table import ABOUT_TABLES, DecimalSign

JSON, CSV = "application/json", "text/csv"
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
ODS = "application/vnd.oasis.opendocument.spreadsheet"
SVG, DXF = "image/svg+xml", "image/vnd.dxf"  # as IANA lists them
_OWN_MEDIA = {
    "/v1/designs/outline.svg": SVG,
    "/v1/designs/outline.dxf": DXF,
    "/v1/sheet/trips": CSV,
    "/v1/sheet/trips.csv": CSV,
    "/v1/sheet/trips.xlsx": XLSX,
    "/v1/sheet/trips.ods": ODS,
    "/v1/kits/batch": JSON_LINES,
}
_TABLES = re.compile(r"(PUT /v1/catalogs/[^/]+|POST /v1/catalogs/[^/]+/trials|POST /v1/sheet/trips)")


class CsvQuery(BaseModel):
    """How an answer in CSV is written. Unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    decimal: DecimalSign = Field("point", description="Sign of decimals. comma: semicolons separate the cells.")
    bom: Literal["0", "1"] = Field("0", description="1: begin with a byte order mark, for programs that open the file.")


class SentTableQuery(BaseModel):
    """How a table that is sent is written. Unknown parameters are refused."""

    model_config = ConfigDict(extra="forbid")

    decimal: DecimalSign | None = Field(
        None,
        description="Sign of decimals of a CSV body; if it is left out, its numbers tell it, and what may mean two "
        "things is refused.",
    )


CSV_ANSWER: dict[int | str, dict[str, Any]] = {
    200: {"description": "The table", "content": {CSV: {"schema": {"type": "string"}}}}
}


def csv_answer(text: str, *, name: str, headers: dict[str, str] | None = None, bom: bool = False) -> Response:
    """Return a table with a header line as a file of a name."""
    told = {"Content-Disposition": f'attachment; filename="{name}"', "X-Content-Type-Options": "nosniff"}
    media = f"{CSV}; charset=utf-8; header=present"
    return Response(f"\ufeff{text}" if bom else text, media_type=media, headers=told | (headers or {}))


def takes_table(request: Request) -> bool:
    """Tell whether the address of a request takes a table as well."""
    return _TABLES.fullmatch(f"{request.method} {request.scope['path']}") is not None


def wanted_media(request: Request) -> str:
    """Return the media type of bodies at the address of a request."""
    return _OWN_MEDIA.get(request.scope["path"], JSON)


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
    return accept != "*/*" and quality(accept, JSON_LINES) > quality(accept, JSON)


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


def takes_gzip(request: Request) -> bool:
    """Tell whether the caller takes gzip (RFC 9110, 12.5.3); a quality of 0 refuses it."""
    for part in request.headers.get("accept-encoding", "").lower().split(","):
        name, _, quality = part.replace(" ", "").partition(";q=")
        if name == "gzip":
            return not quality or quality.strip("0.") != ""
    return False
