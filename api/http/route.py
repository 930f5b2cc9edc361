"""Reading JSON bodies strictly."""

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import Request, Response
from fastapi.routing import APIRoute

from api.http.json_reader import strict_json


class _StrictRequest(Request):
    """A request whose JSON may not name a key twice, hold NaN or infinities, or be no UTF-8."""

    async def json(self) -> Any:
        """Return the parsed body.

        Raises:
            json.JSONDecodeError: the body is not such JSON.
        """
        if not hasattr(self, "_json"):
            self._json = strict_json(await self.body())
        return self._json


class StrictRoute(APIRoute):
    """A route that reads its body strictly."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Return the handler on a strict request."""
        handler = super().get_route_handler()

        async def strict(request: Request) -> Response:
            return await handler(_StrictRequest(request.scope, request.receive))

        return strict
