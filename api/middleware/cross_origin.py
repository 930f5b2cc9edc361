"""Which pages of other origins may use the service from a browser (CORS)."""

from collections.abc import Collection

from starlette.datastructures import Headers
from starlette.middleware.cors import CORSMiddleware
from starlette.types import ASGIApp, Receive, Scope, Send

_METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
_TAKEN_HEADERS = ("Content-Type", "If-Match", "If-None-Match", "Idempotency-Key")
_SHOWN_HEADERS = ("ETag", "Link", "Location", "RateLimit", "RateLimit-Policy", "Retry-After", "Server-Timing")


class CrossOrigin(CORSMiddleware):
    """Adds the headers that let pages of the listed origins read answers; nobody's credentials are ever asked for.

    A preflight that is refused goes on to the app: without those headers a browser takes any answer as a refusal.
    """

    def __init__(self, app: ASGIApp, *, origins: Collection[str]) -> None:
        super().__init__(
            app,
            allow_origins=origins,
            allow_methods=_METHODS,
            allow_headers=_TAKEN_HEADERS,
            expose_headers=_SHOWN_HEADERS,
        )

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if scope["type"] == "http" and scope["method"] == "OPTIONS" and self.refuses(Headers(scope=scope)):
            await self.app(scope, receive, send)
            return
        await super().__call__(scope, receive, send)

    def refuses(self, headers: Headers) -> bool:
        """Tell whether a preflight asks for what is not allowed."""
        preflight = "origin" in headers and "access-control-request-method" in headers
        return preflight and self.preflight_response(headers).status_code != 200
