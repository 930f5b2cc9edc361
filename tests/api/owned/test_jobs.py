"""Jobs: the answer that comes later is the one that would have come now; whose they are, how many, how they end."""

import asyncio
import json
from collections.abc import Callable
from pathlib import Path
from threading import Event
from typing import Any

import httpx
import pytest
from fastapi import FastAPI, Request
from jobs import ASYNC, state_of, working
from service import LEAST, ask, faults_of, problem_of, small_app
from starlette.datastructures import Headers
from waiting import LONG_S

from api.answering import later_answer
from api.cli.command import main
from api.examples.catalog_bodies import HUT
from api.examples.question_examples import short_adoption
from api.http.preference import preferred_wait_s, prefers_async
from api.questions.registry import ROWS
from api.store.stored_job import AskedJob, StoredJob
from solver import Effort, Trip, plan

pytestmark = pytest.mark.quick

KIT = LEAST | {"detail": "kit"}
TABLE = {"Content-Type": "text/csv"}
LINES = {"Content-Type": "application/x-ndjson"}
NEW = {"If-None-Match": "*"}


async def made(client: httpx.AsyncClient, address: str = "/v1/kits", **options: Any) -> str:
    """The place of a question asked as a job."""
    options = {"json": KIT} | options if "content" not in options else options
    answer = await client.post(address, **{**options, "headers": ASYNC | options.get("headers", {})})
    assert answer.status_code == 202, answer.text
    assert answer.headers["preference-applied"] == "respond-async"
    place: str = answer.headers["location"]
    assert place == answer.json()["links"]["job"]
    return place


async def later(client: httpx.AsyncClient, address: str, **options: Any) -> httpx.Response:
    """The answer to a question asked as a job."""
    job = await state_of(client, await made(client, address, **options), "done", "failed")
    assert job["started_at"] <= job["ended_at"] <= job["expires_at"]
    answer = await client.get(job["links"]["result"])
    assert (job["status"], job["state"]) == (answer.status_code, "done" if answer.is_success else "failed")
    return answer


def test_every_question_is_answered_later_as_it_is_now(tmp_path: Path) -> None:
    """Byte for byte: each question, in other units, as a picture, by lines, a batch, tables and files of trips."""
    app = small_app(database_url=f"sqlite:///{tmp_path / 'store.sqlite'}", one_user=True, memory_bytes=0)
    asked: list[tuple[str, dict[str, Any]]] = [
        (row.address, {"json": row.example if row.contract_body is None else row.contract_body()}) for row in ROWS
    ]
    asked += [
        ("/v1/kits?units=us", {"json": KIT}),
        ("/v1/kits/sure.svg", {"json": {"trip": LEAST, "sure": {"draws": 64}}}),
        ("/v1/designs/adoption-map.svg", {"json": short_adoption()}),
        ("/v1/kits/batch", {"content": f"{json.dumps(KIT)}\n{{}}\n".encode(), "headers": LINES}),
        ("/v1/sheet/trips", {"content": b"split_mm\r\n140\r\nx\r\n", "headers": TABLE}),
        ("/v1/sheet/trips.csv?fields=kit.mass_g", {"content": b"split_mm,kit.mass_g\r\n", "headers": TABLE}),
    ]

    async def talk(client: httpx.AsyncClient) -> None:
        for address, options in asked:
            direct, found = await client.post(address, **options), await later(client, address, **options)
            assert direct.status_code == 200, direct.text
            assert (found.status_code, found.content) == (200, direct.content), address
            for name in ("content-type", "content-disposition"):
                assert found.headers.get(name) == direct.headers.get(name)
        by_lines = await later(client, "/v1/kits", json=KIT, headers={"Accept": "application/x-ndjson"})
        assert by_lines.headers["content-type"] == "application/x-ndjson"
        last = json.loads(by_lines.text.splitlines()[-1])
        assert last["answer"] == (await client.post("/v1/kits", json=KIT)).json()

    working(app, talk)
    assert 'kitwright_jobs_total{state="done"}' in ask("GET", "/metrics", app=app).text


