"""Routes of questions: the usual request straight to its endpoint, whatever is unusual the long way.

FastAPI finds out anew for every request what its endpoint depends on, which costs as much as a small solve. A request
in plain JSON without a query needs none of that; one that can't be read so is read again by FastAPI, which tells why.
"""

from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import Request, Response
from starlette.types import Message

from api.answering.catalog_resolver import Shelf
from api.answering.progress import Teller
from api.http.media import JSON
from api.http.route import StrictRoute, strict_json
from api.settings.units import UnitsQuery
from api.solving.solve_queue import solves_of

PLAIN = UnitsQuery.model_validate({})


class QuestionRoute(StrictRoute):
    """A route whose endpoint takes a form, a teller and a shelf."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Return the handler."""
        long_way = super().get_route_handler()
        assert self.body_field is not None
        name, form, endpoint = self.body_field.name, self.body_field.field_info.annotation, self.endpoint

        async def handle(request: Request) -> Response:
            if request.scope["query_string"] or request.headers.get("content-type") != JSON:
                return await long_way(request)
            body = await request.body()
            try:
                asked = form.model_validate(strict_json(body))  # type: ignore[union-attr]
            except ValueError:
                return await long_way(Request(request.scope, again(body, request)))
            teller = Teller(request, solves_of(request), PLAIN)
            answer: Response = await endpoint(**{name: asked}, tell=teller, shelf=Shelf(request))
            return answer

        return handle


def again(body: bytes, request: Request) -> Callable[[], Coroutine[Any, Any, Message]]:
    """Return a receive that gives a body that was read already."""
    left: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def receive() -> Message:
        return left.pop() if left else await request.receive()

    return receive
