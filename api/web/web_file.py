"""Files that browsers fetch: their bytes, their hash, and how long they may be kept."""

import gzip
import hashlib
from base64 import b64encode
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, cached_property
from importlib.resources import files
from pathlib import PurePosixPath

from starlette.requests import Request
from starlette.responses import Response

from api.http.media import takes_gzip
from api.http.precondition import Condition

MEDIA_TYPES = {
    ".css": "text/css; charset=utf-8",
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
}
FOR_EVER = "public, max-age=31536000, immutable"
ASK_AGAIN = "no-cache"


@dataclass(frozen=True)
class WebFile:
    """Bytes with their media type; they never change while the process lives."""

    body: bytes
    media_type: str

    @cached_property
    def integrity(self) -> str:
        """The hash that pins the bytes, as a script tag takes it (W3C Subresource Integrity)."""
        return f"sha384-{b64encode(hashlib.sha384(self.body).digest()).decode()}"

    @cached_property
    def inline_source(self) -> str:
        """The source by which a page's policy allows these bytes inside it: style or script (W3C CSP, Level 3)."""
        return f"'sha256-{b64encode(hashlib.sha256(self.body).digest()).decode()}'"

    @cached_property
    def etag(self) -> str:
        """A strong entity tag (RFC 9110, 8.8.3)."""
        return f'"{hashlib.sha256(self.body).hexdigest()[:32]}"'

    @cached_property
    def packed(self) -> bytes:
        """The bytes in gzip."""
        return gzip.compress(self.body, mtime=0)

    def response(self, request: Request, *, cache: str, headers: Mapping[str, str]) -> Response:
        """Return the bytes, in gzip where the caller takes it, or 304 where the caller holds them already."""
        pack = takes_gzip(request)
        etag = f'{self.etag[:-1]}-gzip"' if pack else self.etag  # other bytes, another strong tag
        sent = {"Cache-Control": cache, "ETag": etag, "Vary": "Accept-Encoding", **headers}
        if Condition(None, request.headers.get("if-none-match")).known(etag):
            return Response(status_code=304, headers=sent)
        if pack:
            return Response(self.packed, media_type=self.media_type, headers={"Content-Encoding": "gzip", **sent})
        return Response(self.body, media_type=self.media_type, headers=sent)


def edition_of(assets: Mapping[str, WebFile], *more: bytes) -> str:
    """Return a name for the bytes of all files of a page together, and what else is part of it."""
    whole = hashlib.sha256()
    for name, file in assets.items():
        whole.update(name.encode() + b"\0" + file.body + b"\0")
    for part in more:
        whole.update(part)
    return whole.hexdigest()[:16]


@cache
def drawn_script() -> WebFile:
    """Return what stands at the end of a page and says when its first frame is drawn."""
    return packaged("drawn.js")


def packaged(name: str) -> WebFile:
    """Return a file of api/web by its path there."""
    body = files("api").joinpath("web", *PurePosixPath(name).parts).read_bytes()
    return WebFile(body, MEDIA_TYPES[PurePosixPath(name).suffix])
