"""How much one client may ask for: off unless set. Each worker process counts by itself.

The header fields are those of draft-ietf-httpapi-ratelimit-headers-10, a draft and not yet a standard.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil
from time import monotonic

import anyio
from limits import RateLimitItemPerSecond
from limits.strategies import MovingWindowRateLimiter
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problem_details import problem
from api.middleware.steady_hits import SteadyHits
from api.settings.settings import Settings
from api.solving.solve_queue import JOB_SOLVES

UNCOUNTED = ("/healthz", "/readyz", "/metrics")
_UNKNOWN = "unknown"


@dataclass(frozen=True)
class _Quota:
    """What a client has left."""

    taken: bool
    left: int
    reset_s: int


class Rate:
    """The requests of every client in the latest window."""

    def __init__(self, settings: Settings) -> None:
        self.most = settings.rate_limit
        self.window_s = settings.rate_seconds
        self.item = RateLimitItemPerSecond(max(1, self.most), self.window_s)
        self.limiter = MovingWindowRateLimiter(SteadyHits())

    def take(self, client: str) -> _Quota:
        """Count a request of a client, where it has one left."""
        taken = self.limiter.hit(self.item, client)
        window = self.limiter.get_window_stats(self.item, client)
        return _Quota(taken, window.remaining, max(1, ceil(window.reset_time - monotonic())))

    async def wait_for(self, client: str) -> None:
        """Count a request of a client, as soon as it has one left."""
        while self.most and not (quota := self.take(client)).taken:
            await anyio.sleep(min(1.0, quota.reset_s))

    def headers(self, quota: _Quota) -> Mapping[str, str]:
        """Return the fields of the draft."""
        return {
            "RateLimit-Policy": f'"default";q={self.most};w={self.window_s}',
            "RateLimit": f'"default";r={quota.left};t={quota.reset_s}',
        }


def client_of(request: Request) -> str:
    """Return the address that a request came from."""
    return request.client.host if request.client else _UNKNOWN


class RateLimit:
    """Refuses the requests of a client that are too many, and tells every client what it has left."""

    def __init__(self, app: ASGIApp, *, rate: Rate) -> None:
        self.app = app
        self.rate = rate

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        uncounted = scope["type"] != "http" or scope["path"] in UNCOUNTED or JOB_SOLVES in scope
        if uncounted or not self.rate.most:
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        quota = self.rate.take(client_of(request))
        headers = self.rate.headers(quota)

        async def send_told(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(headers)
            await send(message)

        if quota.taken:
            await self.app(scope, receive, send_told)
            return
        detail = f"one client sent more than {self.rate.most} requests in {self.rate.window_s} s (policy default)"
        refusal = problem(request, 429, detail, headers={"Retry-After": str(quota.reset_s)})
        await refusal(scope, receive, send_told)
