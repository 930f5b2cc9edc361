"""Public lists and the contract go out in gzip with an entity tag.

They hold no secret that the length of an answer could give away.
"""

import gzip
import hashlib
from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.media import takes_gzip
from api.http.precondition import Condition

_LISTS = ("/openapi.json", "/v1/assumptions", "/v1/camp-work", "/v1/designs", "/v1/methods", "/v1/tools", "/v1/woods")
_OK = 200
_LEAST_BYTES = 1000  # common practice, no source: a shorter answer fits one packet as it is


class PackedLists:
    """Packs and tags answers of GET to the contract and to the lists of the built-in tables; all else passes."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if scope["type"] != "http" or scope["method"] != "GET" or scope["path"] not in _LISTS:
            await self.app(scope, receive, send)
            return
        request, body = Request(scope), bytearray()
        start: dict[str, Any] = {}

        async def gather(message: Message) -> None:
            if message["type"] == "http.response.start":
                start.update(message)
                return
            body.extend(message.get("body", b""))
            if not message.get("more_body"):
                await _sent(request, start, bytes(body))(scope, receive, send)

        await self.app(scope, receive, gather)


def _sent(request: Request, start: Mapping[str, Any], body: bytes) -> Response:
    """Return a gathered answer: 304 where the caller holds it, else packed where the caller takes that."""
    headers = MutableHeaders(raw=list(start["headers"]))
    status = int(start["status"])
    if status != _OK:
        return _answer(status, headers, body)
    pack = len(body) >= _LEAST_BYTES and takes_gzip(request)
    stem = hashlib.sha256(body).hexdigest()[:32]
    headers["ETag"] = f'"{stem}-gzip"' if pack else f'"{stem}"'  # other bytes, another strong tag (RFC 9110, 8.8.3)
    headers.add_vary_header("Accept-Encoding")
    if Condition(None, request.headers.get("if-none-match")).known(headers["ETag"]):
        for name in ("content-length", "content-type"):
            del headers[name]
        return _answer(304, headers, b"")
    if pack:
        body = _packed(body)
        headers["Content-Encoding"] = "gzip"
        headers["Content-Length"] = str(len(body))
    return _answer(status, headers, body)


@lru_cache(maxsize=len(_LISTS))
def _packed(body: bytes) -> bytes:
    """Return bytes in gzip; those asked for last are kept, since most are asked for again."""
    return gzip.compress(body, mtime=0)


def _answer(status: int, headers: MutableHeaders, body: bytes) -> Response:
    """Return an answer with exactly these headers."""
    made = Response(body, status_code=status)
    made.raw_headers = headers.raw
    return made
