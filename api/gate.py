"""What a request must pass before it reaches an endpoint: size, media type, and the methods HTTP asks for."""

from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.problem import allowed_methods, problem

WITH_BODY = ("POST", "PUT", "PATCH")


class BodyTooLarge(Exception):
    """More bytes came than the service takes."""


class Gate:
    """Refuses bodies that are too large or not JSON, answers OPTIONS, and answers HEAD as GET without a body."""

    def __init__(self, app: ASGIApp, *, max_body_bytes: int) -> None:
        self.app = app
        self.max_body_bytes = max_body_bytes

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        request = Request(scope)
        if scope["method"] in WITH_BODY and (refusal := self.refusal(request)) is not None:
            status, detail = refusal
            await problem(request, status, detail)(scope, receive, send)
            return
        if scope["method"] == "HEAD":
            scope, send = {**scope, "method": "GET"}, without_body(send)
        await self.limited(scope, receive, send)

    def refusal(self, request: Request) -> tuple[int, str] | None:
        """Return status and reason where the headers already forbid this body."""
        length = request.headers.get("content-length", "")
        if length.isdigit() and int(length) > self.max_body_bytes:
            return 413, f"{length} bytes are more than the {self.max_body_bytes} that the service takes"
        if "content-encoding" in request.headers:
            return 415, "a compressed body is not taken: send plain application/json"
        media = request.headers.get("content-type", "").split(";")[0].strip().lower()
        if media != "application/json" and not media.endswith("+json"):
            return 415, f"send Content-Type: application/json (this was {media or 'missing'!r})"
        return None

    async def limited(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Run the app on a body that can't outgrow the limit."""
        taken = 0
        started = False

        async def counted() -> Message:
            nonlocal taken
            message = await receive()
            taken += len(message.get("body", b""))
            if taken > self.max_body_bytes:
                raise BodyTooLarge
            return message

        async def noted(message: Message) -> None:
            nonlocal started
            started = started or message["type"] == "http.response.start"
            await send(message)

        try:
            await self.app(scope, counted, noted)
        except BodyTooLarge:
            if not started:
                detail = f"more than the {self.max_body_bytes} bytes that the service takes"
                await problem(Request(scope), 413, detail)(scope, receive, send)


def without_body(send: Send) -> Send:
    """Return a send that keeps the headers of an answer and drops its body."""

    async def headers_only(message: Message) -> None:
        if message["type"] == "http.response.body":
            message = {
                "type": "http.response.body",
                "body": b"",
                "more_body": message.get("more_body", False),
            }
        await send(message)

    return headers_only


__all__ = ["Gate", "allowed_methods"]
