"""Some of the changed requests of `python tests fuzz_requests`, and that its judgement sees what is wrong."""

import asyncio
from pathlib import Path

import pytest
from fuzz_requests import SMALL, Answer, Fuzzed, contract, fuzz, wrong_in
from mutated_requests import Requests, Sent
from server import served

CASES = 400
BROKEN = Sent("GET", "/", broken=True)
PLAIN = Sent("GET", "/")
PROBLEM = {"content-type": "application/problem+json"}


def test_no_changed_request_ends_badly(tmp_path: Path) -> None:
    """No failure of the service's own, no trace, and some of each: taken, refused, broken off."""
    with served(tmp_path, database_url=f"sqlite:///{tmp_path / 'store.db'}", **SMALL) as service:
        one = Fuzzed("sqlite", service, Requests(contract(), seed=1))
        assert asyncio.run(fuzz([one], cases=CASES)) == CASES == sum(one.statuses.values())
    assert one.bad == []
    assert {"200", "400", "404", "405", "422"} <= set(one.statuses)


@pytest.mark.parametrize(
    ("sent", "answer", "expected"),
    [
        (PLAIN, Answer(200, {}, b""), None),
        (BROKEN, None, None),
        (PLAIN, Answer(404, PROBLEM, b'{"status": 404}'), None),
        (PLAIN, Answer(503, PROBLEM | {"retry-after": "1"}, b'{"status": 503}'), None),
        (Sent("HEAD", "/"), Answer(404, PROBLEM, b""), None),
        (PLAIN, None, "no answer"),
        (PLAIN, Answer(500, PROBLEM, b'{"status": 500}'), "failure of the service"),
        (PLAIN, Answer(503, PROBLEM, b'{"status": 503}'), "failure of the service"),
        (PLAIN, Answer(404, {"content-type": "text/plain"}, b""), "no problem"),
        (BROKEN, Answer(400, PROBLEM, b"[]"), "can't be read"),
        (PLAIN, Answer(404, PROBLEM, b'{"status": 400}'), "says 400"),
    ],
)
def test_what_is_wrong_with_an_answer_is_seen(sent: Sent, answer: Answer | None, expected: str | None) -> None:
    """So that its silence means something."""
    found = wrong_in(sent, answer)
    assert found is None if expected is None else expected in str(found)
