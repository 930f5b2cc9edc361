"""What an operator sees: a log of JSON lines bound by request ids, figures for Prometheus, readiness, a clean stop."""

import asyncio
import json
import logging
import logging.config
import re
import signal
import subprocess
from pathlib import Path
from threading import Event, Thread
from time import monotonic
from typing import Any

import httpx
import pytest
from anyio import to_thread
from prometheus_client.parser import text_string_to_metric_families
from server import Server, served
from service import HOST, LEAST, ask, post, problem_of, small_app
from sqlalchemy import create_engine, event, text
from sqlalchemy.pool import NullPool
from steiner import bose, steiner_trip, tripled
from waiting import LONG_S, until

from api.middleware.request_log import LOG_CONFIG
from api.store.database import Store
from solver import Effort, Trip, plan

KIT = {**LEAST, "detail": "kit"}
SECRET = "never-to-be-written"
NODES = 2000  # of a solve that takes long enough to be stopped in: seconds


def lines_of(server: Server, request: str) -> list[dict[str, Any]]:
    """The lines of a request in the log, of which every line is an object; they come just after the answer."""
    lines: list[dict[str, Any]] = [json.loads(line) for line in server.logged(request).splitlines()]
    return [line for line in lines if line["request"] == request]


def test_every_request_is_one_line_with_its_id(server: Server) -> None:
    """The id that the caller gave or got; the path without its query; how it ended and how long it took."""
    start = monotonic()
    own = {"X-Request-ID": "my-id.7"}
    given = httpx.post(f"{server.url}/v1/kits?units=us", json=KIT, headers=own, timeout=LONG_S)
    bearer = {"Authorization": f"Bearer {SECRET}"}
    made = httpx.get(f"{server.url}/nowhere?key={SECRET}", headers=bearer, timeout=LONG_S)
    assert given.headers["x-request-id"] == "my-id.7"
    (line,) = lines_of(server, "my-id.7")
    assert (line["method"], line["path"], line["route"], line["status"]) == ("POST", "/v1/kits", "/v1/kits", 200)
    assert 0 < line["ms"] < 1000 * (monotonic() - start), "within the time that its caller saw pass"
    assert line["time"].endswith("+00:00")
    (line,) = lines_of(server, made.headers["x-request-id"])
    assert (line["path"], line["status"]) == ("/nowhere", 404)
    assert SECRET not in server.logged()


@pytest.mark.parametrize("forged", ["a b", "x" * 65, '"}', ""])
def test_an_id_that_could_forge_a_line_is_not_taken(forged: str) -> None:
    """One of the service's own is given in its place."""
    answer = ask("GET", "/healthz", headers={"X-Request-ID": forged})
    assert re.fullmatch("[0-9a-f]{32}", answer.headers["x-request-id"])


