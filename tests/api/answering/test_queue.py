"""Solves have so many places, few wait for one, none for ever; whoever hangs up gives his place back."""

import asyncio
import gc
import json
import socket
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from threading import Event, get_ident
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from server import served
from service import HOST, LEAST, problem_of, small_app
from steiner import bose, steiner_trip, tripled
from waiting import LONG_S

from api.questions.asked_trips import times_at_once
from api.settings.metrics import Metrics
from api.settings.settings import Settings
from api.solving import solve_queue
from api.solving.solve_queue import Solves
from solver import Answer, Cancelled, Effort, Trip, plan
from solver.forms.quantity import Objective
from solver.programs.engine import Engine, Outcome

KIT = {**LEAST, "detail": "kit"}
HARD = {**steiner_trip(tripled(bose(15))), "detail": "kit"}  # A45, minutes of work
NODES = 10**9  # the solve of A45 ends when it is cancelled, or never


class Held:
    """A plan that goes on until it is let go."""

    def __init__(self) -> None:
        self.go = Event()

    def __call__(self, trip: Trip, *, effort: Effort) -> Any:
        while not self.go.wait(0.01):
            effort.go_on()
        return plan(trip, effort=effort)


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Held:
    """POST /v1/kits with plans that can be held up."""
    found = Held()
    monkeypatch.setattr("api.questions.kit_questions.plan", found)
    return found


def at_once(app: FastAPI, count: int, then: Callable[[], None], *, after: int) -> list[httpx.Response]:
    """The answers to requests made at the same time; something happens after so many of them."""

    async def answers() -> list[httpx.Response]:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url=HOST, timeout=LONG_S) as client:
            asked = [asyncio.create_task(client.post("/v1/kits", json=KIT)) for _ in range(count)]
            while sum(one.done() for one in asked) < after:
                await asyncio.wait([one for one in asked if not one.done()], return_when=asyncio.FIRST_COMPLETED)
            then()
            return list(await asyncio.gather(*asked))

    return asyncio.run(answers())


def test_one_more_than_may_wait_is_a_503_at_once(held: Held) -> None:
    """One has the place, two wait, two are told to come again (RFC 9110, 10.2.3); the three get their kits."""
    answers = at_once(small_app(solves=1, solve_queue=2), 5, held.go.set, after=2)
    assert sorted(answer.status_code for answer in answers) == [200, 200, 200, 503, 503]
    for answer in answers:
        if answer.status_code == 503:
            assert problem_of(answer, 503)["type"].endswith("/problems/busy")
            assert 1 <= int(answer.headers["retry-after"]) <= 60


def test_no_wait_is_without_end(held: Held) -> None:
    """Who waited long enough for a place is told to come again."""
    answers = at_once(small_app(solves=1, solve_wait_seconds=0.2), 2, held.go.set, after=1)
    assert sorted(answer.status_code for answer in answers) == [200, 503]


LARGE = KIT | {"tasks": KIT["tasks"] * 20}


@pytest.mark.parametrize("lines", [False, True])
@pytest.mark.parametrize("batch", [False, True])
def test_of_those_that_hold_much_one_is_worked_on_at_a_time(
    held: Held, monkeypatch: pytest.MonkeyPatch, batch: bool, lines: bool
) -> None:
    """Two places, and two large trips: the second waits, and a small one goes before it. No source: our own rule."""
    app = small_app(solves=2)
    monkeypatch.setattr(solve_queue, "_LARGE", times_at_once(Trip.model_validate(KIT)))
    accept = {"Accept": "application/x-ndjson" if lines else "application/json"}

    async def asked() -> list[httpx.Response]:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url=HOST, timeout=LONG_S) as client:

            def post(*forms: dict[str, Any]) -> asyncio.Task[httpx.Response]:
                path = "/v1/kits/batch" if batch else "/v1/kits"
                body = "\n".join(json.dumps(form) for form in forms)
                kind = "application/x-ndjson" if batch else "application/json"
                return asyncio.create_task(client.post(path, content=body, headers={"Content-Type": kind} | accept))

            large = [post(LARGE, LARGE)] if batch else [post(LARGE), post(LARGE)]
            await come(lambda: app.state.solves.waiting == 1)
            assert app.state.solves.places.borrowed_tokens == 1
            small = asyncio.create_task(client.post("/v1/kits", json=KIT))
            await come(lambda: app.state.solves.places.borrowed_tokens == 2)
            assert app.state.solves.waiting == 1
            held.go.set()
            return [await one for one in (*large, small)]

    answers = asyncio.run(asked())
    assert [answer.status_code for answer in answers] == [200] * len(answers)
    assert app.state.solves.alone.borrowed_tokens == app.state.solves.places.borrowed_tokens == 0


async def come(holds: Callable[[], bool]) -> None:
    """Let the service work until something holds."""
    async with asyncio.timeout(LONG_S):
        while not holds():
            await asyncio.sleep(0.01)


@pytest.mark.usefixtures("held")
def test_no_answer_takes_for_ever() -> None:
    """The time of all solves of an answer together is bounded, and then its place is free."""
    app = small_app(solves=1, answer_seconds=0.2)
    for _ in range(2):
        (answer,) = at_once(app, 1, lambda: None, after=1)
        assert problem_of(answer, 503)["type"].endswith("/problems/unfinished")


