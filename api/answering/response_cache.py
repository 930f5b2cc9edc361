"""A question asked again, word for word, is answered from memory before anything of it is read."""

from dataclasses import dataclass

from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.json_lines import LINES_TYPE as JSON_LINES
from api.http.json_lines import line_of
from api.http.media import wants_lines
from api.http.preference import prefers_async
from api.http.problem_details import problem_for
from api.questions.registry import ROWS
from api.settings.metrics import Metrics
from api.solving.bounded_memory import Memory, key_of

PATHS = frozenset(question.address for question in ROWS)
LONGEST_ASKED = 262_144  # bytes of a body that is looked up; a trip with a thousand tools of its own is shorter
_UNPROVEN = (b'"status":"feasible"', b'"status":"not_settled"', b'"not_settled":["')  # who asks again may hope for more
_PLACE = "kitwright.place"
_NO_PROGRESS = line_of("progress", b'{"solves":0,"seconds":0.0}')
_Headers = list[tuple[bytes, bytes]]
_HEADERS: _Headers = [(b"content-type", b"application/json"), (b"server-timing", b"solve;dur=0.0")]


@dataclass(frozen=True)
class _Place:
    """Where the answer to a request is to be kept."""

    memory: Memory
    key: bytes

    def keep(self, answer: bytes) -> None:
        """Keep the answer, if it is a final one."""
        if not any(one in answer for one in _UNPROVEN):
            self.memory.keep(self.key, answer)


def place_of(request: Request) -> _Place | None:
    """Return where the answer to a request is to be kept, if anywhere."""
    place: _Place | None = request.scope.get(_PLACE)
    return place


def keep_nothing(request: Request) -> None:
    """Note that the answer to a request does not follow from its words alone."""
    request.scope[_PLACE] = None


class ResponseCache:
    """Answers what it remembers; else makes a place for the answer, and hands on what was read of the request."""

    def __init__(self, app: ASGIApp, *, memory: Memory, metrics: Metrics) -> None:
        self.app = app
        self.memory = memory
        self.metrics = metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through, or answer it."""
        asked = scope["type"] == "http" and scope["method"] == "POST" and scope["path"] in PATHS
        if not asked or prefers_async(Headers(scope=scope)):
            await self.app(scope, receive, send)
            return
        read: list[Message] = []
        try:
            body = await _body_of(receive, read)
        except HTTPException as error:
            await problem_for(Request(scope), error)(scope, receive, send)
            return
        if body is not None:
            key = key_of(scope["path"].encode(), scope["query_string"], body)
            if (known := self.memory.find(key)) is not None:
                self.metrics.recalled.inc()
                scope["route"] = _Known(scope["path"])
                headers, told = _by_lines(known) if _wants_lines(scope) else _whole(known)
                await send({"type": "http.response.start", "status": 200, "headers": headers})
                await send({"type": "http.response.body", "body": told})
                return
            scope[_PLACE] = _Place(self.memory, key)
        read.reverse()

        async def receive_again() -> Message:
            return read.pop() if read else await receive()

        await self.app(scope, receive_again, send)


@dataclass(frozen=True)
class _Known:
    """The route of an answer from memory, for the log."""

    path: str


def _wants_lines(scope: Scope) -> bool:
    """Tell whether the caller wants lines of JSON."""
    return wants_lines(Headers(scope=scope).get("accept", "*/*"))


async def _body_of(receive: Receive, read: list[Message]) -> bytes | None:
    """Return the whole body, or None where it is too long or does not come; note what was read.

    Raises:
        HTTPException: it is larger than any may be, or late.
    """
    size = 0
    while True:
        message = await receive()
        read.append(message)
        size += len(message.get("body", b""))
        if message["type"] != "http.request" or size > LONGEST_ASKED:
            return None
        if not message.get("more_body", False):
            return b"".join(one.get("body", b"") for one in read)


def _whole(answer: bytes) -> tuple[_Headers, bytes]:
    """Return the headers and the body of an answer from memory; a list of its own, since others add to it."""
    return [(b"content-length", b"%d" % len(answer)), *_HEADERS], answer


def _by_lines(answer: bytes) -> tuple[_Headers, bytes]:
    """Return the headers and the body of an answer from memory by lines of JSON: no progress, and the answer."""
    return [(b"content-type", JSON_LINES.encode())], _NO_PROGRESS + line_of("answer", answer)
