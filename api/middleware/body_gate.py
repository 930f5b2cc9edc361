"""What a request must pass before it reaches an endpoint: size, media type, and the methods HTTP asks for."""

from collections.abc import Callable
from time import monotonic

import anyio
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.json_lines import LINES_TYPE as JSON_LINES
from api.http.media import CSV, JSON, media_of, takes_table, wanted_media
from api.http.preference import prefers_async
from api.http.problem_details import allowed_methods, problem, takes

_WITH_BODY = ("POST", "PUT", "PATCH")
WHOLE = "kitwright.whole"  # in the scope: of our own server, tells whether all of a body has come
_MOST_TAKEN = 1000  # judged: addresses that are remembered, some of which hold names of callers
_LONGEST_TAKEN = 200  # judged: characters of one


class Gate:
    """Refuses bodies too large or of the wrong type, answers OPTIONS, and answers HEAD as GET without a body.

    A body of JSON lines has no end: there each line is measured. As a job it is a body like others.
    """

    def __init__(self, app: ASGIApp, *, max_body_bytes: int, most_held_bytes: int, patience_s: float) -> None:
        self.app = app
        self.max_body_bytes = max_body_bytes
        self.most_held_bytes = max(most_held_bytes, max_body_bytes)
        self.held_bytes = 0  # of all bodies that are taken now
        self.patience_s = patience_s
        self.taken = set[tuple[str, str]]()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through; what no address takes is left to the app, which says 404 or 405."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        if (answer := self.answer(request)) is not None:
            await answer(scope, receive, send)
            return
        if scope["method"] == "HEAD":
            scope, send = {**scope, "method": "GET"}, _without_body(send)
        endless = wanted_media(request) == JSON_LINES and not prefers_async(request.headers)
        if endless:
            await self.app(scope, self.piecewise(receive), send)
            return
        body = _Body(self)
        try:
            await self.app(scope, body.received(receive, scope.get(WHOLE, _unknown)), send)
        finally:
            self.held_bytes -= body.taken

    def answer(self, request: Request) -> Response | None:
        """Return the answer to OPTIONS, or the refusal of a body, or None where the app is to answer."""
        if request.method == "OPTIONS" and (methods := allowed_methods(request)):
            return Response(status_code=204, headers={"Allow": ", ".join(methods)})
        if request.method not in _WITH_BODY or not self.takes(request):
            return None
        refusal = self.refusal(request)
        return None if refusal is None else problem(request, *refusal)

    def takes(self, request: Request) -> bool:
        """Tell whether some address takes a request; of the first such addresses it is remembered."""
        at = request.method, request.scope["path"]
        if at in self.taken:
            return True
        found = takes(request, request.method)
        if found and len(self.taken) < _MOST_TAKEN and len(at[1]) <= _LONGEST_TAKEN:
            self.taken.add(at)
        return found

    def refusal(self, request: Request) -> tuple[int, str] | None:
        """Return status and reason where the headers already forbid this body."""
        wanted = wanted_media(request)
        length = request.headers.get("content-length", "")
        endless = wanted == JSON_LINES and not prefers_async(request.headers)
        if not endless and length.isdecimal() and int(length) > self.max_body_bytes:
            return 413, f"the body has {length} bytes; the limit is {self.max_body_bytes} bytes"
        if "content-encoding" in request.headers:
            return 415, f"the body is compressed; send it uncompressed as {wanted}"
        media = media_of(request)
        if media == CSV and takes_table(request):
            return None
        if media != wanted and not (wanted == JSON and media.startswith("application/") and media.endswith("+json")):
            found = f"it was {media!r}" if media else "there was none"
            return 415, f"send Content-Type: {wanted} ({found})"
        return None

    def piecewise(self, receive: Receive) -> Receive:
        """Return a receive that stops a body whose next piece does not come."""

        async def receive_soon() -> Message:
            return await _in_time(receive, self.patience_s)

        return receive_soon


class _Body:
    """One body as it is taken, counted with all others that are taken now."""

    def __init__(self, gate: Gate) -> None:
        self.gate = gate
        self.taken = 0

    def received(self, receive: Receive, has_come: Callable[[], bool]) -> Receive:
        """Return a receive that stops a body as it outgrows the limit, takes too long, or is one too many.

        It raises an HTTPException since that is the one kind of error that FastAPI lets out of its reading.
        """
        gate, whole, end = self.gate, False, 0.0

        async def receive_counted() -> Message:
            nonlocal whole, end
            end = end or monotonic() + gate.patience_s  # from the first look: an app may come to it late
            message = await (receive() if whole or has_come() else _in_time(receive, end - monotonic()))
            whole = not message.get("more_body", False)
            size = len(message.get("body", b""))
            self.taken += size
            gate.held_bytes += size
            if self.taken > gate.max_body_bytes:
                detail = f"the body has more than {gate.max_body_bytes} bytes, the limit"
                raise HTTPException(413, detail, {"Connection": "close"})
            if gate.held_bytes > gate.most_held_bytes:
                detail = "too many large bodies arrive at once; send it again"
                raise HTTPException(503, detail, {"Retry-After": "1", "Connection": "close"})
            return message

        return receive_counted


def _unknown() -> bool:
    """Tell that more of a body may come."""
    return False


async def _in_time(receive: Receive, seconds: float) -> Message:
    """Return the next message, or raise a 408 where it does not come in time."""
    with anyio.CancelScope(deadline=anyio.current_time() + seconds):
        return await receive()
    raise HTTPException(408, "the body of the request did not arrive in time", {"Connection": "close"})


def _without_body(send: Send) -> Send:
    """Return a send that keeps the headers of an answer and drops its body."""

    async def headers_only(message: Message) -> None:
        if message["type"] == "http.response.body":
            message = {
                "type": "http.response.body",
                "body": b"",
                "more_body": message.get("more_body", False),
            }
        await send(message)

    return headers_only