def test_a_job_whose_time_does_not_suffice_says_when_to_ask_again(tmp_path: Path) -> None:
    """As its address does."""
    store = f"sqlite:///{tmp_path / 'store.sqlite'}"
    app = small_app(database_url=store, one_user=True, answer_seconds=1e-9, job_seconds=1e-9)

    async def talk(client: httpx.AsyncClient) -> None:
        found = await later(client, "/v1/kits/season", json={"trips": [{"weight": 1, "trip": LEAST}]})
        assert (found.status_code, found.json()["instance"]) == (503, "/v1/kits/season")
        assert found.headers["retry-after"].isdecimal()

    working(app, talk)


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        (["respond-async"], True),
        (["Respond-Async"], True),
        (["handling=lenient, respond-async;x=1"], True),
        (['x="a, b", respond-async'], True),
        (["wait=10", "respond-async"], True),
        (['respond-async=""'], True),
        (["respond-async=1"], False),
        (['x="respond-async"'], False),
        (['x="a, respond-async'], False),
        (["respond-asynchronous"], False),
        (["return=respond-async"], False),
        (["respond-async" + " " * 3000], False),
        ([""], False),
        ([], False),
    ],
)
def test_a_preference_is_read_as_its_standard_says(fields: list[str], expected: bool) -> None:
    """RFC 7240, 2: a list of names, in any case, with values in quotes or not; no value and an empty one are one."""
    assert prefers_async(Headers(raw=[(b"prefer", one.encode()) for one in fields])) is expected


@pytest.mark.parametrize(
    ("fields", "expected"),
    [
        (["respond-async, wait=10"], 10),
        (["respond-async", 'Wait = "7"; x'], 7),
        (["wait=3, respond-async, wait=5"], 3),
        (["respond-async"], 0),
        (["respond-async, wait"], 0),
        (["respond-async, wait=-1"], 0),
        (["respond-async, wait=1e3"], 0),
        (['respond-async, x="wait=9"'], 0),
        (["respond-async, wait=\u0661"], 0),
        (["respond-async, wait=" + "9" * 19], 0),
    ],
)
def test_a_wait_is_read_as_its_standard_says(fields: list[str], expected: int) -> None:
    """RFC 7240, 4.3: whole seconds; the first of several counts (2); what is no such number is none."""
    assert preferred_wait_s(Headers(raw=[(b"prefer", one.encode()) for one in fields])) == expected


def test_what_is_wrong_is_told_at_once_and_kept_nowhere(app: FastAPI) -> None:
    """A body that can't be taken is a 422 and no job; so is an idempotency key of another question."""
    assert "#/people" in faults_of(ask("POST", "/v1/kits", app=app, json=KIT | {"people": 0}, headers=ASYNC))
    missing = ask("POST", "/v1/kits", app=app, json=KIT | {"catalog": "none"}, headers=ASYNC)
    assert "#/catalog" in faults_of(missing)
    problem_of(
        ask("POST", "/v1/kits", app=app, content=b"{", headers=ASYNC | {"Content-Type": "application/json"}), 400
    )
    problem_of(ask("POST", "/v1/kits", app=app, content=b"{}", headers=ASYNC | TABLE), 415)
    assert ask("GET", "/v1/jobs", app=app).json() == {"items": [], "next": None}
    once = ASYNC | {"Idempotency-Key": "mine"}
    first, again = (ask("POST", "/v1/kits", app=app, json=KIT, headers=once) for _ in range(2))
    assert first.headers["location"] == again.headers["location"]
    for headers, body in ((once, LEAST), (ASYNC | {"Idempotency-Key": "x" * 201}, KIT)):
        assert "#/header/idempotency-key" in faults_of(ask("POST", "/v1/kits", app=app, json=body, headers=headers))
    assert len(ask("GET", "/v1/jobs", app=app).json()["items"]) == 1


@pytest.mark.parametrize(
    ("address", "body", "pointer"),
    [
        ("/v1/kits", {}, "#/tasks"),
        ("/v1/kits", KIT | {"wood": {"species": "none"}}, "#/wood/species"),
        ("/v1/kits", KIT | {"must_carry": ["none"]}, "#/must_carry/0"),
        ("/v1/kits", KIT | {"limits": {"banned_kinds": ["none"]}}, "#/limits/banned_kinds/0"),
        (
            "/v1/kits",
            KIT | {"trials": [{"tool": "none", "task": "saw", "diameter_mm": 80, "count": 1, "minutes": 1}]},
            "#/trials/0/tool",
        ),
        ("/v1/kits/front", {"trip": KIT | {"robust": {}}}, "#/trip/robust"),
        ("/v1/kits/check", {"trip": KIT, "kit": ["none"]}, "#/kit/0"),
        ("/v1/kits/bad-night", {"trip": KIT, "kit": ["hatchet-600", "none"]}, "#/kit/1"),
        ("/v1/kits/season", {"trips": [{"trip": KIT}, {"trip": {}}]}, "#/trips/1/trip/tasks"),
        ("/v1/kits/sure.svg", {"trip": {"tasks": []}}, "#/trip/tasks"),
    ],
)
def test_fields_that_do_not_go_together_are_told_at_once(
    app: FastAPI, address: str, body: dict[str, Any], pointer: str
) -> None:
    """As the address tells them to who waits, word for word."""
    asked, direct = (ask("POST", address, app=app, json=body, headers=one) for one in (ASYNC, {}))
    assert pointer in faults_of(asked)
    assert asked.json() == direct.json()
    assert ask("GET", "/v1/jobs", app=app).json()["items"] == []


