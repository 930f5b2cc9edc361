"""Jobs asked of an app that works on them: a service in this process, without a server in between."""

import asyncio
from collections.abc import Awaitable, Callable
from time import monotonic
from typing import Any, TypeVar

import httpx
from fastapi import FastAPI
from service import HOST
from waiting import LONG_S

ASYNC = {"Prefer": "respond-async"}
Found = TypeVar("Found")


def working(app: FastAPI, then: Callable[[httpx.AsyncClient], Awaitable[Found]]) -> Found:
    """What comes of talking with an app while it works on its jobs."""

    async def talk() -> Found:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with (
            app.router.lifespan_context(app),
            httpx.AsyncClient(transport=transport, base_url=HOST, timeout=LONG_S) as client,
        ):
            return await then(client)

    return asyncio.run(talk())


async def state_of(client: httpx.AsyncClient, place: str, *states: str, headers: Any = None) -> dict[str, Any]:
    """A job, once it is in one of these states."""
    end = monotonic() + LONG_S
    while monotonic() < end:
        found: dict[str, Any] = (await client.get(place, headers=headers)).json()
        if found["state"] in states:
            return found
        await asyncio.sleep(0.02)
    raise TimeoutError(f"the job is {found}")
