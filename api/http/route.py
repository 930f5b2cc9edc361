"""Reading JSON bodies strictly."""

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import Request, Response
from fastapi.routing import APIRoute
from pydantic import TypeAdapter
from starlette.types import Receive, Scope

from api.http.body_form import RefusedBody, json_form


class _StrictRequest(Request):
    """A request whose JSON may not name a key twice, hold NaN or infinities, or be no UTF-8."""

    def __init__(self, scope: Scope, receive: Receive, form: TypeAdapter[Any]) -> None:
        super().__init__(scope, receive)
        self.body_form = form

    async def json(self) -> Any:
        """Return the form that the body holds, or in a list, which no form is, what is wrong with it.

        Raises:
            json.JSONDecodeError: the body is not such JSON.
            HTTPException: 413 where it holds more than any question needs.
        """
        if not hasattr(self, "_json"):
            found = await json_form(await self.body(), self.body_form)
            self._json = [found] if isinstance(found, RefusedBody) else found
        return self._json


class StrictRoute(APIRoute):
    """A route that reads its body strictly."""

    def form(self) -> TypeAdapter[Any]:
        """Return the form of the body."""
        annotation: Any = self.body_field.field_info.annotation if self.body_field else Any
        return TypeAdapter(annotation)

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Return the handler on a strict request."""
        handler, form = super().get_route_handler(), self.form()

        async def strict(request: Request) -> Response:
            return await handler(_StrictRequest(request.scope, request.receive, form))

        return strict
