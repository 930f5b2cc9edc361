"""The index of addresses beside the walk through all routers, which Starlette and FastAPI make without it."""

import asyncio
import re
from typing import Any

import pytest
from fastapi import APIRouter, FastAPI
from httpx import ASGITransport, AsyncClient
from starlette.routing import BaseRoute, Match, NoMatchFound

from api.app.address_index import AddressIndex, router_paths
from api.app.application import create_app

pytestmark = pytest.mark.quick

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE", "TRACE")
NEWLINE = "/healthz\n"  # the walk takes it for "/healthz": `$` stands before a last newline too (re)
STRANGE = ("", "/", "//", "/v1", "/v1/", "/v1/toolsx", "/v1/tools/", "//v1/tools", NEWLINE, "/v1/{name}", "/nope")


def walked(routes: list[BaseRoute], scope: dict[str, Any]) -> tuple[Match, BaseRoute | None]:
    """The first of all routes that takes a request, else the first that knows its address, as Starlette finds it."""
    found = [(route.matches(scope)[0], route) for route in routes]
    for match in (Match.FULL, Match.PARTIAL):
        if (route := next((route for best, route in found if best is match), None)) is not None:
            return match, route
    return Match.NONE, None


def test_it_finds_what_the_walk_through_all_routers_finds() -> None:
    """Every address of the service with every method, a name in each brace, and some that nobody has."""
    app = create_app()
    index, *others = app.routes
    assert isinstance(index, AddressIndex)
    templates = [path for context in _contexts(app) if (path := getattr(context, "path", ""))]
    assert len(templates) > 60
    addresses = {re.sub(r"{[^}]*}", "x-1", path) for path in templates} | set(STRANGE)
    found = 0
    for address in addresses:
        for method in METHODS:
            scope = {"type": "http", "method": method, "path": address, "headers": [], "root_path": "", "app": app}
            match, told = index.matches(dict(scope))
            best, route = walked(others, dict(scope))
            assert match is Match.FULL, "nothing is left to the walk"
            if address == NEWLINE:
                best, route = Match.NONE, None
            assert told["kitwright.found_route"] is route, address
            assert index.takes(dict(scope)) is (best is Match.FULL)
            found += best is Match.FULL
    assert found > len(templates) - len(STRANGE)


def _contexts(app: FastAPI) -> list[Any]:
    """All routes of the parts of the app."""
    return [route for part in _routers(app) for route in part.routes]


def _routers(app: FastAPI) -> list[APIRouter]:
    """The routers of the app as they were made."""
    found = [getattr(route, "original_router", None) for route in app.routes]
    return [router for router in found if isinstance(router, APIRouter)]


def test_the_first_of_two_routers_that_share_an_address_answers() -> None:
    """In the order in which they were included, also where one has a name in its second step."""
    named, fixed, app = APIRouter(), APIRouter(), FastAPI()

    @named.get("/a/{name}")
    async def of_a_name(name: str) -> str:
        return f"named {name}"

    @fixed.get("/a/fixed")
    async def of_no_name() -> str:
        return "fixed"

    included = []
    for router in (named, fixed):
        app.include_router(router)
        included.append((app.routes[-1], router_paths(router)))
    app.router.routes.insert(0, index := AddressIndex(included, app_routes=app.router.routes))

    async def asked() -> list[Any]:
        async with AsyncClient(transport=ASGITransport(app=app), base_url="http://here") as client:
            told = [await client.get(path) for path in ("/a/fixed", "/a/other", "/b")]
            return [answer.json() for answer in told] + [(await client.post("/a/fixed")).status_code]

    assert asyncio.run(asked()) == ["named fixed", "named other", {"detail": "Not Found"}, 405]
    with pytest.raises(NoMatchFound):
        index.url_path_for("of_a_name")


def test_an_app_that_embeds_the_service_may_mount_it_and_add_routes() -> None:
    """Under a path of its own all is found; a route that was added later answers beside those of the service."""
    inner, outer = create_app(), FastAPI()
    inner.add_api_route("/of-the-host", lambda: "host")
    outer.mount("/wood", inner)
    paths = ("/wood/healthz", "/wood/v1/tools?limit=1", "/wood/of-the-host", "/wood/v1/nothing", "/wood/nothing")

    async def asked() -> list[int]:
        async with AsyncClient(transport=ASGITransport(app=outer), base_url="http://127.0.0.1") as client:
            return [(await client.get(path)).status_code for path in paths]

    assert asyncio.run(asked()) == [200, 200, 200, 404, 404]
