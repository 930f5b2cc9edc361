"""The app as a client sees it, without a server in between."""

import asyncio
from typing import Any

import httpx
from fastapi import FastAPI

from api.app.application import create_app
from api.settings.settings import Settings

JSON = {"Content-Type": "application/json"}
PROBLEM = "application/problem+json"
LEAST = {"tasks": [{"task": "split", "diameter_mm": 140}]}
HOST = "http://127.0.0.1"  # as whoever sits at this machine asks; `one_user=True` makes them the one user


def small_app(**settings: Any) -> FastAPI:
    """An app with settings of its own."""
    return create_app(Settings(**settings))


APP = small_app(memory_bytes=0)  # so that what one test asked is worked out anew for the next


def ask(method: str, address: str, *, app: FastAPI = APP, **options: Any) -> httpx.Response:
    """The answer to one request; an error inside the app comes back as its answer."""

    async def answer() -> httpx.Response:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url=HOST) as client:
            return await client.request(method, address, **options)

    return asyncio.run(answer())


def now(address: str, *, app: FastAPI) -> dict[str, str]:
    """The condition of a change of what is stored at an address now."""
    return {"If-Match": ask("GET", address, app=app).headers["etag"]}


def post(trip: Any, *, address: str = "/v1/kits", app: FastAPI = APP) -> httpx.Response:
    """The answer to a trip."""
    return ask("POST", address, app=app, json=trip)


def send(body: bytes, *, headers: dict[str, str] | None = None, app: FastAPI = APP) -> httpx.Response:
    """The answer to a body as it stands."""
    return ask("POST", "/v1/kits", app=app, content=body, headers=JSON if headers is None else headers)


def kit_of(trip: Any, *, address: str = "/v1/kits") -> dict[str, Any]:
    """The answer to a trip that is taken."""
    answer = post(trip, address=address)
    assert answer.status_code == 200, answer.text
    found: dict[str, Any] = answer.json()
    return found


def problem_of(answer: httpx.Response, status: int) -> dict[str, Any]:
    """The problem of a failure, which has one shape (RFC 9457) whatever went wrong."""
    assert answer.status_code == status, answer.text
    assert answer.headers["content-type"] == PROBLEM
    problem: dict[str, Any] = answer.json()
    assert set(problem) == {"type", "title", "status", "detail", "instance", "errors"}
    assert problem["status"] == status
    assert problem["type"].startswith(f"{HOST}/problems/")
    assert problem["instance"] == answer.request.url.path
    for fault in problem["errors"]:
        assert set(fault) == {"pointer", "value", "range", "detail"}
        assert fault["pointer"].startswith("#")
        assert fault["range"]
        assert fault["detail"]
    return problem


def faults_of(answer: httpx.Response) -> dict[str, dict[str, Any]]:
    """The wrong fields of a refused request, by pointer."""
    errors = problem_of(answer, 422)["errors"]
    assert errors, "a refusal names the fields"
    return {fault["pointer"]: fault for fault in errors}
