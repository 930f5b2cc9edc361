"""Which router an address belongs to, looked up by its first two steps; the routers are else asked one after the other.

With some thirty of them that takes a fifth of a millisecond for the last, which is most of what a health check costs,
and several times that to say what an address takes that is asked in vain.
"""

from collections import Counter
from collections.abc import Sequence
from typing import Any, NoReturn

from fastapi import APIRouter
from fastapi.exceptions import RequestValidationError
from starlette.datastructures import QueryParams
from starlette.exceptions import HTTPException
from starlette.routing import BaseRoute, Match, NoMatchFound
from starlette.types import Receive, Scope, Send

_STEPS = 2  # of an address: "/v1/tools/hatchet-600" is looked up as "/v1/tools"
_FOUND = "kitwright.found_route"
_ONCE_EACH = "/v1/"  # where no parameter may stand twice
_BY_THEMSELVES = "/v1/sheet/"  # cells tell that in their own words


class AddressIndex(BaseRoute):
    """Stands before all routers and goes straight to the one that takes a request; what none takes ends here.

    Where an app that embeds the service added routes of its own, these are asked before that is said.
    """

    def __init__(self, routes: Sequence[tuple[BaseRoute, Sequence[str]]], *, app_routes: Sequence[BaseRoute]) -> None:
        """Note which routes may take which addresses.

        Args:
            routes: every route of the app with its addresses, braces where they differ, in the order in which they
                are asked.
            app_routes: the routes of the app as it goes on to hold them, before the index is one of them.
        """
        self.app_routes, self.known = app_routes, len(app_routes) + 1
        heads = [(route, {_fixed_head(path) for path in paths}) for route, paths in routes]
        every = {head for _, some in heads for head in some}
        self.routes = {
            head: [route for route, some in heads if any(one in some for one in _heads_over(head))] for head in every
        }

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Return what the first route says that takes the request; else the first that knows its address; else 404."""
        if scope["type"] != "http":
            return Match.NONE, {}
        match, found, route = self.best(scope)
        if match is not Match.FULL and len(self.app_routes) > self.known:
            return Match.NONE, {}
        return Match.FULL, {**found, _FOUND: route}

    def takes(self, scope: Scope) -> bool:
        """Tell whether some route takes a request."""
        return self.best(scope)[0] is Match.FULL

    def best(self, scope: Scope) -> tuple[Match, Scope, BaseRoute | None]:
        """Return how well a route takes a request, what it says of it, and which it is: the first of the best."""
        partial: tuple[Match, Scope, BaseRoute | None] = (Match.NONE, {}, None)
        for route in self.routes_at(scope["path"].removeprefix(scope.get("root_path", ""))):
            match, found = route.matches(scope)
            if match is Match.FULL:
                return match, found, route
            if match is Match.PARTIAL and partial[2] is None:
                partial = match, found, route
        return partial

    def routes_at(self, path: str) -> Sequence[BaseRoute]:
        """Return the routes that may know an address."""
        return next((self.routes[head] for head in _heads_over(_head(path)) if head in self.routes), ())

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request to the route found.

        Raises:
            HTTPException: 404, no route knows the address.
            RequestValidationError: a parameter stands in the query more than once.
        """
        route: BaseRoute | None = scope.pop(_FOUND)
        if route is None:
            raise HTTPException(404)
        if scope["query_string"] and scope["path"].startswith(_ONCE_EACH):
            _check_query(scope)
        await route.handle(scope, receive, send)

    def url_path_for(self, name: str, /, **path_params: Any) -> NoReturn:
        """Leave names to the routers.

        Raises:
            NoMatchFound: always.
        """
        raise NoMatchFound(name, path_params)


def _check_query(scope: Scope) -> None:
    """Check that a query gives every parameter once: of several, one would count without a word.

    Raises:
        RequestValidationError: it gives one more often.
    """
    if scope["path"].startswith(_BY_THEMSELVES):
        return
    given = Counter(name for name, _ in QueryParams(scope["query_string"]).multi_items())
    again = [
        {"type": "given_once", "loc": ("query", name), "msg": f"it is given {number} times", "input": None}
        for name, number in given.items()
        if number > 1
    ]
    if again:
        raise RequestValidationError(again)


def router_paths(router: APIRouter) -> list[str]:
    """Return the addresses of a router, with braces where they differ."""
    return [str(getattr(route, "path", "")) for route in router.routes]


def _fixed_head(path: str) -> str:
    """Return the first steps of an address up to the first that differs."""
    return _head(path[: path.index("{")].rpartition("/")[0] if "{" in path else path)


def _head(path: str) -> str:
    """Return the first two steps of an address."""
    return "/".join(path.split("/", _STEPS + 1)[: _STEPS + 1])


def _heads_over(head: str) -> list[str]:
    """Return a head and those above it, the longest first."""
    steps = head.split("/")
    return ["/".join(steps[:count]) for count in range(len(steps), 0, -1)]
