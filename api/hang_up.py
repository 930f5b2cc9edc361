"""Callers who hang up: the work on their request ends."""

import asyncio
import logging
from collections.abc import Callable

import anyio
from anyio.streams.memory import MemoryObjectReceiveStream, MemoryObjectSendStream
from starlette.types import ASGIApp, Message, Receive, Scope, Send

log = logging.getLogger("kitwright")

GONE: Message = {"type": "http.disconnect"}


class HangUp:
    """Reads a request one message ahead, so that it learns of a caller's leaving while the app is at work."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through, until it is answered or nobody waits for the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        sender, taker = anyio.create_memory_object_stream[Message](1)
        answered = False

        async def send_watched(message: Message) -> None:
            nonlocal answered
            answered = message["type"] == "http.response.body" and not message.get("more_body", False)
            await send(message)

        with anyio.CancelScope() as work:
            watch = asyncio.create_task(watched(receive, sender, lambda: None if answered else work.cancel()))
            try:
                await self.app(scope, taken(taker), send_watched)
            finally:
                watch.cancel()
                sender.close()
                taker.close()
        if work.cancelled_caught:
            log.info("the caller hung up at %s %s", scope["method"], scope["path"])


async def watched(receive: Receive, sender: MemoryObjectSendStream[Message], gone: Callable[[], None]) -> None:
    """Hand messages on until the caller has gone."""
    with sender:
        while (message := await receive())["type"] != GONE["type"]:
            await sender.send(message)
    gone()


def taken(taker: MemoryObjectReceiveStream[Message]) -> Receive:
    """Return the receive of what was handed on."""

    async def receive() -> Message:
        try:
            return await taker.receive()
        except anyio.EndOfStream:
            return GONE

    return receive
