"""The Host of a request: exactly one, and the name of a host (RFC 9112, 3.2; RFC 3986, 3.2.2)."""

import re

from starlette.requests import Request
from starlette.types import ASGIApp, Receive, Scope, Send

from api.http.problem_details import problem

_HOST = re.compile(rb"([A-Za-z0-9._~!$&'()*+,;=%-]+|\[[0-9A-Fa-f:.]+\])(:[0-9]{0,5})?")  # a user before an @ is none
_FIRST_WITH_HOST = "1.1"  # HTTP/1.0 asks for none


class OwnName:
    """Refuses requests that name no host, several, or something else: addresses in answers are made of that name."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if scope["type"] != "http" or (why := _wrong_with(scope)) is None:
            await self.app(scope, receive, send)
            return
        nameless = [(name, value) for name, value in scope["headers"] if name != b"host"]
        refusal = problem(
            Request({**scope, "headers": nameless}),
            400,
            why,
            kind="unreadable-request",
            headers={"Connection": "close"},
        )
        await refusal(scope, receive, send)


def _wrong_with(scope: Scope) -> str | None:
    """Return what is wrong with the Host of a request."""
    given = [value for name, value in scope["headers"] if name == b"host"]
    if not given and scope.get("http_version", _FIRST_WITH_HOST) < _FIRST_WITH_HOST:
        return None
    if len(given) != 1:
        return f"send exactly one Host; the request has {len(given)}"
    return None if _HOST.fullmatch(given[0]) else "the value of Host is no name or address of a host"
