"""Reading JSON bodies strictly."""

import json
from collections.abc import Callable, Coroutine
from typing import Any

from fastapi import Request, Response
from fastapi.routing import APIRoute


class StrictRequest(Request):
    """A request whose JSON may not name a key twice, hold NaN or infinities, or be no UTF-8."""

    async def json(self) -> Any:
        """Return the parsed body.

        Raises:
            json.JSONDecodeError: the body is not such JSON.
        """
        if not hasattr(self, "_json"):
            self._json = strict_json(await self.body())
        return self._json


def strict_json(body: bytes) -> Any:
    """Return the value of a JSON text.

    Raises:
        json.JSONDecodeError: it is not JSON, not UTF-8, too deep, names a key twice, or holds a number that
            JSON does not have.
    """
    try:
        return json.loads(body.decode("utf-8"), object_pairs_hook=single_keys, parse_constant=no_constant)
    except json.JSONDecodeError:
        raise
    except RecursionError as error:
        raise json.JSONDecodeError("nested too deep", "", 0) from error
    except ValueError as error:
        raise json.JSONDecodeError(str(error), "", 0) from error


def single_keys(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return the object, where no key stands twice."""
    found: dict[str, Any] = {}
    for key, value in pairs:
        if key in found:
            raise ValueError(f"the key {key!r} stands twice in one object")
        found[key] = value
    return found


def no_constant(name: str) -> Any:
    """Refuse NaN and infinities, which JSON does not have."""
    raise ValueError(f"{name} is not a JSON number")


class StrictRoute(APIRoute):
    """A route that reads its body strictly."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Return the handler on a strict request."""
        handler = super().get_route_handler()

        async def strict(request: Request) -> Response:
            return await handler(StrictRequest(request.scope, request.receive))

        return strict
