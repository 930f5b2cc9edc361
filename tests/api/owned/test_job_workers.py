"""Jobs and workers that die, are many, or lose their store: every job ends once, and is worked on by any of them."""

import asyncio
import os
import signal
import subprocess
from pathlib import Path
from typing import Any

import httpx
from jobs import ASYNC, state_of, working
from server import COMMAND, address, served
from service import LEAST, small_app
from sqlalchemy import create_engine, inspect
from steiner import bose, steiner_trip, tripled
from waiting import LONG_S, until

from api.settings.settings import Settings
from api.store.database import Store
from api.store.job_lease import end_job, keep_job, take_job
from api.store.stored_job import AskedJob, KeptAnswer, add_job, answer_of, find_job

HARD = {**steiner_trip(tripled(bose(15))), "detail": "kit"}  # A45: minutes of work
KIT = LEAST | {"detail": "kit"}
ANSWER = KeptAnswer(200, {"content-type": "application/json"}, b"{}")


def asked(owner: str) -> AskedJob:
    """A question of an owner."""
    return AskedJob(owner, None, "/v1/kits", "", {"scheme": "http"}, b"{}")


def test_two_workers_never_both_end_a_job(database_url: str) -> None:
    """The lease of one is over: another has the job, and what the first still says counts for nothing."""
    store = Store(Settings(database_url=database_url))
    short, usual = Settings(job_lease_seconds=1.0), Settings(job_lease_seconds=3600)
    over = short.model_copy(update={"job_lease_seconds": -1.0})
    with store.writing() as connection:
        job = add_job(connection, asked("anna"), usual)
    with store.writing() as connection:
        first = take_job(connection, "first", over)
        second = take_job(connection, "second", usual)
        assert first and second and (first.id, second.id, second.attempt) == (job.id, job.id, 2)
        assert take_job(connection, "third", usual) is None
    with store.writing() as connection:
        assert not keep_job(connection, first, usual, solves=1, worked_s=1.0)
        assert not end_job(connection, first, ANSWER, usual, solves=1, worked_s=1.0)
        assert keep_job(connection, second, usual, solves=7, worked_s=1.0)
        assert end_job(connection, second, ANSWER, usual, solves=8, worked_s=2.0)
        assert not end_job(connection, second, ANSWER, usual, solves=9, worked_s=2.0)
    with store.reading() as connection:
        done = find_job(connection, "anna", job.id)
        assert done and (done.state, done.solves) == ("done", 8)
        assert answer_of(connection, done) == ANSWER
    store.close()


def test_owners_have_their_turns(database_url: str) -> None:
    """Who asks for many does not hold up who asks for one."""
    store, settings = Store(Settings(database_url=database_url)), Settings()
    taken = []
    with store.writing() as connection:
        for owner in ("anna", "anna", "anna", "ben"):
            add_job(connection, asked(owner), settings)
    for _ in range(4):
        with store.writing() as connection:
            job = take_job(connection, "worker", settings)
            assert job
            taken.append(job.asked.owner)
    assert sorted(taken[:2]) == ["anna", "ben"]
    assert taken[2:] == ["anna", "anna"]
    store.close()


def test_the_table_of_jobs_comes_and_goes(database_url: str) -> None:
    """By its step up and down; the rest of the store stays."""
    store = Store(Settings(database_url=database_url))
    for there in (True, False, True):
        if not there:
            store.go_back("0004")
            engine = create_engine(store.url)
        else:
            store.close()
            engine = store.opened()
        found = inspect(engine).get_table_names()
        assert ("answer_job" in found, "catalog" in found) == (there, True)
    store.close()


def posted(url: str, body: Any) -> str:
    """The place of a question asked as a job."""
    answer = httpx.post(f"{url}/v1/kits", json=body, headers=ASYNC, timeout=LONG_S)
    assert answer.status_code == 202, answer.text
    return str(answer.headers["location"])


def job_at(url: str, place: str) -> Any:
    """A job."""
    return httpx.get(f"{url}{place}", timeout=LONG_S).json()


def test_a_job_outlives_the_worker_that_is_killed(tmp_path: Path, database_url: str) -> None:
    """kill -9 of a service amid a job: another takes it, and ends it where it is called off.

    A busy machine may keep the first silent for longer than its lease before it is killed: so many attempts are let.
    """
    settings = {"database_url": database_url, "job_lease_seconds": 1, "job_attempts": 100}
    environment = os.environ | {f"KITWRIGHT_{name.upper()}": str(value) for name, value in settings.items()}
    log = tmp_path / "killed.log"
    with log.open("w", encoding="utf-8") as stream:
        process = subprocess.Popen(COMMAND, stdout=stream, stderr=subprocess.STDOUT, cwd=tmp_path, env=environment)
    try:
        url = address(log, process)
        place = posted(url, HARD)
        until(lambda: job_at(url, place)["state"] == "running", "a worker that has the job")
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait(LONG_S)
    with served(tmp_path, **settings | {"job_lease_seconds": 6}) as service:
        until(lambda: job_at(service.url, place)["attempts"] >= 2, "another worker that has the job")
        until(lambda: job_at(service.url, place)["progress"]["seconds"] > 0, "progress")
        assert httpx.delete(f"{service.url}{place}", timeout=LONG_S).status_code == 204
        until(lambda: "kitwright_jobs_running 0.0" in service.figures(), "the end of the work")
        assert job_at(service.url, place)["state"] == "cancelled"


def test_a_job_over_which_too_many_workers_died_is_failed(database_url: str) -> None:
    """It says so, and no further worker dies over it."""
    app = small_app(database_url=database_url, one_user=True, job_attempts=2)
    silent = Settings().model_copy(update={"job_lease_seconds": -1.0})
    with app.state.store.writing() as connection:
        job = add_job(connection, asked("local"), Settings())
        for worker in ("first", "second"):
            assert take_job(connection, worker, silent)

    async def talk(client: httpx.AsyncClient) -> None:
        place = f"/v1/jobs/{job.id}"
        await state_of(client, place, "failed")
        lost = await client.get(f"{place}/result")
        assert (lost.status_code, lost.json()["type"].rpartition("/")[2]) == (500, "job-lost")
        assert "2 workers" in lost.json()["detail"]

    working(app, talk)
    app.state.store.close()


def test_any_service_over_the_store_takes_a_job(tmp_path: Path, database_url: str) -> None:
    """One takes none, the other answers; whoever is asked tells of it."""
    (tmp_path / "b").mkdir()
    with served(tmp_path, database_url=database_url, jobs=0) as idle:
        place = posted(idle.url, KIT)
        assert job_at(idle.url, place)["state"] == "queued"
        with served(tmp_path / "b", database_url=database_url) as busy:
            until(lambda: job_at(idle.url, place)["state"] == "done", "the answer")
            direct = httpx.post(f"{busy.url}/v1/kits", json=KIT, timeout=LONG_S)
        assert httpx.get(f"{idle.url}{place}/result", timeout=LONG_S).content == direct.content


def test_a_database_that_comes_back_loses_no_job(postgres: Any) -> None:
    """PostgreSQL killed under a worker amid a job: the job is told once it is back."""
    app = small_app(database_url=postgres.database(), one_user=True, job_lease_seconds=3600)

    async def talk(client: httpx.AsyncClient) -> None:
        answer = await client.post("/v1/kits", json=KIT, headers=ASYNC)
        place = answer.headers["location"]
        postgres.stop()
        await asyncio.sleep(0.5)
        postgres.start()
        await state_of(client, place, "done")

    working(app, talk)
