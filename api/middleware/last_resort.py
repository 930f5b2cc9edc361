"""Errors that nothing else took: answered within the other layers, so that a 500 has their headers and its log line."""

import logging

from starlette.requests import ClientDisconnect, Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problem_details import internal_error

_log = logging.getLogger("kitwright")


class LastResort:
    """Answers an unexpected error as a problem; where an answer has begun, it can only break off."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        begun = False

        async def send_noted(message: Message) -> None:
            nonlocal begun
            begun = True
            await send(message)

        try:
            await self.app(scope, receive, send_noted)
        except ClientDisconnect:
            _log.info("the caller left in the middle of the body at %s %s", scope["method"], scope["path"])
        except Exception as error:
            if begun:
                raise
            await internal_error(Request(scope), error)(scope, receive, send)
