"""A question asked again by the service itself: the app answers a job as it would have answered its caller."""

from dataclasses import dataclass, field

import anyio
from starlette.datastructures import Headers
from starlette.types import ASGIApp, Message, Scope

from api.answering.caller import JOB_CALLER, Caller
from api.solving.solve_queue import JOB_SOLVES, Solves
from api.store.stored_job import AskedJob, KeptAnswer

_KEPT_HEADERS = ("content-type", "content-disposition", "retry-after")
_HTTP = {"http": 80, "https": 443}


@dataclass
class _Replay:
    """What has come of an answer so far."""

    most_bytes: int
    stop: anyio.CancelScope
    status: int = 500
    headers: dict[str, str] = field(default_factory=dict)
    body: bytearray = field(default_factory=bytearray)
    outgrown: bool = False

    async def send(self, message: Message) -> None:
        """Take a part of the answer."""
        if message["type"] == "http.response.start":
            self.status = message["status"]
            self.headers = kept_headers(Headers(raw=message["headers"]))
            return
        self.body += message.get("body", b"")
        if len(self.body) > self.most_bytes:
            self.outgrown = True
            self.stop.cancel()


def kept_headers(told: Headers) -> dict[str, str]:
    """Return those headers of an answer that are kept with it."""
    return {name: told[name] for name in _KEPT_HEADERS if name in told}


async def answer_later(app: ASGIApp, asked: AskedJob, solves: Solves, *, most_bytes: int) -> KeptAnswer | None:
    """Return what the app answers to the question of a job.

    Args:
        app: the whole app.
        asked: the question.
        solves: the places for jobs.
        most_bytes: of the answer.

    Returns:
        The answer, be it a problem; None where it is larger than it may be.
    """
    with anyio.CancelScope() as stop:
        replay = _Replay(most_bytes, stop)
        sent = False

        async def receive() -> Message:
            nonlocal sent
            if sent:
                await anyio.sleep_forever()  # nobody hangs up: a job that is called off is cancelled as a task
            sent = True
            return {"type": "http.request", "body": asked.body, "more_body": False}

        await app(_scope_of(asked, solves), receive, replay.send)
    return None if replay.outgrown else KeptAnswer(replay.status, replay.headers, bytes(replay.body))


def _scope_of(asked: AskedJob, solves: Solves) -> Scope:
    """Return the request of a job, which no middleware counts as a caller's."""
    scheme = asked.headers["scheme"]
    headers = {name: value for name, value in asked.headers.items() if name != "scheme"}
    host = headers.get("host", "localhost").partition(":")[0]
    return {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": scheme,
        "path": asked.path,
        "raw_path": asked.path.encode(),
        "query_string": asked.query.encode("latin-1"),
        "root_path": "",
        "headers": [
            *((name.encode("latin-1"), value.encode("latin-1")) for name, value in headers.items()),
            (b"content-length", b"%d" % len(asked.body)),
        ],
        "client": None,
        "server": (host, _HTTP.get(scheme, 80)),
        JOB_CALLER: Caller(asked.owner, asked.key),
        JOB_SOLVES: solves,
    }