def test_a_trace_is_a_field_of_one_line_and_never_an_answer(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    """A fault inside the service: the line has the id that the caller can quote."""
    monkeypatch.setattr("api.questions.kit_questions.plan", lambda *_, **__: 1 / 0)
    root = logging.getLogger()
    before = (root.handlers[:], root.level)
    logging.config.dictConfig(LOG_CONFIG)
    try:
        answer = ask("POST", "/v1/kits", json=KIT, headers={"X-Request-ID": "broken"})
    finally:
        root.handlers[:], root.level = before[0], before[1]
    problem_of(answer, 500)
    (line,) = [line for line in map(json.loads, capfd.readouterr().err.splitlines()) if "trace" in line]
    assert line["request"] == "broken"
    assert "ZeroDivisionError" in line["trace"]
    assert "ZeroDivision" not in answer.text
    assert answer.headers["x-request-id"] == "broken"
    assert answer.headers["x-content-type-options"] == "nosniff"


def figures(text: str) -> dict[tuple[str, tuple[tuple[str, str], ...]], float]:
    """The figures of an exposition, read by Prometheus's own parser."""
    return {
        (sample.name, tuple(sorted(sample.labels.items()))): sample.value
        for family in text_string_to_metric_families(text)
        for sample in family.samples
    }


def test_figures_are_those_of_what_happened() -> None:
    """Two kits, one of them twice; a trip that nothing covers; a refusal: counted by route, status and outcome."""
    app = small_app(memory_bytes=0)
    uncovered = {"tasks": [{"task": "split", "diameter_mm": 2000}], "detail": "kit"}
    for trip in (KIT, KIT, uncovered, {"people": 0}):
        post(trip, app=app)
    answer = ask("GET", "/metrics", app=app)
    assert answer.headers["content-type"].startswith("text/plain; version=")
    found = figures(answer.text)
    route = (("method", "POST"), ("route", "/v1/kits"))
    assert found["kitwright_request_seconds_count", (*route, ("status", "200"))] == 3
    assert found["kitwright_request_seconds_count", (*route, ("status", "422"))] == 1
    assert found["kitwright_solve_seconds_count", (("outcome", "optimal"),)] == 2
    assert found["kitwright_solve_seconds_count", (("outcome", "uncovered"),)] == 1
    proofs = [plan(Trip.model_validate(trip)).proof for trip in (KIT, KIT, uncovered)]
    assert found["kitwright_tools_considered_total", ()] == sum(proof.tools_considered for proof in proofs)
    assert found["kitwright_tools_set_aside_total", ()] == sum(proof.tools_set_aside for proof in proofs)
    assert found["kitwright_solves_waiting", ()] == found["kitwright_solves_running", ()] == 0


def test_paths_and_methods_of_callers_make_no_figures_of_their_own() -> None:
    """A hundred addresses that are not there, and methods that are none, are counted together."""
    app = small_app()
    for number in range(100):
        ask(f"BREW{number}" if number % 2 else "GET", f"/nowhere/{number}", app=app)
    series = [key for key in figures(ask("GET", "/metrics", app=app).text) if key[0].endswith("seconds_count")]
    assert len(series) == 2


def test_ready_means_that_it_has_just_solved_a_trip(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where the solver finds nothing, or the store is not to be had, it is not ready; and it recovers."""
    app = small_app(database_url=f"sqlite:///{tmp_path / 'store.sqlite'}")
    assert ask("GET", "/readyz", app=app).json() == {"status": "ready"}
    with monkeypatch.context() as patched:
        patched.setattr(app.state.solves, "effort", app.state.solves.effort.__class__(seconds=1e-9))
        problem_of(ask("GET", "/readyz", app=app), 503)
    assert ask("GET", "/readyz", app=app).status_code == 200
    lost = small_app(database_url=f"sqlite:///{tmp_path}/no/such/\0folder/store.sqlite".replace("\0", "x" * 300))
    assert problem_of(ask("GET", "/readyz", app=lost), 503)["type"].endswith("/problems/store-down")
    assert ask("GET", "/healthz", app=lost).status_code == 200


def test_a_store_that_can_only_be_read_is_not_ready(database_url: str) -> None:
    """A replica, or a disk mounted read-only; one that somebody writes to now is ready."""
    app = small_app(database_url=database_url)
    store: Store = app.state.store
    with store.writing():
        assert ask("GET", "/readyz", app=app).status_code == 200
    if database_url.startswith("sqlite"):
        path = database_url.removeprefix("sqlite:///")
        store.watch = create_engine(f"sqlite:///file:{path}?mode=ro&uri=true", poolclass=NullPool)
        event.listen(store.watch, "begin", lambda connection: connection.exec_driver_sql("BEGIN IMMEDIATE"))
        event.listen(store.watch, "connect", lambda connection, _: setattr(connection, "isolation_level", None))
    else:
        with store.writing() as connection:
            name = connection.execute(text("SELECT current_database()")).scalar()
            connection.execute(text(f'ALTER DATABASE "{name}" SET default_transaction_read_only = on'))
    problem = problem_of(ask("GET", "/readyz", app=app), 503)
    assert problem["detail"] == "the store can be read but not written"
    store.close()


def test_health_waits_behind_no_work(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Every place is taken and many wait, every thread of the store is held: each tells at once how things are."""
    go, app = Event(), small_app(database_url=f"sqlite:///{tmp_path / 'store.sqlite'}", solves=1, solve_queue=1)

    def held(trip: Trip, *, effort: Effort) -> Any:
        go.wait()
        return plan(trip, effort=effort)

    monkeypatch.setattr("api.questions.kit_questions.plan", held)

    async def asked() -> list[int]:
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url=HOST, timeout=LONG_S) as client:
            await client.get("/readyz")
            threads = int(to_thread.current_default_thread_limiter().total_tokens)
            waiting = [asyncio.create_task(to_thread.run_sync(go.wait)) for _ in range(threads)]
            waiting.append(asyncio.create_task(client.post("/v1/kits", json=KIT)))
            while not app.state.solves.places.statistics().borrowed_tokens:
                await asyncio.sleep(0.001)
            try:
                return [(await client.get(address)).status_code for address in ("/healthz", "/readyz", "/metrics")]
            finally:
                go.set()
                await asyncio.gather(*waiting)

    assert asyncio.run(asked()) == [200, 200, 200]


def test_a_stop_finishes_what_runs(tmp_path: Path) -> None:
    """SIGTERM while a kit is worked on: its caller gets it, and then the process ends; new callers are refused."""
    hard = {**steiner_trip(tripled(bose(15))), "detail": "kit"}  # A45: runs until its nodes are spent
    with served(tmp_path, solves=1, solve_nodes=NODES, drain_seconds=3600) as own:
        answers: list[httpx.Response] = []
        caller = Thread(target=lambda: answers.append(httpx.post(f"{own.url}/v1/kits", json=hard, timeout=LONG_S)))
        caller.start()
        own.working(running=1)
        subprocess.run(["kill", f"-{signal.SIGTERM:d}", str(own.pid)], check=True)
        until(lambda: refuses(own), "an end to new callers")
        caller.join()
    assert answers[0].status_code == 200
    assert answers[0].json()["kit"]["tools"]
    assert "Traceback" not in own.logged()


def refuses(own: Server) -> bool:
    """Tell whether a service takes no new callers."""
    try:
        httpx.get(f"{own.url}/healthz", timeout=LONG_S)
    except httpx.TransportError:
        return True
    return False


def test_every_answer_keeps_browsers_from_making_more_of_it(server: Server) -> None:
    """Those headers of OWASP's REST Security Cheat Sheet that an API needs, on answers and failures alike."""
    asked = {"/v1/tools/axe-boys-1100": 200, "/nowhere": 404, "/metrics": 200, "/problems/busy": 200}
    for path, status in asked.items():
        answer = httpx.get(f"{server.url}{path}", timeout=LONG_S)
        assert answer.status_code == status
        assert answer.headers["x-content-type-options"] == "nosniff"
        assert answer.headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"
        assert answer.headers["cache-control"] == "no-store"
        assert answer.headers["referrer-policy"] == "no-referrer"
        assert "server" not in answer.headers