def test_trips_that_name_what_stands_beside_them_become_jobs(app: FastAPI) -> None:
    """A tool not yet made is one that its trip may name; tasks may stand in the scenarios alone."""
    tool = {"id": "mine", "name": "Mine", "kind": "hatchet", "mass_g": 300, "split_score": 5, "split_max_mm": 150}
    bodies: dict[str, Any] = {
        "/v1/designs/adoption": {"tool": tool, "trips": [{"trip": KIT | {"must_carry": ["mine"]}}]},
        "/v1/kits/confidence": {
            "trip": {"detail": "kit"},
            "scenarios": [{"weight": 1, "tasks": KIT["tasks"]}],
            "confidence": 1,
        },
    }

    async def talk(client: httpx.AsyncClient) -> None:
        for address, body in bodies.items():
            assert (await later(client, address, json=body)).status_code == 200

    working(app, talk)


def test_what_becomes_wrong_meanwhile_is_told_by_the_job(app: FastAPI) -> None:
    """A catalog that is gone when the work begins: the result is the problem, with its status."""
    assert ask("PUT", "/v1/catalogs/hut", app=app, json=HUT, headers=NEW).status_code == 201

    async def talk(client: httpx.AsyncClient) -> None:
        await state_of(client, place, "failed")
        answer = await client.get(f"{place}/result")
        assert answer.status_code == 422
        assert answer.json()["errors"][0]["pointer"] == "#/catalog"

    made_now = ask("POST", "/v1/kits", app=app, json=KIT | {"catalog": "hut"}, headers=ASYNC)
    place = made_now.headers["location"]
    found, early = (ask("GET", f"{place}{where}", app=app) for where in ("", "/result"))
    assert found.json()["state"] == "queued"
    assert found.headers["retry-after"]
    assert "queued" in problem_of(early, 404)["detail"]
    assert ask("DELETE", "/v1/catalogs/hut", app=app, headers={"If-Match": "*"}).status_code == 204
    working(app, talk)


@pytest.fixture
def keys(database_url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """What makes keys in the store of the test."""
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)

    def key(owner: str, scope: str = "plan") -> dict[str, str]:
        assert main(["key", "create", "--owner", owner, "--scope", scope]) == 0
        return {"Authorization": f"Bearer {capsys.readouterr().out.strip()}"}

    return key


def test_a_job_is_its_owners_alone(app: FastAPI, keys: Callable[..., dict[str, str]]) -> None:
    """Others learn nothing of it; who shows no key is answered at once; weak and wrong keys are refused."""
    anna, ben, weak, sheet = keys("anna"), keys("ben"), keys("anna", "read"), keys("anna", "sheet")
    place = ask("POST", "/v1/kits", app=app, json=KIT, headers=ASYNC | anna).headers["location"]
    nowhere = f"/v1/jobs/{'0' * 32}"
    for method, where in (("GET", ""), ("GET", "/result"), ("DELETE", "")):
        theirs, none = (ask(method, f"{one}{where}", app=app, headers=ben) for one in (place, nowhere))
        assert problem_of(theirs, 404)["detail"].replace(place[9:], "") == problem_of(none, 404)["detail"].replace(
            nowhere[9:], ""
        )
        problem_of(ask(method, f"{place}{where}", app=app), 401)
    assert ask("GET", "/v1/jobs", app=app, headers=ben).json()["items"] == []
    assert ask("GET", place, app=app, headers=weak).json()["state"] == "queued"
    problem_of(ask("DELETE", place, app=app, headers=weak), 403)
    direct = ask("POST", "/v1/kits", app=app, json=KIT, headers=ASYNC)
    assert (direct.status_code, "preference-applied" in direct.headers) == (200, False)
    problem_of(ask("POST", "/v1/kits", app=app, json=KIT, headers=ASYNC | weak), 403)
    problem_of(ask("POST", "/v1/kits", app=app, json=KIT, headers=ASYNC | {"Authorization": "Bearer x"}), 401)
    text = sheet["Authorization"].removeprefix("Bearer ")
    table = {"content": b"split_mm\r\n140\r\n", "headers": ASYNC | TABLE}
    problem_of(ask("POST", f"/v1/sheet/trips?key={text}", app=app, **table), 403)
    problem_of(ask("POST", f"/v1/sheet/trips?key={text}", app=app, **{**table, "headers": ASYNC | TABLE | anna}), 403)
    with app.state.store.reading() as connection:
        kept = str(connection.exec_driver_sql("SELECT query, headers, body FROM answer_job").all())
    assert text not in kept
    assert anna["Authorization"].split("_", 2)[2] not in kept


