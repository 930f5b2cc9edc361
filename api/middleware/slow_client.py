"""Slow and sly clients: a connection that owes the service bytes, or takes none, is cut off in time.

uvicorn bounds idle connections alone: not the head of a request that comes a byte at a time or never ends, nor a caller
who reads nothing of an answer. The body of a request is bounded in api/middleware/body_gate.py, which can still say so.
Its parser also takes more than HTTP/1.1 allows: trailers among the headers, other codings, an address that names
another host than Host does.
"""

from asyncio import Event, TimerHandle
from functools import cache
from typing import Any, cast

from httptools import HttpParserError, parse_url
from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from api.http.problem_details import OTHER_KINDS, PROBLEM_TYPE, Problem
from api.middleware.body_gate import WHOLE
from api.middleware.hang_up import LEFT
from api.settings.settings import Settings

_LONGEST_HEAD = 65_536  # bytes of a head that is not yet whole, or between parts of a body; h11 has the same bound
_VERSIONS = ("1.0", "1.1")
_MOST_PIPELINED = 100  # judged: requests on one connection behind one that is not answered yet


@cache
def _patience_s() -> float:
    """Return how long a connection may dawdle [s]; each worker reads it from the environment."""
    return Settings().patience_seconds


class SlowClientProtocol(HttpToolsProtocol):
    """uvicorn's fast protocol with bounds."""

    head: TimerHandle | None = None
    reading: TimerHandle | None = None
    head_bytes = 0
    in_body = False
    left: Event  # set once the caller is gone, whatever of its body is still unread

    def connection_made(self, transport: Any) -> None:
        """Wait for the first head, but not for ever."""
        super().connection_made(transport)
        self.left = Event()
        self.await_head()

    def data_received(self, data: bytes) -> None:
        """Take bytes; while they make no whole head and are no body, time runs and they are counted."""
        self.head_bytes += len(data)
        super().data_received(data)
        if self.cycle is None or self.cycle.response_complete:
            self.await_head()  # the rest of a body that was answered already has no more time than that
        if self.head_bytes > _LONGEST_HEAD and not self.transport.is_closing():
            where = "trailer" if self.in_body else "header"
            self.send_400_response(f"The {where} of the request is too long.")

    def on_header(self, name: bytes, value: bytes) -> None:
        """Take a header; a trailer is none (RFC 9110, 6.5.1)."""
        if not self.in_body:
            super().on_header(name, value)

    def on_headers_complete(self) -> None:
        """Note that a head is whole.

        Raises:
            HttpParserError: it is of another version, its body is coded in a way that is not understood, or too many
                requests wait.
        """
        self.check_head()
        super().on_headers_complete()
        cycle = self.cycle
        cast(dict[str, Any], self.scope).update({LEFT: self.left, WHOLE: lambda: not cycle.more_body})  # app: next turn
        self.head = _ended(self.head)
        self.head_bytes, self.in_body = 0, True

    def check_head(self) -> None:
        """Refuse what no HTTP/1.1 server may take; let an address name the host, whatever Host says (RFC 9112, 3.2.2).

        Raises:
            HttpParserError: as `on_headers_complete` says.
        """
        if self.parser.get_http_version() not in _VERSIONS:
            raise HttpParserError("another version")
        if len(self.pipeline) >= _MOST_PIPELINED:
            raise HttpParserError("too many requests that wait")
        if any(name == b"transfer-encoding" and value.lower() != b"chunked" for name, value in self.headers):
            raise HttpParserError("a transfer coding that is not understood")  # RFC 9112, 6.1
        if not self.url.startswith((b"/", b"*")):
            host = _host_of(self.url)
            self.headers[:] = [(name, host if name == b"host" else value) for name, value in self.headers]

    def on_body(self, body: bytes) -> None:
        """Take a part of a body: what comes between two such is counted anew."""
        self.head_bytes = 0
        super().on_body(body)

    def on_message_complete(self) -> None:
        """Note that a request is whole; reading, which a large body pauses, goes on: a caller who leaves is heard."""
        super().on_message_complete()
        self.head_bytes, self.in_body = 0, False
        if not self.pipeline:
            self.flow.resume_reading()

    def send_400_response(self, msg: str) -> None:
        """Refuse what is no HTTP, as every failure is told; say nothing where it would pass for another's answer."""
        pending = self.cycle is not None and not self.cycle.response_complete
        if pending and (self.pipeline or not self.in_body or self.cycle.response_started):
            self.transport.close()
            return
        kind = "unreadable-request"
        status, title = OTHER_KINDS[kind]
        told = Problem(
            type=f"/problems/{kind}", title=title, status=status, detail=msg.rstrip("."), instance="/", errors=[]
        )
        body = told.model_dump_json().encode()
        head = f"HTTP/1.1 400 Bad Request\r\ncontent-type: {PROBLEM_TYPE}\r\ncontent-length: {len(body)}\r\n"
        self.transport.write(head.encode() + b"cache-control: no-store\r\nconnection: close\r\n\r\n" + body)
        self.transport.close()

    def pause_writing(self) -> None:
        """Begin to wait for a caller who reads nothing."""
        super().pause_writing()
        self.reading = self.reading or self.loop.call_later(_patience_s(), self.transport.abort)

    def resume_writing(self) -> None:
        """Note that the caller reads on."""
        super().resume_writing()
        self.reading = _ended(self.reading)

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait no more."""
        self.head, self.reading = _ended(self.head), _ended(self.reading)
        self.left.set()
        super().connection_lost(exc)

    def await_head(self) -> None:
        """Begin to wait for the next head, unless that has begun."""
        self.head = self.head or self.loop.call_later(_patience_s(), self.transport.abort)


def _host_of(address: bytes) -> bytes:
    """Return the host that a whole address names, with its user and port as they stand there."""
    found = parse_url(address)
    host = b"[%b]" % found.host if b":" in (found.host or b"") else found.host or b""
    user = b"" if found.userinfo is None else found.userinfo + b"@"
    return user + host + (b"" if found.port is None else b":%d" % found.port)


def _ended(timer: TimerHandle | None) -> TimerHandle | None:
    """Stop a timer; none is left."""
    if timer is not None:
        timer.cancel()
    return None
