"""The log: a line of JSON for every request and every event, bound together by the id of the request."""

import json
import logging
import re
from contextvars import ContextVar
from datetime import UTC, datetime
from time import perf_counter
from typing import Any
from uuid import uuid4

from starlette.datastructures import Headers, MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.settings.metrics import Metrics
from api.solving.solve_queue import JOB_SOLVES

_access = logging.getLogger("kitwright.access")

_HEADER = "X-Request-ID"
_TAKEN_ID = re.compile(r"[A-Za-z0-9._-]{1,64}")  # a caller's own id; anything else could forge a line
_HUNG_UP = 499  # in the log alone: nobody was there to get a status
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
        return json.dumps(line)


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
        name = given if _TAKEN_ID.fullmatch(given) else uuid4().hex
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
            self.write(scope, status, seconds=perf_counter() - start)
            _REQUEST_ID.reset(token)

    def write(self, scope: Scope, status: int, *, seconds: float) -> None:
        """Write and count the end of a request; the metrics know it by its route, of which there are few."""
        method, path = scope["method"], scope["path"]
        found = scope.get("route")
        route = getattr(found, "path_format", getattr(found, "path", "none"))
        self.metrics.request(method=method, route=route, status=status, seconds=seconds)
        facts = {"method": method, "path": path, "route": route, "status": status, "ms": round(1000 * seconds, 1)}
        _access.info("%s %s %d", method, path, status, extra={"facts": facts})
