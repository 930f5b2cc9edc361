"""The log: a line of JSON for every request and every event, bound together by the id of the request."""

import json
import logging
import os
import re
from asyncio import get_running_loop
from contextvars import ContextVar
from datetime import UTC, datetime
from functools import partial
from random import Random
from time import perf_counter
from typing import Any

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.settings.metrics import Metrics
from api.solving.solve_queue import JOB_SOLVES

_access = logging.getLogger("kitwright.access")

_encoded = json.JSONEncoder().encode
_HEADER = "X-Request-ID"
_TAKEN_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")  # a caller's own id; anything else could forge a line
_HUNG_UP = 499  # in the log alone: nobody was there to get a status
_IDS = Random()  # no secret: names that no two requests share
if hasattr(os, "register_at_fork"):
    os.register_at_fork(after_in_child=_IDS.seed)
_REQUEST_ID: ContextVar[str | None] = ContextVar("request_id", default=None)


class _JsonLines(logging.Formatter):
    """A record as one line of JSON; a trace is a field of it."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line."""
        line: dict[str, Any] = {
            "time": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "logger": record.name,
            "message": record.getMessage(),
            "request": _REQUEST_ID.get(),
            **getattr(record, "facts", {}),
        }
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return _encoded(line)


LOG_CONFIG: dict[str, Any] = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"json": {"()": _JsonLines}},
    "handlers": {"stream": {"class": "logging.StreamHandler", "formatter": "json"}},
    "root": {"handlers": ["stream"], "level": "INFO"},
}


class RequestLog:
    """Gives every request an id, and writes and counts how it ended, without its query. Jobs have their own line."""

    def __init__(self, app: ASGIApp, *, metrics: Metrics) -> None:
        self.app = app
        self.metrics = metrics

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if scope["type"] != "http" or JOB_SOLVES in scope:
            await self.app(scope, receive, send)
            return
        given = Headers(scope=scope).get(_HEADER, "")
        name = given if _TAKEN_ID.fullmatch(given) else f"{_IDS.getrandbits(128):032x}"
        token = _REQUEST_ID.set(name)
        start, status = perf_counter(), _HUNG_UP

        async def send_named(message: Message) -> None:
            nonlocal status
            if message["type"] == "http.response.start":
                status = message["status"]
                MutableHeaders(scope=message)[_HEADER] = name
            await send(message)

        try:
            await self.app(scope, receive, send_named)
        finally:
            tell = partial(self.write, scope, status, seconds=perf_counter() - start)
            get_running_loop().call_soon(tell)  # an answer goes out at the end of a turn of the loop: before its line
            _REQUEST_ID.reset(token)

    def write(self, scope: Scope, status: int, *, seconds: float) -> None:
        """Write and count the end of a request; the metrics know it by its route, of which there are few."""
        method, path = scope["method"], scope["path"]
        found = scope.get("route")
        route = getattr(found, "path_format", getattr(found, "path", "none"))
        self.metrics.request(method=method, route=route, status=status, seconds=seconds)
        if not _access.isEnabledFor(logging.INFO):
            return
        facts = {"method": method, "path": path, "route": route, "status": status, "ms": round(1000 * seconds, 1)}
        told = logging.LogRecord(_access.name, logging.INFO, __file__, 0, f"{method} {path} {status}", (), None)
        told.facts = facts
        _access.handle(told)  # straight: nobody asks which line of code wrote it
