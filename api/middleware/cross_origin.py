"""Which pages of other origins may use the service from a browser: read answers (CORS), or make it work at all.

A page needs no leave to read an answer to let a visitor's browser ask for it, as a picture or a form: browsers tell of
that by their fetch metadata (W3C, Fetch Metadata Request Headers), and of a page's origin where there is one.
"""

from collections.abc import Collection

from starlette.datastructures import Headers, MutableHeaders
from starlette.middleware.cors import CORSMiddleware
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problem_details import problem

_METHODS = ("GET", "HEAD", "POST", "PUT", "PATCH", "DELETE", "OPTIONS")
_TAKEN_HEADERS = ("Content-Type", "If-Match", "If-None-Match", "Idempotency-Key", "Prefer")
_KEYED_HEADERS = (*_TAKEN_HEADERS, "Authorization")  # of pages whose origins were chosen
WORKS = ("/v1/", "/readyz", "/plain")
_FOLLOWED = (("sec-fetch-mode", "navigate"), ("sec-fetch-dest", "document"))
_TELLING = (b"origin", b"sec-fetch-site")  # who sends neither is no page of another origin
_OWN_SITE = ("same-origin", "none")  # pages of its own, and an address typed in
_SHOWN_HEADERS = (
    "ETag",
    "Link",
    "Location",
    "Preference-Applied",
    "RateLimit",
    "RateLimit-Policy",
    "Retry-After",
    "Server-Timing",
)


class CrossOrigin(CORSMiddleware):
    """Adds the headers that let pages of the listed origins read answers; nobody's credentials are ever asked for.

    A preflight that is refused goes on to the app: without those headers a browser takes any answer as a refusal.
    """

    def __init__(self, app: ASGIApp, *, origins: Collection[str]) -> None:
        super().__init__(
            app,
            allow_origins=origins,
            allow_methods=_METHODS,
            allow_headers=_TAKEN_HEADERS if "*" in origins else _KEYED_HEADERS,
            expose_headers=_SHOWN_HEADERS,
        )

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if scope["type"] == "http" and not any(name in _TELLING for name, _ in scope["headers"]):
            await self.app(scope, receive, _varied(send))
            return
        if scope["type"] == "http" and self.is_foreign(scope):
            detail = "a page of another origin asks; the operator may list its origin in cors_origins"
            await problem(Request(scope), 403, detail, kind="foreign-page")(scope, receive, send)
            return
        if scope["type"] == "http" and scope["method"] == "OPTIONS" and self.refuses(Headers(scope=scope)):
            await self.app(scope, receive, send)
            return
        await super().__call__(scope, receive, send)

    def refuses(self, headers: Headers) -> bool:
        """Tell whether a preflight asks for what is not allowed."""
        preflight = "origin" in headers and "access-control-request-method" in headers
        return preflight and self.preflight_response(headers).status_code != 200

    def is_foreign(self, scope: Scope) -> bool:
        """Tell whether a page makes a browser ask for work that is of another origin than those chosen.

        Who follows a link to an answer asks by themselves.
        """
        if scope["method"] == "OPTIONS" or not scope["path"].startswith(WORKS):
            return False
        headers = Headers(scope=scope)
        origin, site = headers.get("origin"), headers.get("sec-fetch-site", "").lower()
        if site in _OWN_SITE or (origin is not None and self.is_allowed_origin(origin)) or self.allow_all_origins:
            return False
        if scope["method"] in ("GET", "HEAD") and all(headers.get(name) == value for name, value in _FOLLOWED):
            return False
        # a browser that tells no more tells its page's origin, without which no page is known
        return bool(site) or (origin is not None and origin.partition("://")[2] != headers.get("host"))


def _varied(send: Send) -> Send:
    """Return a send that says that an answer differs by the origin of a page, as CORSMiddleware says it."""

    async def send_varied(message: Message) -> None:
        if message["type"] == "http.response.start":
            message.setdefault("headers", [])
            MutableHeaders(scope=message).add_vary_header("Origin")
        await send(message)

    return send_varied


def own_origin(request: Request) -> str:
    """Return the origin of the service's own pages, as a browser tells it."""
    return f"{request.url.scheme}://{request.url.netloc}"