def test_the_job_of_a_revoked_key_is_not_answered_from_its_catalogs(
    app: FastAPI, keys: Callable[..., dict[str, str]]
) -> None:
    """From the revocation on, as with a request."""
    anna, other = keys("anna", "write"), keys("anna", "read")
    assert ask("PUT", "/v1/catalogs/hut", app=app, json=HUT, headers=NEW | anna).status_code == 201
    asked = ask("POST", "/v1/kits", app=app, json=KIT | {"catalog": "hut"}, headers=ASYNC | anna)
    place = asked.headers["location"]
    assert main(["key", "revoke", anna["Authorization"].split("_")[1]]) == 0

    async def talk(client: httpx.AsyncClient) -> None:
        job = await state_of(client, place, "failed", headers=other)
        assert job["status"] == 401

    working(app, talk)


def test_the_command_line_sees_jobs_as_their_owner_does(
    app: FastAPI, database_url: str, monkeypatch: pytest.MonkeyPatch, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    """List, show, wait, cancel; nothing of another owner's."""
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)

    def told(*arguments: str, code: int = 0) -> bytes:
        assert main(["jobs", *arguments]) == code
        return capsysbinary.readouterr().out

    async def talk(client: httpx.AsyncClient) -> None:
        await state_of(client, f"/v1/jobs/{done}", "done")
        await state_of(client, f"/v1/jobs/{failed}", "failed")

    assert ask("PUT", "/v1/catalogs/hut", app=app, json=HUT, headers=NEW).status_code == 201
    asked = (KIT, KIT | {"catalog": "hut"})
    done, failed = (ask("POST", "/v1/kits", app=app, json=one, headers=ASYNC).json()["id"] for one in asked)
    assert ask("DELETE", "/v1/catalogs/hut", app=app, headers={"If-Match": "*"}).status_code == 204
    working(app, talk)
    waiting = ask("POST", "/v1/kits", app=app, json=KIT, headers=ASYNC).json()["id"]
    assert [line.split()[:2] for line in told("list").decode().splitlines()] == [
        [done, "done"],
        [failed, "failed"],
        [waiting, "queued"],
    ]
    assert json.loads(told("show", waiting, "--json"))["state"] == "queued"
    assert told("wait", done) == ask("GET", f"/v1/jobs/{done}/result", app=app).content
    assert (
        json.loads(told("wait", failed, code=4))["status"]
        == ask("GET", f"/v1/jobs/{failed}/result", app=app).status_code
    )
    for word in ("cancelled", "removed"):
        assert json.loads(told("cancel", waiting, "--json")) == {"id": waiting, "done": word}
    for action in ("show", "wait", "cancel"):
        told(action, waiting, code=2)
        told(action, done, "--owner", "ben", code=2)


def test_jobs_are_listed_by_pages(app: FastAPI) -> None:
    """The oldest first, each once."""
    places = [ask("POST", "/v1/kits", app=app, json=KIT, headers=ASYNC).headers["location"] for _ in range(3)]
    first = ask("GET", "/v1/jobs?limit=2", app=app).json()
    second = ask("GET", first["next"].partition("127.0.0.1")[2], app=app).json()
    found = [job["links"]["job"] for page in (first, second) for job in page["items"]]
    assert (sorted(found), len(set(found)), second["next"]) == (sorted(places), 3, None)
    assert [job["made_at"] for job in first["items"]] == sorted(job["made_at"] for job in first["items"])


