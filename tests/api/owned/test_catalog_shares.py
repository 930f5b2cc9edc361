"""Catalogs that another owner may read: named with their owner, in lists, trips and addresses, and never written."""

from pathlib import Path
from typing import Any

import pytest
from fastapi import FastAPI
from service import LEAST, ask, faults_of, problem_of, small_app

from api.cli.command import main
from api.examples.catalog_bodies import HUT, HUT_CHANGE, HUT_TRIALS

pytestmark = pytest.mark.quick

HOME = "/v1/catalogs/hut"
LENT = "/v1/catalogs/anna:hut"
NEW = {"If-None-Match": "*"}
KIT = LEAST | {"detail": "kit"}


@pytest.fixture
def make(database_url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """What makes a key, as an operator makes it."""
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)

    def made(owner: str, scope: str = "write") -> dict[str, str]:
        assert main(["key", "create", "--owner", owner, "--scope", scope]) == 0
        return {"Authorization": f"Bearer {capsys.readouterr().out.strip()}"}

    return made


def test_a_shared_catalog_is_read_and_planned_with_and_never_written(app: FastAPI, make: Any) -> None:
    """By the one it is shared with, until it is no more; a third learns nothing; records of people stay the owner's."""
    anna, ben, cid = make("anna"), make("ben"), make("cid")
    tag = ask("PUT", HOME, app=app, json=HUT, headers=NEW | anna).json()["tag"]
    assert ask("PATCH", HOME, app=app, json=HUT_CHANGE, headers=anna | {"If-Match": tag}).status_code == 200
    assert ask("PUT", "/v1/catalogs/b", app=app, json=HUT, headers=NEW | ben).status_code == 201
    problem_of(ask("GET", LENT, app=app, headers=ben), 404)
    for _ in range(2):
        shared = ask("POST", f"{HOME}/shares", app=app, json={"owner": "ben"}, headers=anna)
        assert shared.json()["owner"] == "ben"
    assert ask("GET", f"{HOME}/shares", app=app, headers=anna).json() == {"items": [shared.json()]}

    reading = ("", ".csv", "/revisions/1", "/revisions/1.csv", "/tools", "/tools/hut-saw")
    for where in reading:
        lent, own = (ask("GET", f"{place}{where}", app=app, headers=key) for place, key in ((LENT, ben), (HOME, anna)))
        assert (lent.status_code, lent.content) == (200, own.content), where
        assert lent.headers.get("etag") == own.headers.get("etag")
        problem_of(ask("GET", f"{LENT}{where}", app=app, headers=cid), 404)
    heads = ask("GET", f"{LENT}/revisions", app=app, headers=ben).json()["items"]
    assert [(head["name"], head["owner"], head["revision"]) for head in heads] == [
        ("anna:hut", "anna", 1),
        ("anna:hut", "anna", 2),
    ]
    names = []
    where: str | None = "/v1/catalogs?limit=1"
    while where is not None:
        page = ask("GET", where, app=app, headers=ben).json()
        names += [(head["name"], head["owner"]) for head in page["items"]]
        where = page["next"]
    assert names == [("anna:hut", "anna"), ("b", "ben")]
    assert ask("GET", "/v1/catalogs", app=app, headers=cid).json()["items"] == []

    for name in ("anna:hut", "anna:hut@1"):
        own = ask("POST", "/v1/kits", app=app, json=KIT | {"catalog": name.removeprefix("anna:")}, headers=anna)
        assert ask("POST", "/v1/kits", app=app, json=KIT | {"catalog": name}, headers=ben).json() == own.json()
        assert "#/catalog" in faults_of(ask("POST", "/v1/kits", app=app, json=KIT | {"catalog": name}, headers=cid))

    for method, where, body in (
        ("PUT", "", HUT),
        ("PATCH", "", {}),
        ("DELETE", "", None),
        ("DELETE", "/tools/hut-saw", None),
        ("POST", "/trials", HUT_TRIALS),
        ("POST", "/shares", {"owner": "cid"}),
        ("DELETE", "/shares/ben", None),
        ("GET", "/trials", None),
        ("GET", "/shares", None),
    ):
        refused = ask(method, f"{LENT}{where}", app=app, json=body, headers=ben | {"If-Match": "*"})
        assert "#/path/name" in faults_of(refused), (method, where)
    assert ask("DELETE", f"{HOME}/shares/ben", app=app, headers=anna).status_code == 204
    problem_of(ask("DELETE", f"{HOME}/shares/ben", app=app, headers=anna), 404)
    problem_of(ask("GET", LENT, app=app, headers=ben), 404)
    told = [(one["action"], one["reader"]) for one in ask("GET", "/v1/changes", app=app, headers=anna).json()["items"]]
    assert told[-2:] == [("share", "ben"), ("unshare", "ben")]


def test_whom_a_catalog_is_shared_with_is_checked(app: FastAPI, make: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    """A name of an owner, another than one's own, and no more than may."""
    anna, weak = make("anna"), make("anna", "plan")
    assert ask("PUT", HOME, app=app, json=HUT, headers=NEW | anna).status_code == 201
    shares = f"{HOME}/shares"
    for owner in ("", "A", "a b", "anna:ben", "x" * 81, None, 1):
        assert "#/owner" in faults_of(ask("POST", shares, app=app, json={"owner": owner}, headers=anna))
    problem_of(ask("POST", shares, app=app, json={"owner": "anna"}, headers=anna), 409)
    problem_of(ask("POST", shares, app=app, json={"owner": "ben"}, headers=weak), 403)
    problem_of(ask("POST", shares, app=app, json={"owner": "ben"}), 401)
    problem_of(ask("POST", f"{HOME}-2/shares", app=app, json={"owner": "ben"}, headers=anna), 404)
    monkeypatch.setattr("api.store.catalog_share._MOST_READERS", 1)
    assert ask("POST", shares, app=app, json={"owner": "ben"}, headers=anna).status_code == 200
    assert "at most 1" in problem_of(ask("POST", shares, app=app, json={"owner": "cid"}, headers=anna), 409)["detail"]
    assert ask("DELETE", HOME, app=app, headers=anna | {"If-Match": "*"}).status_code == 204
    assert ask("PUT", HOME, app=app, json=HUT, headers=NEW | anna).status_code == 201
    assert ask("GET", shares, app=app, headers=anna).json() == {"items": []}, "a new catalog of the name is not shared"


def test_the_command_shares_and_a_backup_holds_it(
    app: FastAPI, make: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What it does is noted; it names what is not there; a restored store is shared as the old one was."""
    ben = make("ben")
    assert ask("PUT", HOME, app=app, json=HUT, headers=NEW | make("local")).status_code == 201
    assert main(["catalog", "share", "hut", "ben"]) == 0
    assert "ben reads it as local:hut" in capsys.readouterr().out
    assert ask("GET", "/v1/catalogs/local:hut", app=app, headers=ben).json() == HUT
    for wrong in (["nix", "ben"], ["hut", "A b"], ["hut", "local"], ["hut", "ben", "--owner", "anna"]):
        assert main(["catalog", "share", *wrong]) == 2
    file, other = tmp_path / "all.backup", f"sqlite:///{tmp_path / 'other.sqlite'}"
    assert main(["backup", str(file)]) == 0
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", other)
    assert main(["restore", str(file)]) == 0
    again = small_app(database_url=other)
    assert ask("GET", "/v1/catalogs/local:hut", app=again, headers=ben).json() == HUT
    assert main(["catalog", "unshare", "hut", "ben"]) == 0
    problem_of(ask("GET", "/v1/catalogs/local:hut", app=again, headers=ben), 404)
    again.state.store.close()
