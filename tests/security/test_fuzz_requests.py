"""Some of the changed requests of `python tests fuzz_requests`, and that its judgement sees what is wrong."""

import asyncio
from pathlib import Path

import pytest
from fuzz_requests import LEAST_JUDGED, MOST_GROWTH, SMALL, Answer, Fuzzed, contract, fuzz, growth, wrong_in
from mutated_requests import Requests, Sent
from server import served

CASES = 400
BROKEN = Sent("GET", "/", broken=True)
PLAIN = Sent("GET", "/")
PROBLEM = {"content-type": "application/problem+json"}
TURN = 5_000
HELD_MIB = {  # a run of `python tests fuzz_requests --seed 4713` on a state of 0.11.0, after each turn
    "sqlite": [
        276,
        294,
        305,
        306,
        308,
        308,
        308,
        300,
        325,
        329,
        330,
        310,
        319,
        322,
        325,
        324,
        324,
        326,
        326,
        328,
        328,
        336,
        336,
        336,
        337,
        338,
        338,
        336,
        338,
        338,
        339,
        338,
        338,
        341,
        338,
        337,
        338,
        327,
        341,
        329,
        332,
        329,
        331,
        331,
        331,
        331,
        331,
        331,
        331,
        331,
        331,
        331,
        331,
        332,
        332,
        331,
        331,
        331,
        331,
        331,
    ],
    "postgresql": [
        252,
        263,
        284,
        300,
        337,
        339,
        341,
        346,
        346,
        351,
        347,
        349,
        350,
        350,
        349,
        352,
        351,
        350,
        350,
        351,
        352,
        354,
        359,
        356,
        355,
        356,
        355,
        355,
        357,
        356,
        356,
        356,
        356,
        356,
        353,
        340,
        356,
        355,
        358,
        356,
        358,
        359,
        356,
        359,
        361,
        359,
        361,
        359,
        361,
        363,
        362,
        360,
        362,
        362,
        362,
        362,
        364,
        362,
        364,
        363,
    ],
}


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


@pytest.mark.parametrize("held_mib", HELD_MIB.values(), ids=HELD_MIB)
def test_caches_that_fill_are_no_leak_and_a_leak_is_none_of_them(held_mib: list[int]) -> None:
    """The recorded run, ended at each length, as it was and with a kilobyte more held of each request."""
    leaking = [mib + turn * TURN / 1024 for turn, mib in enumerate(held_mib, 1)]
    for turns in range(1, len(held_mib) + 1):
        requests = turns * TURN
        as_run = growth([round(1024 * mib) for mib in held_mib[:turns]], requests=requests)
        leaked = growth([round(1024 * mib) for mib in leaking[:turns]], requests=requests)
        if requests < LEAST_JUDGED:
            assert as_run is None and leaked is None
        else:
            assert as_run is not None and as_run <= MOST_GROWTH
            assert leaked is not None and leaked > MOST_GROWTH