def test_jobs_are_bounded(database_url: str) -> None:
    """Those that wait, of one and of all; bytes; ended ones go, the oldest first; all go when their time is over."""
    settings = {"database_url": database_url, "one_user": True}
    app = small_app(**settings, most_owner_jobs=2)
    for _ in range(2):
        assert ask("POST", "/v1/kits", app=app, json=KIT, headers=ASYNC).status_code == 202
    for bounded in (app, small_app(**settings, most_jobs=2)):
        refused = ask("POST", "/v1/kits", app=bounded, json=KIT, headers=ASYNC)
        assert "2 " in problem_of(refused, 429)["detail"]
        assert int(refused.headers["retry-after"]) > 0
    narrow = small_app(**settings, most_owner_job_bytes=1024)
    large = KIT | {"name": "x" * 190, "tasks": LEAST["tasks"] * 20}
    assert "1024" in problem_of(ask("POST", "/v1/kits", app=narrow, json=large, headers=ASYNC), 429)["detail"]
    first, second = (job["links"]["job"] for job in ask("GET", "/v1/jobs", app=app).json()["items"])
    assert ask("DELETE", first, app=app).status_code == 204
    assert ask("GET", first, app=app).json()["state"] == "cancelled"
    few = small_app(**settings, most_kept_jobs=2)
    assert ask("POST", "/v1/kits", app=few, json=KIT, headers=ASYNC).status_code == 202
    problem_of(ask("GET", first, app=app), 404)
    assert ask("GET", second, app=app).json()["state"] == "queued"
    short = small_app(**settings, job_keep_seconds=1e-6)
    gone = ask("POST", "/v1/kits", app=short, json=KIT, headers=ASYNC).headers["location"]
    problem_of(ask("GET", gone, app=short), 404)
    for one in (app, narrow, few, short):
        one.state.store.close()


def test_an_answer_too_large_to_keep_is_a_507(database_url: str) -> None:
    """A body within the limit whose answer is not."""
    app = small_app(database_url=database_url, one_user=True, max_body_bytes=1024)

    async def talk(client: httpx.AsyncClient) -> None:
        answer = await later(client, "/v1/kits", json=LEAST)
        assert (answer.status_code, answer.json()["type"].rpartition("/")[2]) == (507, "answer-too-large")

    working(app, talk)


class Held:
    """A plan that goes on until it is let go."""

    def __init__(self) -> None:
        self.go, self.begun, self.ended = Event(), Event(), Event()

    def __call__(self, trip: Trip, *, effort: Effort) -> Any:
        self.begun.set()
        try:
            while not self.go.wait(0.01):
                effort.go_on()
            return plan(trip, effort=effort)
        finally:
            self.ended.set()

    async def begins(self) -> None:
        """Wait until a plan has begun: its job runs some moments before."""
        assert await asyncio.to_thread(self.begun.wait, LONG_S)


@pytest.fixture
def held(monkeypatch: pytest.MonkeyPatch) -> Held:
    """POST /v1/kits with plans that can be held up."""
    found = Held()
    monkeypatch.setattr("api.questions.kit_questions.plan", found)
    return found


def test_a_job_is_called_off(app: FastAPI, held: Held) -> None:
    """While it waits and while it is worked on, which ends; once more, and it is gone; those who wait go on."""

    async def talk(client: httpx.AsyncClient) -> None:
        running, waiting, last = [await made(client) for _ in range(3)]
        await state_of(client, running, "running")
        await held.begins()
        for place in (waiting, running):
            assert (await client.delete(place)).status_code == 204
            job = (await client.get(place)).json()
            assert (job["state"], job["links"]["result"]) == ("cancelled", None)
            assert "cancelled" in problem_of(await client.get(f"{place}/result"), 404)["detail"]
        await state_of(client, last, "running")
        assert held.ended.is_set(), "the work on the first has ended"
        held.go.set()
        await state_of(client, last, "done")
        for place in (waiting, running, last):
            assert (await client.delete(place)).status_code == 204
            problem_of(await client.get(place), 404)

    working(app, talk)


