"""Callers who hang up: the work on their request ends."""

import asyncio
import logging

import anyio
from anyio.streams.memory import MemoryObjectReceiveStream, MemoryObjectSendStream
from starlette.types import ASGIApp, Message, Receive, Scope, Send

_log = logging.getLogger("kitwright")

_GONE: Message = {"type": "http.disconnect"}
LEFT = "kitwright.left"  # in the scope: an event of our own server, set once the caller is gone


class HangUp:
    """Learns of a caller's leaving while the app is at work, and ends the work."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through, until it is answered or nobody waits for the answer."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        with anyio.CancelScope() as work:
            watch = _Watch(receive, send, work, scope.get(LEFT))
            watch.soon()
            try:
                await self.app(scope, watch.receive, watch.send)
            finally:
                watch.end()
        if work.cancelled_caught:
            _log.info("the caller hung up at %s %s", scope["method"], scope["path"])


class _Watch:
    """Watches while an app is at work; one that answers at once, or reads itself, needs no watch.

    Our own server tells of the end by an event. Of another server one message is read ahead, so that the end behind a
    body that the app takes its time over is read late.
    """

    def __init__(self, receive: Receive, send: Send, work: anyio.CancelScope, left: asyncio.Event | None) -> None:
        self.read = receive
        self.tell = send
        self.work = work
        self.left = left
        self.leaving: asyncio.Task[None] | None = None
        self.answered = False
        self.begin: asyncio.Handle | None = None
        self.task: asyncio.Task[None] | None = None
        self.sender: MemoryObjectSendStream[Message] | None = None
        self.taker: MemoryObjectReceiveStream[Message] | None = None

    def soon(self) -> None:
        """Begin as soon as the app waits for something."""
        self.begin = asyncio.get_running_loop().call_soon(self.begun)

    def begun(self) -> None:
        """Begin."""
        if self.left is not None:
            self.leaving = self.leaving or asyncio.get_running_loop().create_task(self.until_left(self.left))
            return
        self.sender, self.taker = anyio.create_memory_object_stream[Message](1)
        self.task = asyncio.get_running_loop().create_task(self.watched(self.sender))

    async def until_left(self, left: asyncio.Event) -> None:
        """End the work once the caller is gone."""
        await left.wait()
        if not self.answered:
            self.work.cancel()

    async def watched(self, sender: MemoryObjectSendStream[Message]) -> None:
        """Hand messages on until the caller has gone."""
        with sender:
            while (message := await self.read())["type"] != _GONE["type"]:
                await sender.send(message)
        if not self.answered:
            self.work.cancel()

    async def receive(self) -> Message:
        """Return the next message: what was read ahead, or straight from the caller before there is a watch."""
        if self.taker is not None:
            try:
                return await self.taker.receive()
            except anyio.EndOfStream:
                return _GONE
        if self.begin is not None:
            self.begin.cancel()
        message = await self.read()
        self.soon()
        return message

    async def send(self, message: Message) -> None:
        """Note whether the answer is whole."""
        self.answered = message["type"] == "http.response.body" and not message.get("more_body", False)
        await self.tell(message)

    def end(self) -> None:
        """Watch no more."""
        if self.begin is not None:
            self.begin.cancel()
        for task in (self.task, self.leaving):
            if task is not None:
                task.cancel()
        for end in (self.sender, self.taker):
            if end is not None:
                end.close()
