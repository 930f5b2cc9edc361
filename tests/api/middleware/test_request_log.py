"""The log of requests, called as a server calls it: an id for each, and a line that no answer waits for."""

import asyncio
import logging
from typing import Any

import pytest
from prometheus_client.parser import text_string_to_metric_families
from starlette.types import Message, Receive, Scope, Send

from api.middleware.request_log import RequestLog
from api.settings.metrics import Metrics

pytestmark = pytest.mark.quick

ASKED: dict[str, Any] = {"type": "http", "method": "GET", "path": "/healthz", "headers": []}
METRICS = Metrics()


async def answering(_: Scope, __: Receive, send: Send) -> None:
    """An app that answers at once."""
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"ok"})


async def silent() -> Message:
    """A caller who sends no body."""
    raise AssertionError("nobody reads it")


def test_the_line_is_written_in_the_turn_after_the_answer(caplog: pytest.LogCaptureFixture) -> None:
    """A server sends at the end of a turn of its loop; writing a line gives the interpreter's lock away before that."""
    log = RequestLog(answering, metrics=METRICS)

    async def asked() -> tuple[int, int]:
        async def send(_: Message) -> None:
            assert not caplog.records

        await log(dict(ASKED), silent, send)
        before = len(caplog.records)
        await asyncio.sleep(0)
        return before, len(caplog.records)

    with caplog.at_level(logging.INFO, logger="kitwright.access"):
        assert asyncio.run(asked()) == (0, 1)
    (line,) = caplog.records
    assert line.getMessage() == "GET /healthz 200"
    assert line.__dict__["facts"]["status"] == 200


def test_a_log_that_is_turned_down_still_counts(caplog: pytest.LogCaptureFixture) -> None:
    """Figures are not the log's: they count what it does not tell."""
    metrics = Metrics()

    async def asked() -> None:
        async def send(_: Message) -> None:
            pass

        await RequestLog(answering, metrics=metrics)(dict(ASKED), silent, send)
        await asyncio.sleep(0)

    with caplog.at_level(logging.WARNING, logger="kitwright.access"):
        asyncio.run(asked())
    families = {one.name: one for one in text_string_to_metric_families(metrics.text().decode())}
    counted = [
        sample.value for sample in families["kitwright_request_seconds"].samples if sample.name.endswith("_count")
    ]
    assert (counted, caplog.records) == ([1.0], [])


def test_no_two_requests_share_an_id() -> None:
    """Of 128 random bits each: two of 2,000 alike would be a wonder (birthday problem: 1 in 10^32)."""
    names = set[bytes]()

    async def asked() -> None:
        async def send(message: Message) -> None:
            names.update(value for name, value in message.get("headers", ()) if name == b"x-request-id")

        for _ in range(2000):
            await RequestLog(answering, metrics=METRICS)(dict(ASKED), silent, send)

    asyncio.run(asked())
    assert len(names) == 2000
    assert {len(name) for name in names} == {32}
