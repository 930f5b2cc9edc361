"""Slow clients: a connection that owes the service bytes, or takes none, is cut off in time.

uvicorn bounds idle connections alone: not the head of a request that comes a byte at a time or never ends, nor a caller
who reads nothing of an answer. The body of a request is bounded in api/middleware/body_gate.py, which can still say so.
"""

from asyncio import Event, TimerHandle
from functools import cache
from typing import Any, cast

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

from api.http.problem_details import OTHER_KINDS, PROBLEM_TYPE, Problem
from api.middleware.hang_up import LEFT
from api.settings.settings import Settings

_LONGEST_HEAD = 65_536  # bytes of a head that is not yet whole; h11 has the same bound


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
        """Take bytes; while they make no whole head, time runs and they are counted."""
        super().data_received(data)
        if not (self.cycle is None or self.cycle.response_complete):
            return
        self.await_head()  # the rest of a body that was answered already has no more time than that
        if self.in_body:
            return
        self.head_bytes += len(data)
        if self.head_bytes > _LONGEST_HEAD and not self.transport.is_closing():
            self.send_400_response("The header of the request is too long.")

    def on_headers_complete(self) -> None:
        """Note that a head is whole."""
        super().on_headers_complete()
        cast(dict[str, Any], self.scope)[LEFT] = self.left  # the app begins in the next turn of the loop
        self.head = _ended(self.head)
        self.head_bytes, self.in_body = 0, True

    def on_message_complete(self) -> None:
        """Note that a request is whole."""
        super().on_message_complete()
        self.in_body = False

    def send_400_response(self, msg: str) -> None:
        """Refuse what is no HTTP, as every failure is told."""
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


def _ended(timer: TimerHandle | None) -> TimerHandle | None:
    """Stop a timer; none is left."""
    if timer is not None:
        timer.cancel()
    return None