def test_a_running_solve_ends_when_it_is_abandoned(monkeypatch: pytest.MonkeyPatch) -> None:
    """Within the solver, not after it."""
    begun, cancelled = Event(), Event()
    whole = Engine.minimise

    def minimise(engine: Engine, cost: Objective) -> Outcome:
        begun.set()
        return whole(engine, cost)

    monkeypatch.setattr(Engine, "minimise", minimise)
    asyncio.run(set_once(begun, cancelled))


async def set_once(begun: Event, cancelled: Event) -> None:
    """Abandon a plan that has come to its integer program, and is in it."""
    effort = Effort(nodes=NODES, seconds=1e6, cancelled=cancelled)
    solving = asyncio.create_task(asyncio.to_thread(plan, Trip.model_validate(HARD), effort=effort))
    assert await asyncio.to_thread(begun.wait, LONG_S)
    await asyncio.sleep(0.2)
    assert not solving.done()
    cancelled.set()
    with pytest.raises(Cancelled):
        await asyncio.wait_for(solving, LONG_S)


@pytest.mark.parametrize("path", ["/v1/kits", "/v1/kits/front", "/v1/kits/bad-night"])
def test_the_place_of_who_hangs_up_is_free(path: str, tmp_path: Path) -> None:
    """A running and a waiting request lose their callers; the next one is served, which else waited for hours."""
    with served(tmp_path, solves=1, solve_nodes=NODES) as own:
        host, port = own.url.removeprefix("http://").split(":")
        body = httpx.Request("POST", own.url, json=HARD).content
        head = f"POST {path} HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\nContent-Length: {len(body)}"
        links = [socket.create_connection((host, int(port))) for _ in range(2)]
        for link in links:
            link.sendall(head.encode() + b"\r\n\r\n" + body)
        own.working(running=1, waiting=1)
        for link in links:
            link.close()
        assert httpx.post(f"{own.url}/v1/kits", json=KIT, timeout=LONG_S).status_code == 200
        assert "Traceback" not in own.logged()


def test_a_failure_just_as_its_caller_leaves_is_no_lost_one() -> None:
    """Both in one turn of the loop: nothing is logged of an exception that nobody took."""
    lost: list[dict[str, Any]] = []
    failed = Event()

    def job(_: Effort) -> None:
        failed.set()
        raise ValueError("planted")

    async def leave() -> None:
        loop = asyncio.get_running_loop()
        loop.set_exception_handler(lambda _, context: lost.append(context))
        solves = Solves(Settings(), Metrics())
        task = asyncio.create_task(solves.run(job))
        await asyncio.sleep(0)
        assert failed.wait(LONG_S)
        solves.threads.shutdown()  # its thread has told the loop by now, which has had no turn
        task.cancel()
        await asyncio.wait([task])
        assert task.cancelled()
        del task
        gc.collect()

    asyncio.run(leave())
    assert lost == []


class _FullOfMemory:
    """A process that holds too much, and gives it back once it is told to."""

    much = True

    def __init__(self) -> None:
        self.told, self.given = Event(), Event()

    def give_back(self, *, anyway: bool = False) -> None:
        """Give it back."""
        assert self.told.wait(LONG_S) and not anyway
        self.given.set()


def test_an_answer_does_not_wait_until_memory_is_given_back() -> None:
    """It is given back in the thread of the answer, before that takes another; also where an answer failed."""

    def fail(_: Effort) -> None:
        raise ValueError("planted")

    solves = Solves(Settings(solves=1), Metrics())
    for job in (lambda effort: effort.nodes, fail):
        solves.freed = full = _FullOfMemory()  # type: ignore[assignment]  # all that is asked of one
        with suppress(ValueError):
            asyncio.run(solves.run(job))
        assert not full.given.is_set()
        full.told.set()
        solves.threads.submit(lambda: None).result(LONG_S)
        assert full.given.is_set()


@pytest.mark.parametrize("patient", [False, True])
@pytest.mark.parametrize(("times", "first"), [(10, "answer"), (10**9, "all memory")])
def test_a_large_answer_begins_once_memory_is_given_back(times: int, first: str, patient: bool) -> None:
    """What those before it had would stand beside what it needs; a small one does not wait. Our own rule."""
    order, solves = list[str](), Solves(Settings(solves=1), Metrics())

    class Noting(_FullOfMemory):
        def give_back(self, *, anyway: bool = False) -> None:
            order.append("all memory" if anyway else "memory")

    def job(_: Effort) -> None:
        order.append("answer")

    async def asked() -> None:
        if patient:
            await solves.run_patiently(job, solves.batch_time(), times=times)
        else:
            await solves.run(job, times=times)

    solves.freed = Noting()  # type: ignore[assignment]  # all that is asked of one
    asyncio.run(asked())
    assert order[0] == first


def test_an_answer_becomes_json_in_the_thread_of_its_job() -> None:
    """Not on the event loop, which other callers wait for; the figures count the answer, not its JSON."""
    threads = list[int]()

    def told(answer: Answer) -> bytes:
        threads.append(get_ident())
        return answer.model_dump_json().encode()

    async def asked() -> tuple[bytes, str]:
        threads.append(get_ident())
        return await solves.run_told(lambda effort: plan(Trip.model_validate(KIT), effort=effort), told)

    solves = Solves(Settings(), metrics := Metrics())
    body, timing = asyncio.run(asked())
    assert Answer.model_validate_json(body).status == "optimal"
    assert timing.startswith("solve;dur=")
    assert threads[0] != threads[1]
    assert 'kitwright_solve_seconds_count{outcome="optimal"} 1.0' in metrics.text().decode()
