"""Which router an address belongs to, looked up by its first two steps; the routers are else asked one after the other.

With some thirty of them that takes a fifth of a millisecond for the last, which is most of what a health check costs.
"""

from collections.abc import Sequence
from typing import Any, NoReturn

from fastapi import APIRouter
from starlette.routing import BaseRoute, Match, NoMatchFound
from starlette.types import Receive, Scope, Send

_STEPS = 2  # of an address: "/v1/tools/hatchet-600" is looked up as "/v1/tools"
_FOUND = "kitwright.found_route"


class AddressIndex(BaseRoute):
    """Stands before all routers and goes straight to the one that takes a request; else it takes none itself."""

    def __init__(self, included: Sequence[tuple[BaseRoute, APIRouter]]) -> None:
        """Note which routers may take which addresses.

        Args:
            included: each router as it was included, and as it was made, in the order in which they are asked.
        """
        heads = [(route, {_fixed_head(path) for path in _paths_of(router)}) for route, router in included]
        every = {head for _, some in heads for head in some}
        self.routes = {
            head: [route for route, some in heads if any(one in some for one in _heads_over(head))] for head in every
        }

    def matches(self, scope: Scope) -> tuple[Match, Scope]:
        """Return what the first router says that takes the request."""
        if scope["type"] == "http":
            for head in _heads_over(_head(scope["path"])):
                if head in self.routes:
                    return _first_match(self.routes[head], scope)
        return Match.NONE, {}

    async def handle(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request to the router found."""
        route: BaseRoute = scope.pop(_FOUND)
        await route.handle(scope, receive, send)

    def url_path_for(self, name: str, /, **path_params: Any) -> NoReturn:
        """Leave names to the routers.

        Raises:
            NoMatchFound: always.
        """
        raise NoMatchFound(name, path_params)


def _first_match(routes: Sequence[BaseRoute], scope: Scope) -> tuple[Match, Scope]:
    """Return the match of the first route that takes a request, with that route."""
    for route in routes:
        match, found = route.matches(scope)
        if match is Match.FULL:
            return match, {**found, _FOUND: route}
    return Match.NONE, {}


def _paths_of(router: APIRouter) -> list[str]:
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
