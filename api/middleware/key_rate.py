"""How much may be asked with one key, where its maker set a rate. Each worker process counts by itself.

Every request that shows the key counts, whatever it asks. One with a key in its header that opens nothing is
refused, also where no key is needed: who sends one learns that it is wrong. A cell's key, in its address, is looked
at where it is needed, so that a sheet over the built-in table goes on when its key ends.
"""

from collections import OrderedDict
from dataclasses import dataclass
from hashlib import sha256
from math import ceil
from time import monotonic

import anyio
from limits import RateLimitItemPerSecond
from limits.strategies import MovingWindowRateLimiter
from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problem_details import problem, problem_for
from api.http.request_key import shown_key, wrong_key
from api.middleware.rate_limit import UNCOUNTED
from api.middleware.steady_hits import SteadyHits
from api.solving.solve_queue import JOB_SOLVES
from api.store.database import Store, StoreDown
from api.store.key import KEY, StoredKey, find_key

_KNOWN_S = 10.0  # judged: how long it is remembered what a key is; a revoked one opens nothing at once
_MOST_KNOWN = 1000  # of keys: bounded, since anyone can make up texts
_KEYED = "/v1/"  # where a wrong key is refused; pages take none
_Window = tuple[str, int, int]  # id of a key, its requests, and the seconds in which they may come


@dataclass(frozen=True)
class _Shown:
    """What is known of a text that is shown as a key: whether it opens anything, and its rate where it has one."""

    good: bool
    window: _Window | None = None


_NOT_KNOWN = _Shown(good=True)
_WRONG = _Shown(good=False)


class KeyRates:
    """The requests of every key that has a rate, in the latest window of each."""

    def __init__(self, store: Store) -> None:
        self.store = store
        self.limiter = MovingWindowRateLimiter(SteadyHits())
        self.known: OrderedDict[bytes, tuple[float, _Shown]] = OrderedDict()
        self.silent_until = 0.0  # the store is not asked while it is down

    async def window_of(self, request: Request) -> _Window | None:
        """Return the rate of the key that a request shows, where it has one."""
        shown = shown_key(request)
        return None if shown is None or not shown.is_key else (await self.looked_up(shown.text)).window

    async def looked_up(self, text: str) -> _Shown:
        """Return what is known of the text of a key; of a store that is down nothing is."""
        if KEY.fullmatch(text) is None:
            return _WRONG
        name, now = sha256(text.encode()).digest(), monotonic()
        known = self.known.get(name)
        if known is not None and known[0] > now:
            return known[1]
        if now < self.silent_until:
            return _NOT_KNOWN
        try:
            key = await anyio.to_thread.run_sync(self.find, text)
        except StoreDown:
            self.silent_until = monotonic() + _KNOWN_S
            return _NOT_KNOWN
        found = _WRONG if key is None else _shown_of(key)
        self.known[name] = (now + _KNOWN_S, found)
        self.known.move_to_end(name)
        if len(self.known) > _MOST_KNOWN:
            self.known.popitem(last=False)
        return found

    def find(self, text: str) -> StoredKey | None:
        """Return the key of a text."""
        with self.store.reading() as connection:
            return find_key(connection, text)

    def take(self, window: _Window) -> tuple[bool, int, int]:
        """Count a request with a key, where it has one left; return whether, how many are left, and when more [s]."""
        name, most, seconds = window
        item = RateLimitItemPerSecond(most, seconds, namespace="key")
        taken = self.limiter.hit(item, name)
        stats = self.limiter.get_window_stats(item, name)
        return taken, stats.remaining, max(1, ceil(stats.reset_time - monotonic()))

    async def wait_for(self, request: Request) -> None:
        """Count one more piece of work of a request, as soon as its key has one left."""
        while (window := await self.window_of(request)) is not None:
            taken, _, reset_s = self.take(window)
            if taken:
                return
            await anyio.sleep(min(1.0, reset_s))


def _shown_of(key: StoredKey) -> _Shown:
    """Return what is known of a key."""
    window = key.limits.rate_window
    return _Shown(good=True, window=None if window is None else (key.id, *window))


class KeyRateLimit:
    """Refuses wrong keys, and the requests of a key that are too many; tells whoever uses one what it has left."""

    def __init__(self, app: ASGIApp, *, rates: KeyRates) -> None:
        self.app = app
        self.rates = rates

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass one request through."""
        counted = scope["type"] == "http" and scope["path"] not in UNCOUNTED and JOB_SOLVES not in scope
        request = Request(scope) if counted else None
        shown = None if request is None else shown_key(request)
        if request is None or shown is None or not shown.is_key:
            await self.app(scope, receive, send)
            return
        found = await self.rates.looked_up(shown.text)
        # one in an address is left to who asks for one
        if not found.good and not shown.in_address and scope["path"].startswith(_KEYED):
            await problem_for(request, wrong_key(in_address=False))(scope, receive, send)
            return
        if found.window is None:
            await self.app(scope, receive, send)
            return
        window = name, most, seconds = found.window
        taken, left, reset_s = self.rates.take(window)

        async def send_told(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                headers.append("RateLimit-Policy", f'"key";q={most};w={seconds}')
                headers.append("RateLimit", f'"key";r={left};t={reset_s}')
            await send(message)

        if taken:
            await self.app(scope, receive, send_told)
            return
        detail = f"the key {name} sent more than {most} requests in {seconds} s (policy key)"
        refusal = problem(request, 429, detail, headers={"Retry-After": str(reset_s)})
        await refusal(scope, receive, send_told)
