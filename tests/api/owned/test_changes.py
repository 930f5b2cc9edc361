"""Who changed what, over HTTP: one's own, all with a key that audits; pages, a table and lines tell the same."""

import csv
import io
import json
from collections.abc import Sequence
from typing import Any

import pytest
from fastapi import FastAPI
from service import ask, faults_of, problem_of, small_app

from api.cli.command import main
from api.examples.catalog_bodies import HUT, HUT_CHANGE

pytestmark = pytest.mark.quick

HOME = "/v1/catalogs/hut"
NEW = {"If-None-Match": "*"}


@pytest.fixture
def make(database_url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """What makes a key, as an operator makes it."""
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)

    def made(owner: str, scope: str = "write") -> dict[str, str]:
        assert main(["key", "create", "--owner", owner, "--scope", scope]) == 0
        return {"Authorization": f"Bearer {capsys.readouterr().out.strip()}"}

    return made


def test_changes_are_told_three_ways(app: FastAPI, make: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """Anna's own in pages, as CSV and as lines; of all for the auditor, who sees no catalog; as the command lists."""
    anna, ben, auditor = make("anna"), make("ben"), make("office", "audit")
    tag = ask("PUT", HOME, app=app, json=HUT, headers=NEW | anna).json()["tag"]
    assert ask("PATCH", HOME, app=app, json=HUT_CHANGE, headers=anna | {"If-Match": tag}).status_code == 200
    assert ask("PUT", HOME, app=app, json=HUT, headers=NEW | ben).status_code == 201

    def paged(address: str, headers: dict[str, str]) -> list[dict[str, Any]]:
        found: list[dict[str, Any]] = []
        where: str | None = address
        while where is not None:
            page = ask("GET", where, app=app, headers=headers).json()
            found += page["items"]
            where = page["next"]
        return found

    mine = paged("/v1/changes?limit=1", anna)
    assert [(one["action"], one["revision"]) for one in mine] == [("key-create", None), ("create", 1), ("change", 2)]
    assert {one["owner"] for one in mine} == {"anna"}
    assert {one["key"] for one in mine} == {anna["Authorization"].split("_")[1]}
    table = ask("GET", "/v1/changes.csv", app=app, headers=anna)
    assert table.headers["content-type"].startswith("text/csv")
    told = [{name: str(value or "") for name, value in one.items()} for one in mine]
    assert list(csv.DictReader(io.StringIO(table.text, newline=""))) == told
    lines = ask("GET", "/v1/changes.ndjson", app=app, headers=anna)
    assert [json.loads(line) for line in lines.text.splitlines()] == mine

    every = paged("/v1/changes?limit=2", auditor)
    assert len(every) == len({one["id"] for one in every}) == 6
    assert main(["changes"]) == 0
    assert [json.loads(line) for line in capsys.readouterr().out.splitlines()] == every
    assert paged("/v1/changes?owner=anna", auditor) == mine
    assert paged(f"/v1/changes?since={mine[1]['at']}&owner=anna", auditor) == mine[1:]
    assert paged("/v1/changes?since=2999", auditor) == []
    assert ask("GET", "/v1/changes.ndjson?since=2999", app=app, headers=auditor).text == ""
    for where, method in (("/v1/catalogs", "GET"), (HOME, "GET"), ("/v1/jobs", "GET")):
        assert "audit" in problem_of(ask(method, where, app=app, headers=auditor), 403)["detail"]
    problem_of(ask("PUT", f"{HOME}-2", app=app, json=HUT, headers=NEW | auditor), 403)


def test_what_may_not_be_read_is_refused(app: FastAPI, make: Any) -> None:
    """Another owner's, without a key, from a time that is none."""
    anna, sheet = make("anna", "read"), make("anna", "sheet")
    for where in ("/v1/changes", "/v1/changes.csv", "/v1/changes.ndjson"):
        assert ask("GET", f"{where}?owner=anna", app=app, headers=anna).status_code == 200
        problem_of(ask("GET", f"{where}?owner=ben", app=app, headers=anna), 403)
        problem_of(ask("GET", where, app=app), 401)
        problem_of(ask("GET", where, app=app, headers=sheet), 403)
        assert "#/query/since" in faults_of(ask("GET", f"{where}?since=yesterday", app=app, headers=anna))
    for since in ("2026-13-45", "2026-02-29", "2026-01-31T24:00", "2026-01-31T23:59:60", "2026-01-31T12:00:00x000Z"):
        for where in ("/v1/changes", "/v1/changes.csv", "/v1/changes.ndjson"):
            fault = faults_of(ask("GET", f"{where}?since={since}", app=app, headers=anna))["#/query/since"]
            assert fault["value"] == since
            assert "time" in fault["range"] or "pattern" in fault["range"]
    for since in ("2024-02-29", "2026-01-31T23:59:59", "2026-12", "2026-01-31T12:00:00.000Z"):
        assert ask("GET", f"/v1/changes?since={since}", app=app, headers=anna).status_code == 200
    assert "#/query/cursor" in faults_of(ask("GET", "/v1/changes?cursor=%00", app=app, headers=anna))


def test_long_lists_are_read_in_parts(app: FastAPI, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each change once, whatever number is read at a time; also those of one moment."""
    monkeypatch.setattr("api.owned.changes._AT_A_TIME", 2)
    with monkeypatch.context() as patched:
        patched.setattr("api.store.change.now_text", lambda: "2026-01-01T12:00:00.000Z")
        for number in range(5):
            assert ask("PUT", f"{HOME}-{number}", app=app, json=HUT, headers=NEW).status_code == 201
    found = [json.loads(line) for line in ask("GET", "/v1/changes.ndjson", app=app).text.splitlines()]
    assert sorted(one["catalog"] for one in found) == [f"hut-{number}" for number in range(5)]
    assert len(ask("GET", "/v1/changes.csv", app=app).text.splitlines()) == 6


def test_the_log_of_an_owner_has_a_bound(make: Any, database_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Shared and unshared over and over: the newest are there, and the key; what another owner did stays."""
    app = small_app(database_url=database_url, most_changes=6)
    anna, ben = make("anna"), make("ben")
    for owner in (anna, ben):
        assert ask("PUT", HOME, app=app, json=HUT, headers=NEW | owner).status_code == 201
    shares = f"{HOME}/shares"

    def turns(readers: Sequence[str]) -> list[tuple[str, str]]:
        for reader in readers:
            assert ask("POST", shares, app=app, json={"owner": reader}, headers=anna).status_code == 200
            assert ask("DELETE", f"{shares}/{reader}", app=app, headers=anna).status_code == 204
        found = ask("GET", "/v1/changes", app=app, headers=anna).json()["items"]
        return [(change["action"], change["reader"] or "") for change in found]

    with monkeypatch.context() as patched:
        patched.setattr("api.store.change._TRIMMED_ONE_IN", 10**40)
        assert len(turns([f"a-{number}" for number in range(8)])) == 18, "one key, one catalog, eight turns"
    monkeypatch.setattr("api.store.change._TRIMMED_ONE_IN", 1)
    monkeypatch.setattr("api.store.change._TRIMMED_AT_ONCE", 4)
    left = [(action, reader) for reader in ("c", "d", "e") for action in ("share", "unshare")]
    turns(["b"])
    assert turns(["c", "d", "e"]) == [("key-create", ""), *left]
    assert ask("DELETE", HOME, app=app, headers=anna | {"If-Match": "*"}).status_code == 204
    assert turns([])[-1] == ("delete", "")
    assert len(ask("GET", "/v1/changes", app=app, headers=ben).json()["items"]) == 2
