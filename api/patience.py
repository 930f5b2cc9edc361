"""Slow clients: a connection that owes the service bytes, or takes none, is cut off in time.

uvicorn bounds idle connections alone: not the head of a request that comes a byte at a time, nor a caller who reads
nothing of an answer. The body of a request is bounded in api/gate.py, which can still say so.
"""

from asyncio import TimerHandle
from typing import Any

import h11
from uvicorn.protocols.http.h11_impl import H11Protocol


def patient(seconds: float) -> type[H11Protocol]:
    """Return uvicorn's protocol with bounds of so many seconds."""

    class Patient(H11Protocol):
        head: TimerHandle | None = None
        reading: TimerHandle | None = None

        def connection_made(self, transport: Any) -> None:
            super().connection_made(transport)
            self.await_head()

        def data_received(self, data: bytes) -> None:
            super().data_received(data)
            if self.conn.their_state is h11.IDLE:
                self.await_head()
            else:
                self.head = self.ended(self.head)

        def pause_writing(self) -> None:
            super().pause_writing()
            self.reading = self.reading or self.loop.call_later(seconds, self.transport.abort)

        def resume_writing(self) -> None:
            super().resume_writing()
            self.reading = self.ended(self.reading)

        def connection_lost(self, exc: Exception | None) -> None:
            self.head, self.reading = self.ended(self.head), self.ended(self.reading)
            super().connection_lost(exc)

        @staticmethod
        def ended(timer: TimerHandle | None) -> TimerHandle | None:
            if timer is not None:
                timer.cancel()
            return None

        def await_head(self) -> None:
            self.head = self.head or self.loop.call_later(seconds, self.transport.abort)

    return Patient