def test_a_caller_waits_for_as_long_as_they_prefer(app: FastAPI, held: Held, monkeypatch: pytest.MonkeyPatch) -> None:
    """RFC 7240, 4.3: what ends meanwhile is answered at once and is no job any more; else it is one."""
    monkeypatch.setattr("api.answering.later_answer._MOST_WAIT_S", int(LONG_S))
    brief, long = ({"Prefer": f"respond-async, wait={seconds}"} for seconds in (1, 10**9))

    async def talk(client: httpx.AsyncClient) -> None:
        late = await client.post("/v1/kits", json=KIT, headers=brief)
        assert (late.status_code, late.headers["preference-applied"]) == (202, "respond-async, wait=1")
        assert late.json()["state"] == "running"
        leaving = asyncio.create_task(client.post("/v1/kits", json=KIT, headers=long))
        while len((await client.get("/v1/jobs")).json()["items"]) == 1:
            await asyncio.sleep(0.01)
        leaving.cancel()
        await asyncio.wait([leaving])
        states = [job["state"] for job in (await client.get("/v1/jobs")).json()["items"]]
        assert states == ["running", "cancelled"], "nobody knows the place of the second"
        held.go.set()
        once = long | {"Idempotency-Key": "mine"}
        for headers, jobs in ((long, 2), (once, 3), (once, 3)):
            soon = await client.post("/v1/kits", json=KIT, headers=headers)
            assert (soon.status_code, soon.json()["kit"]) == (
                200,
                (await client.post("/v1/kits", json=KIT)).json()["kit"],
            )
            assert soon.headers["preference-applied"] == f"respond-async, wait={int(LONG_S)}"
            assert len((await client.get("/v1/jobs")).json()["items"]) == jobs
        wrong = await client.post("/v1/sheet/trips", content=b"\xff", headers=long | TABLE)
        assert 400 <= wrong.status_code < 500

    working(app, talk)


@pytest.mark.parametrize("once", [{}, {"Idempotency-Key": "mine"}])
def test_a_caller_who_leaves_as_a_job_is_kept_leaves_none_behind(
    app: FastAPI, held: Held, monkeypatch: pytest.MonkeyPatch, once: dict[str, str]
) -> None:
    """The store has it already, and the caller can't know its place yet; by a key of theirs they find it again.

    The workers hear of it at once: nothing else wakes them here.
    """
    added, told, woken = later_answer._added, Event(), Event()

    def slow(request: Request, asked: AskedJob) -> StoredJob:
        job = added(request, asked)
        assert told.wait(LONG_S)
        return job

    monkeypatch.setattr(later_answer, "_added", slow)
    wake = app.state.jobs_made
    monkeypatch.setattr(app.state, "jobs_made", lambda: (woken.set(), wake()))

    async def talk(client: httpx.AsyncClient) -> None:
        headers = {"Prefer": "respond-async, wait=60", **once}
        leaving = asyncio.create_task(client.post("/v1/kits", json=KIT, headers=headers))
        while not (await client.get("/v1/jobs")).json()["items"]:
            await asyncio.sleep(0.01)
        leaving.cancel()
        await asyncio.sleep(0.01)
        assert not woken.is_set()
        told.set()
        await asyncio.wait([leaving])
        assert woken.is_set()
        held.go.set()
        while (await client.get("/v1/jobs")).json()["items"][0]["state"] in ("queued", "running"):
            await asyncio.sleep(0.01)
        assert (await client.get("/v1/jobs")).json()["items"][0]["state"] == ("done" if once else "cancelled")

    working(app, talk)


def test_a_worker_that_stops_gives_its_job_back(app: FastAPI, held: Held) -> None:
    """The next one takes it; a stop is no failed attempt."""

    async def begin(client: httpx.AsyncClient) -> str:
        place = await made(client)
        await state_of(client, place, "running")
        await held.begins()
        return place

    place = working(app, begin)
    assert held.ended.is_set()
    job = ask("GET", place, app=app).json()
    assert (job["state"], job["attempts"]) == ("queued", 0)
    held.go.set()
    done = working(app, lambda client: state_of(client, place, "done"))
    assert (done["attempts"], done["status"]) == (1, 200)


def test_jobs_leave_callers_their_places(tmp_path: Path, held: Held) -> None:
    """With every place of jobs taken, and one for callers, a caller is answered."""
    app = small_app(database_url=f"sqlite:///{tmp_path / 's.sqlite'}", one_user=True, solves=1)

    async def talk(client: httpx.AsyncClient) -> None:
        place = await made(client)
        await state_of(client, place, "running")
        front = await client.post("/v1/kits/front", json={"trip": LEAST})
        assert front.status_code == 200
        assert (await client.get(place)).json()["state"] == "running"
        held.go.set()
        await state_of(client, place, "done")

    working(app, talk)
