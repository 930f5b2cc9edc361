"""The rate of a client by the monotonic clock: the wall clock may jump as it likes."""

import random
import time

import pytest

from api.middleware import steady_hits
from api.middleware.rate_limit import Rate
from api.middleware.steady_hits import SteadyHits
from api.settings.settings import Settings

pytestmark = pytest.mark.quick


class Clock:
    """A clock that a test sets."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.now = 1000.0
        monkeypatch.setattr(steady_hits, "monotonic", lambda: self.now)


def test_a_window_is_what_its_definition_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beside a list of all times: a request is taken when fewer than the limit were in the window before it."""
    clock, draw, hits = Clock(monkeypatch), random.Random(9), SteadyHits()
    taken: dict[str, list[float]] = {"a": [], "b": []}
    for _ in range(3000):
        clock.now += draw.choice((0.0, 0.1, 0.7, 3.0))
        client = draw.choice("ab")
        counting = [at for at in taken[client] if at >= clock.now - 10]
        assert hits.get_moving_window(client, 7, 10) == ((counting or [clock.now])[0], len(counting))
        assert hits.acquire_entry(client, 7, 10) is (len(counting) < 7)
        if len(counting) < 7:
            taken[client].append(clock.now)


def test_clients_that_stay_away_are_forgotten(monkeypatch: pytest.MonkeyPatch) -> None:
    """So that a million addresses fill no memory."""
    clock, hits = Clock(monkeypatch), SteadyHits()
    for number in range(10_000):
        hits.acquire_entry(f"client {number}", 3, 60)
        clock.now += 1
    assert len(hits.hits) <= 2 * 60 + 1


def test_jumps_of_the_wall_clock_change_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A year ahead lets nobody through; a year back locks nobody out for longer than the window."""
    clock = Clock(monkeypatch)
    monkeypatch.setattr("api.middleware.rate_limit.monotonic", lambda: clock.now)
    rate = Rate(Settings(rate_limit=2, rate_seconds=60))
    real = time.time
    assert [rate.take("me").taken for _ in range(3)] == [True, True, False]
    for jump_s in (31_536_000, -31_536_000):
        monkeypatch.setattr(time, "time", lambda jump_s=jump_s: real() + jump_s)
        refused = rate.take("me")
        assert (refused.taken, refused.left, refused.reset_s) == (False, 0, 60)
    clock.now += 60.1
    assert [rate.take("me").taken for _ in range(3)] == [True, True, False]
