"""Headers that keep a browser from making more of an answer than it is; an answer with its own keeps its own."""

from starlette.types import ASGIApp, Message, Receive, Scope, Send

# As OWASP's REST Security Cheat Sheet has them for an API; TLS and so HSTS are the proxy's.
_HEADERS = (
    (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"referrer-policy", b"no-referrer"),
    (b"x-content-type-options", b"nosniff"),
)


class SafeHeaders:
    """Adds them to every answer."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def send_safe(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = list(message.get("headers", ()))
                names = {name.lower() for name, _ in given}
                kept = (b"cache-control", b"no-cache" if b"etag" in names else b"no-store")
                message["headers"] = given + [pair for pair in (kept, *_HEADERS) if pair[0] not in names]
            await send(message)

        await self.app(scope, receive, send_safe)
