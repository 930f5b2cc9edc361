"""What never changes while the service runs, built-in tables and health: asked again, it is sent again from memory."""

from types import SimpleNamespace
from typing import Any

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.solving.bounded_memory import Memory, key_of

_PATHS = frozenset(
    ("/healthz", "/v1/assumptions", "/v1/camp-work", "/v1/designs", "/v1/methods", "/v1/tools", "/v1/woods")
)
_UNDER = "/v1/tools/"
_READ = (b"accept-encoding", b"host", b"if-none-match")  # all that those answers look at
_KEPT = (200, 304)
_LONGEST_ASKED = 1000  # judged: bytes of an address with its query, and of each header
_LINE = b"\r\n"


class SteadyAnswers:
    """Keeps these answers as they went out, headers and all, and sends them to who asks the same by the same name."""

    def __init__(self, app: ASGIApp, *, memory: Memory) -> None:
        self.app = app
        self.memory = memory

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through, or answer it."""
        if (key := _key(scope)) is None:
            await self.app(scope, receive, send)
            return
        if (known := self.memory.find(key)) is not None:
            head, _, body = known.partition(2 * _LINE)
            status, route, *lines = head.split(_LINE)
            scope["route"] = SimpleNamespace(path=route.decode())
            headers = [tuple(line.split(b": ", 1)) for line in lines]
            await send({"type": "http.response.start", "status": int(status), "headers": headers})
            await send({"type": "http.response.body", "body": body})
            return
        start: dict[str, Any] = {}
        told = bytearray()

        async def send_kept(message: Message) -> None:
            if message["type"] == "http.response.start":
                start.update(message, headers=list(message.get("headers", ())))
            else:
                told.extend(message.get("body", b""))
            await send(message)

        await self.app(scope, receive, send_kept)
        if start.get("status") in _KEPT:
            route = scope["route"].path.encode()
            lines = [name + b": " + value for name, value in start["headers"]]
            self.memory.keep(key, _LINE.join((b"%d" % start["status"], route, *lines)) + 2 * _LINE + told)


def _key(scope: Scope) -> bytes | None:
    """Return what an answer that never changes follows from; None where a request asks for something else."""
    if scope["type"] != "http" or scope["method"] != "GET":
        return None
    path: str = scope["path"]
    if path not in _PATHS and not path.startswith(_UNDER):
        return None
    read = [part for pair in scope["headers"] if pair[0] in _READ for part in pair]
    asked = path.encode(), scope["query_string"]
    if any(len(part) > _LONGEST_ASKED for part in (*asked, *read)):
        return None
    by = f"GET {scope['scheme']} {scope.get('root_path', '')} {scope.get('server')}"
    return key_of(by.encode(), *asked, *read)
