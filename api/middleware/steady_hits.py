"""Requests counted by a clock that nobody sets; the wall clock may jump, and would lock callers out or let them in.

A storage of the library `limits` for its moving window, which has its own one for the wall clock alone.
"""

from collections import deque
from threading import Lock
from time import monotonic

from limits.storage import MemoryStorage


class SteadyHits(MemoryStorage):
    """When each client's latest requests came, by the monotonic clock; kept in memory, for one window."""

    def __init__(self) -> None:
        super().__init__()
        self.hits: dict[str, deque[float]] = {}
        self.sweep_at = 0.0
        self.turn = Lock()

    def acquire_entry(self, key: str, limit: int, expiry: int, amount: int = 1) -> bool:
        """Count so many requests of a client, unless that were more than the limit within the window [s]."""
        now = monotonic()
        with self.turn:
            self._sweep(now, expiry)
            living = self._living(key, now - expiry)
            if len(living) + amount > limit:
                return False
            living.extend([now] * amount)
            self.hits[key] = living
        return True

    def get_moving_window(self, key: str, limit: int, expiry: int) -> tuple[float, int]:
        """Return when the oldest request came that still counts, by the monotonic clock, and how many count."""
        now = monotonic()
        with self.turn:
            living = self._living(key, now - expiry)
            return (living[0], min(limit, len(living))) if living else (now, 0)

    def _living(self, key: str, since: float) -> deque[float]:
        """Return the requests of a client that still count."""
        hits = self.hits.get(key, deque())
        while hits and hits[0] < since:
            hits.popleft()
        return hits

    def _sweep(self, now: float, expiry: int) -> None:
        """Forget the clients none of whose requests counts, once a window."""
        if now >= self.sweep_at:
            self.sweep_at = now + expiry
            self.hits = {key: hits for key in list(self.hits) if (hits := self._living(key, now - expiry))}
