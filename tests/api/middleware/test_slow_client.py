"""Our own protocol, fed by hand: when a connection is read and when not, for which a socket leaves no say."""

import asyncio

import pytest
from starlette.types import Receive, Scope, Send
from uvicorn import Config
from uvicorn.server import ServerState

from api.middleware.body_gate import WHOLE
from api.middleware.hang_up import LEFT
from api.middleware.slow_client import SlowClientProtocol

pytestmark = pytest.mark.quick

LARGE = b" " * 100_000  # more than uvicorn holds before it stops reading, 64 KiB


class Connection(asyncio.Transport):
    """A connection that notes whether it is read."""

    read = True

    def is_closing(self) -> bool:
        """It stays open."""
        return False

    def close(self) -> None:
        """Nothing is behind it."""

    def pause_reading(self) -> None:
        """Note it."""
        self.read = False

    def resume_reading(self) -> None:
        """Note it."""
        self.read = True


@pytest.mark.parametrize("parts", [1, 2, 5])
def test_who_leaves_behind_a_large_body_is_heard(parts: int) -> None:
    """A body that comes while the app waits for it is read off, and then the connection's end is still listened for."""
    taken, left = asyncio.Event(), asyncio.Event()

    async def app(scope: Scope, receive: Receive, _: Send) -> None:
        while (await receive())["more_body"]:
            pass
        taken.set()
        await scope[LEFT].wait()
        left.set()

    async def fed() -> None:
        config = Config(app, http=SlowClientProtocol, ws="none", lifespan="off", log_config=None)
        config.load()
        protocol = SlowClientProtocol(config, ServerState(), {}, asyncio.get_running_loop())
        connection = Connection()
        protocol.connection_made(connection)
        protocol.data_received(b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: %d\r\n\r\n" % (parts * len(LARGE)))
        await asyncio.sleep(0.01)
        for _ in range(parts):
            protocol.data_received(LARGE)
            await asyncio.sleep(0.01)
        await taken.wait()
        assert connection.read
        protocol.connection_lost(None)
        await left.wait()

    asyncio.run(fed())


def test_it_tells_whether_all_of_a_body_has_come() -> None:
    """By Content-Length (RFC 9112, 6.2): not before the last byte; so nobody waits with a clock for what is there."""
    scopes: list[Scope] = []

    async def app(scope: Scope, _: Receive, __: Send) -> None:
        scopes.append(scope)
        await asyncio.Event().wait()

    async def fed() -> list[bool]:
        config = Config(app, http=SlowClientProtocol, ws="none", lifespan="off", log_config=None)
        config.load()
        state = ServerState()
        protocol = SlowClientProtocol(config, state, {}, asyncio.get_running_loop())
        protocol.connection_made(Connection())
        told = []
        for part in (b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 3\r\n\r\na", b"b", b"c"):
            protocol.data_received(part)
            await asyncio.sleep(0)
            told.append(scopes[0][WHOLE]())
        for task in state.tasks:
            task.cancel()
        await asyncio.gather(*state.tasks, return_exceptions=True)
        protocol.connection_lost(None)
        return told

    assert asyncio.run(fed()) == [False, False, True]
