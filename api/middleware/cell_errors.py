"""With errors=text, every failure of an address for cells is a 200 with words, whatever it comes from."""

import json
from urllib.parse import parse_qsl

from starlette.datastructures import Headers
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.cell_words import problem_in_words

_CELLS = "/v1/sheet/"
_ASKED = ("errors", "text")
_KEPT = ("ratelimit", "ratelimit-policy", "retry-after")


class CellErrors:
    """Puts words in the place of problems where the caller shows nothing else."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if not _wants_words(scope):
            await self.app(scope, receive, send)
            return
        start: Message | None = None
        body = b""

        async def send_worded(message: Message) -> None:
            nonlocal start, body
            if message["type"] == "http.response.start" and message["status"] >= 400:
                start = message
                return
            if start is None:
                await send(message)
                return
            body += message.get("body", b"")
            if not message.get("more_body"):
                media = "text/csv" if scope["path"].endswith(".csv") else "text/plain"
                await _worded(start, body, media)(scope, receive, send)

        await self.app(scope, receive, send_worded)


def _wants_words(scope: Scope) -> bool:
    """Tell whether a request is of a cell that shows words."""
    if scope["type"] != "http" or not scope["path"].startswith(_CELLS) or scope["method"] not in ("GET", "HEAD"):
        return False
    return _ASKED in parse_qsl(scope["query_string"].decode("latin-1"))


def _worded(start: Message, body: bytes, media: str) -> Response:
    """Return the failure in words, of the media type that the address has."""
    headers = Headers(raw=start["headers"])
    words = problem_in_words(json.loads(body), headers.get("retry-after")) if body else ""  # HEAD has no body
    kept = {name: headers[name] for name in _KEPT if name in headers}
    return Response(words, media_type=media, headers=kept | {"Cache-Control": "no-store"})
