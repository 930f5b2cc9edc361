"""Keys: who may do what, what one owner learns of another, and where a key may be seen, on both kinds of database."""

import base64
import hashlib
import json
import socket
from functools import partial
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

import httpx
import pytest
from fastapi import FastAPI
from server import served
from service import LEAST, ask, problem_of, small_app
from tree import ROOT
from waiting import LONG_S

from api.app.application import create_app
from api.cli.command import main
from api.examples.catalog_bodies import HUT, HUT_CHANGE, HUT_TRIALS
from api.settings.settings import Settings
from api.store.key import find_key

HOME = "/v1/catalogs/hut"
NEW = {"If-None-Match": "*"}
TABLE = {"Content-Type": "text/csv"}
DEPLOY = ROOT / ".deploy"


@pytest.fixture(autouse=True)
def of_this_store(database_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The command line works on the same store."""
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)


@pytest.fixture
def make(capsys: pytest.CaptureFixture[str]) -> Any:
    """The headers of a new key, made as an operator makes it."""

    def made(owner: str, scope: str = "write") -> dict[str, str]:
        assert main(["key", "create", "--owner", owner, "--scope", scope]) == 0
        return {"Authorization": f"Bearer {capsys.readouterr().out.strip()}"}

    return made


def put(app: FastAPI, **headers: str) -> httpx.Response:
    """The answer to a catalog that is to be stored anew."""
    return ask("PUT", HOME, app=app, json=HUT, headers=NEW | headers)


def plan(app: FastAPI, **headers: str) -> httpx.Response:
    """The answer to a trip that names it."""
    return ask("POST", "/v1/kits", app=app, json=LEAST | {"catalog": "hut", "detail": "kit"}, headers=headers)


def test_each_scope_may_do_what_those_before_it_may(app: FastAPI, make: Any) -> None:
    """read < plan < write; a 403 names the scope that is missing (RFC 6750, 3.1)."""
    keys = {scope: make("anna", scope) for scope in ("read", "plan", "write")}
    for scope in ("read", "plan"):
        refused = put(app, **keys[scope])
        assert problem_of(refused, 403)["type"].endswith("/key-too-weak")
        assert refused.headers["www-authenticate"] == 'Bearer error="insufficient_scope", scope="write"'
    assert put(app, **keys["write"]).status_code == 201
    for scope, may_plan in (("read", False), ("plan", True), ("write", True)):
        assert ask("GET", HOME, app=app, headers=keys[scope]).json() == HUT
        assert plan(app, **keys[scope]).status_code == (200 if may_plan else 403)


def test_without_a_good_key_nothing_is_shown(app: FastAPI, make: Any) -> None:
    """401, whatever is there and whatever is asked; the built-in table stays open to who shows no key."""
    key = make("anna")
    put(app, **key)
    text = key["Authorization"]
    mistyped = (text[:-1], text + "x", text[:-2] + "zz", text.replace("Bearer", "Basic"))
    wrong = ("", "Bearer", "Bearer x", "Bearer \u00e9", *mistyped)
    for given in (None, *wrong):
        headers = {} if given is None else {"Authorization": given.encode("latin-1")}
        for answer in (
            ask("GET", "/v1/catalogs", app=app, headers=headers),
            ask("GET", HOME, app=app, headers=headers),
            ask("GET", f"{HOME}-2", app=app, headers=headers),
            ask("PUT", HOME, app=app, json=HUT, headers=NEW | headers),
            ask("POST", "/v1/kits", app=app, json=LEAST | {"catalog": "hut"}, headers=headers),
        ):
            assert problem_of(answer, 401)["type"].endswith("/key-needed"), given
            assert answer.headers["www-authenticate"].startswith("Bearer ")
    open_to_all = LEAST | {"detail": "kit"}
    assert ask("POST", "/v1/kits", app=app, json=open_to_all).status_code == 200
    for given in wrong:
        headers = {"Authorization": given.encode("latin-1")}
        is_key = given.lower().startswith("bearer")  # else of another scheme, as one that a proxy checks
        for method, address in (("POST", "/v1/kits"), ("GET", "/v1/tools")):
            refused = ask(method, address, app=app, json=open_to_all, headers=headers)
            assert refused.status_code == (401 if is_key else 200), (given, address)
            assert not is_key or refused.headers["www-authenticate"].endswith('error="invalid_token"')
        assert ask("GET", "/guide", app=app, headers=headers).status_code == 200
    for method in ("PUT", "PATCH", "DELETE"):  # a table is read only
        answer = ask(method, f"{HOME}.csv", app=app, headers=key | {"If-Match": "*"})
        assert problem_of(answer, 405)["type"].endswith("/method-not-allowed")
        assert answer.headers["allow"] == "GET, HEAD, OPTIONS"


def test_a_revoked_key_opens_nothing_and_the_service_stays_shut(
    app: FastAPI, make: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    """From the next request on; and the last key revoked does not give the store to whoever asks."""
    key = make("anna")
    put(app, **key)
    assert main(["key", "list"]) == 0
    listed = capsys.readouterr().out
    name = listed.split()[0]
    assert "anna" in listed
    assert key["Authorization"].split("_", 2)[2] not in listed
    assert main(["key", "revoke", name]) == 0
    assert main(["key", "revoke", name]) == 2
    assert "revoked" in (main(["key", "list"]), capsys.readouterr().out)[1]
    for headers in (key, {}):
        problem_of(ask("GET", HOME, app=app, headers=headers), 401)
    assert main(["key", "create", "--owner", "A b", "--scope", "read"]) == 2


def test_a_key_expires_and_tells_when_it_was_used(
    app: FastAPI, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """After the days that its maker gave it; noted once a minute at most."""
    assert main(["key", "create", "--owner", "anna", "--scope", "write", "--days", "2"]) == 0
    headers = {"Authorization": f"Bearer {capsys.readouterr().out.strip()}"}

    def listed() -> str:
        main(["key", "list"])
        return capsys.readouterr().out

    assert "never used" in listed()
    notes: list[object] = []
    note = app.state.store.note
    monkeypatch.setattr(app.state.store, "note", lambda change: (notes.append(change), note(change)))
    minute = "2026-01-01T12:00:0{}.000Z"
    with monkeypatch.context() as patched:
        for second in range(3):
            patched.setattr("api.store.key.now_text", partial(minute.format, second))
            assert ask("GET", "/v1/catalogs", app=app, headers=headers).status_code == 200
    assert (len(notes), f"used {minute.format(0)}" in listed(), "in use until 20" in listed()) == (1, True, True)
    with monkeypatch.context() as patched:
        patched.setattr("api.store.key.now_text", lambda: "2999-01-01T00:00:00.000Z")
        problem_of(ask("GET", "/v1/catalogs", app=app, headers=headers), 401)
        assert "expired 20" in listed()
    for days in ("0", "nan", "-1", "40000"):
        with pytest.raises(SystemExit):
            main(["key", "create", "--owner", "anna", "--scope", "write", "--days", days])


def test_who_changed_what_is_listed(app: FastAPI, make: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """Each change with its key, in the order made; what is refused is no change; one owner's alone where asked for."""
    anna, ben = make("anna"), make("ben")
    put(app, **ben)
    tag = put(app, **anna).json()["tag"]
    assert ask("PUT", HOME, app=app, json=HUT, headers=anna | {"If-Match": '"x"'}).status_code == 412
    tag = ask("PUT", HOME, app=app, json=HUT, headers=anna | {"If-Match": tag}).json()["tag"]
    assert ask("PATCH", HOME, app=app, json=HUT_CHANGE, headers=anna | {"If-Match": tag}).status_code == 200
    saw = {"If-Match": "*"}
    assert ask("POST", f"{HOME}/trials", app=app, json=HUT_TRIALS, headers=anna | saw).status_code == 200
    assert ask("DELETE", HOME, app=app, headers=anna | saw).status_code == 204
    key = anna["Authorization"].split("_")[1]
    assert main(["key", "revoke", key]) == 0
    capsys.readouterr()

    def listed(*options: str) -> list[dict[str, Any]]:
        assert main(["changes", *options]) == 0
        return [json.loads(line) for line in capsys.readouterr().out.splitlines()]

    mine = listed("--owner", "anna")
    done = [(one["action"], one["catalog"], one["revision"]) for one in mine]
    assert done == [
        ("key-create", None, None),
        ("create", "hut", 1),
        ("replace", "hut", 2),
        ("change", "hut", 3),
        ("trials", "hut", 4),
        ("delete", "hut", 4),
        ("key-revoke", None, None),
    ]
    assert {one["key"] for one in mine} == {key}
    assert len(listed()) == len(mine) + 2
    assert listed("--since", mine[-1]["at"])[-1] == mine[-1]
    assert listed("--since", "2999") == []


def test_one_owner_learns_nothing_of_another(app: FastAPI, make: Any) -> None:
    """What another has and what nobody has answer alike, but for the name asked for; and names don't collide."""
    anna, ben = make("anna"), make("ben")
    put(app, **anna)

    def answers(name: str) -> list[tuple[int, str, list[str]]]:
        address = f"/v1/catalogs/{name}"
        write = ben | {"If-Match": "*"}
        found = [
            ask("GET", address, app=app, headers=ben),
            ask("GET", f"{address}/revisions/1", app=app, headers=ben),
            ask("GET", f"{address}/tools/hut-saw", app=app, headers=ben),
            ask("PUT", address, app=app, json=HUT, headers=write),
            ask("PATCH", address, app=app, json={}, headers=write),
            ask("DELETE", address, app=app, headers=write),
            ask("DELETE", f"{address}/tools/hut-saw", app=app, headers=write),
            ask("POST", "/v1/kits", app=app, json=LEAST | {"catalog": name}, headers=ben),
            ask("POST", "/v1/kits", app=app, json=LEAST | {"catalog": f"{name}@1"}, headers=ben),
        ]
        return [
            (one.status_code, one.text.replace("hut-saw", "ROW").replace(name, "NAME"), sorted(one.headers))
            for one in found
        ]

    assert answers("hut") == answers("nix")
    assert ask("GET", "/v1/catalogs", app=app, headers=ben).json()["items"] == []
    assert put(app, **ben).status_code == 201
    assert ask("DELETE", HOME, app=app, headers=ben | {"If-Match": "*"}).status_code == 204
    assert ask("GET", HOME, app=app, headers=anna).json() == HUT


CELL = "/v1/sheet/value?field=kit.mass_g&split_mm=140&catalog=hut"


def test_a_sheet_key_plans_from_cells_and_does_nothing_else(app: FastAPI, make: Any) -> None:
    """In the address of a cell, a table's file and a table of trips; on every other way it is refused."""
    put(app, **make("anna"))
    text = make("anna", "sheet")["Authorization"].removeprefix("Bearer ")
    assert text.startswith("kws_")
    problem_of(ask("GET", CELL, app=app), 401)
    cell = ask("GET", f"{CELL}&key={text}", app=app)
    assert (cell.status_code, cell.text) == (200, "665")  # the hut's hatchet: 610 g and 55 g of cover
    assert cell.headers["cache-control"] == "private, no-cache"
    assert text not in str(cell.headers)
    assert ask("GET", f"{CELL.replace('value?field=kit.mass_g&', 'kit.csv?')}&key={text}", app=app).status_code == 200
    table = b"catalog,split_mm\r\nhut,140\r\n"
    rows = ask("POST", f"/v1/sheet/trips?fields=kit.mass_g&key={text}", app=app, content=table, headers=TABLE)
    assert (rows.status_code, "665" in rows.text) == (200, True)
    shown = {"Authorization": f"Bearer {text}"}
    for answer in (
        ask("GET", HOME, app=app, headers=shown),
        put(app, **shown),
        plan(app, **shown),
        ask("GET", CELL, app=app, headers=shown),
    ):
        assert "only be used in addresses of cells" in problem_of(answer, 403)["detail"]
    problem_of(ask("GET", f"{HOME}?key={text}", app=app), 401)
    elsewhere = ask("POST", f"/v1/kits?key={text}", app=app, json=LEAST | {"catalog": "hut"})
    assert problem_of(elsewhere, 422)["errors"][0]["pointer"] == "#/query/key"
    assert text not in elsewhere.text


def test_no_other_key_is_taken_in_an_address(app: FastAPI, make: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """Nor a revoked one, nor another owner's, nor a plan key dressed up as a sheet key."""
    write = make("anna")
    put(app, **write)
    text = write["Authorization"].removeprefix("Bearer ")
    for wrong in (text, text.replace("kw_", "kws_"), "kws_" + "0" * 12 + "_" + "a" * 43, "x"):
        refused = problem_of(ask("GET", f"{CELL}&key={wrong}", app=app), 401)
        assert "make one by `kitwright key create --scope sheet`" in refused["detail"]
        plain = CELL.replace("&catalog=hut", "")
        assert ask("GET", f"{plain}&key={wrong}", app=app).status_code == 200  # no key is needed for it
    foreign = make("ben", "sheet")["Authorization"].removeprefix("Bearer ")
    assert "#/catalog" in problem_of(ask("GET", f"{CELL}&key={foreign}", app=app), 422)["errors"][0]["pointer"]
    own = make("anna", "sheet")["Authorization"].removeprefix("Bearer ")
    assert ask("GET", f"{CELL}&key={own}", app=app).status_code == 200
    assert main(["key", "revoke", own.split("_")[1]]) == 0
    problem_of(ask("GET", f"{CELL}&key={own}", app=app), 401)
    capsys.readouterr()


def test_a_key_is_hashed_at_rest(app: FastAPI, make: Any) -> None:
    """Its secret is in no cell of the store; SHA-256 as FIPS 180-4 has it finds it again."""
    text = make("anna")["Authorization"].removeprefix("Bearer ")
    with app.state.store.reading() as connection:
        row = connection.exec_driver_sql("SELECT * FROM api_key").mappings().one()
        assert find_key(connection, text) is not None
    secret = text.split("_", 2)[2]
    assert secret not in str(dict(row))
    assert row["secret_sha256"] == hashlib.sha256(secret.encode()).hexdigest()
    assert len(base64.urlsafe_b64decode(secret + "=")) * 8 == 256


ELSEWHERE: dict[str, dict[str, Any]] = {
    "a service without the setting, as behind a proxy that adds no header": {"settings": {"one_user": False}},
    "a service bound to every address": {"settings": {"host": "0.0.0.0"}},
    "a request sent on by a proxy": {"headers": {"X-Forwarded-For": "203.0.113.9"}},
    "a request sent on with its name alone": {"headers": {"X-Forwarded-Host": "kit.example"}},
    "a request sent on with its scheme alone": {"headers": {"X-Forwarded-Proto": "https"}},
    "a request sent on by another header": {"headers": {"True-Client-IP": "203.0.113.9"}},
    "an address of this machine that is none": {"headers": {"Host": "0.0.0.0"}},
    "a page whose origin may read plans": {
        "settings": {"cors_origins": "https://other.example"},
        "headers": {"Origin": "https://other.example"},
    },
    "a name made to point here": {"headers": {"Host": "rebound.example"}},
}


@pytest.mark.parametrize("name", ELSEWHERE)
def test_only_who_sits_at_the_machine_is_its_one_user(database_url: str, name: str) -> None:
    """Without keys: anyone else plans with the built-in catalog, and neither reads nor writes stored ones."""
    case = ELSEWHERE[name]
    app = small_app(**{"database_url": database_url, "one_user": True, **case.get("settings", {})})
    headers = case.get("headers", {})
    assert put(app, **headers).status_code == 401
    assert ask("GET", "/v1/catalogs", app=app, headers=headers).status_code == 401
    assert ask("POST", "/v1/kits", app=app, json=LEAST | {"detail": "kit"}, headers=headers).status_code == 200
    at_home = small_app(database_url=database_url, one_user=True)
    assert put(at_home, Origin="http://127.0.0.1").status_code == 201
    for one in (app, at_home):
        one.state.store.close()


def test_who_names_no_host_or_two_is_not_the_one_user(tmp_path: Path, database_url: str) -> None:
    """Of a real service: HTTP/1.1 asks for one Host (RFC 9112, 3.2); HTTP/1.0 may leave it out."""
    with served(tmp_path, database_url=database_url) as server:
        address = urlsplit(server.url)
        assert httpx.get(f"{server.url}/v1/catalogs", timeout=LONG_S).status_code == 200
        for hosts in ([], ["localhost", "rebound.example"], ["rebound.example", "localhost"]):
            lines = ["GET /v1/catalogs HTTP/1.0", *(f"Host: {host}" for host in hosts), "", ""]
            with socket.create_connection((address.hostname, address.port), timeout=LONG_S) as line:
                line.sendall("\r\n".join(lines).encode())
                assert line.recv(12).split()[1] == (b"400" if hosts else b"401"), hosts


def test_an_app_has_no_one_user_unless_it_is_told(database_url: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the settings it is given, or by its environment, as other servers and workers make it."""
    for app in (small_app(database_url=database_url), create_app()):
        assert problem_of(put(app), 401)["type"].endswith("/key-needed")
        app.state.store.close()
    monkeypatch.setenv("KITWRIGHT_ONE_USER", "true")
    app = create_app()
    assert put(app).status_code == 201
    app.state.store.close()


SERVED: dict[str, tuple[list[str], str | None, bool]] = {
    "on this machine alone": ([], None, True),
    "on its name": (["--host", "localhost"], None, True),
    "on every address": (["--host", "0.0.0.0"], None, False),
    "behind a proxy, by the environment": ([], "false", False),
    "behind a proxy, by the command": (["--no-one-user"], "true", False),
    "by the command": (["--host", "0.0.0.0", "--one-user"], "false", True),
}


@pytest.mark.parametrize("name", SERVED)
def test_who_serves_on_loopback_is_the_one_user_unless_they_say_otherwise(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What `kitwright serve` tells its workers."""
    options, variable, expected = SERVED[name]
    if variable is not None:
        monkeypatch.setenv("KITWRIGHT_ONE_USER", variable)
    told: list[Settings] = []

    def serve_port(_: object) -> bool:
        told.append(Settings())
        return True

    monkeypatch.setattr("api.cli.serve_command.serve_port", serve_port)
    assert main(["serve", *options]) == 0
    assert [settings.one_user for settings in told] == [expected]


def test_deployed_services_have_no_one_user() -> None:
    """Both stand behind a balancer, which asks as a user of this machine would."""
    compose = (DEPLOY / "compose.yaml").read_text("utf-8").splitlines()
    unit = (DEPLOY / "kitwright@.service").read_text("utf-8").splitlines()
    lines = [line.removeprefix("Environment=") for line in unit if line.startswith("Environment=KITWRIGHT_ONE_USER")]
    assert lines == ["KITWRIGHT_ONE_USER=false"]
    assert ['KITWRIGHT_ONE_USER: "false"' in line for line in compose if "KITWRIGHT_HOST" in line] == [True]


def test_the_one_user_s_catalogs_go_to_the_owner_local(app: FastAPI, make: Any) -> None:
    """Once keys are in use."""
    put(app)
    assert ask("GET", HOME, app=app, headers=make("local", "read")).json() == HUT
    problem_of(ask("GET", HOME, app=app), 401)


def test_no_key_gets_into_the_log(tmp_path: Path, database_url: str, make: Any) -> None:
    """Of a real service, whether the key is good, weak, revoked or mistyped."""
    keys = [
        make("anna"),
        make("anna", "read"),
        make("anna", "sheet"),
        {"Authorization": make("ben")["Authorization"] + "x"},
    ]
    with served(tmp_path, database_url=database_url) as server:
        for key in keys:
            for method, address in (("PUT", HOME), ("GET", HOME), ("GET", "/v1/catalogs/nix"), ("GET", "/v1/%zz")):
                httpx.request(method, server.url + address, json=HUT, headers=NEW | key, timeout=LONG_S)
            for address in (CELL, HOME, "/v1/kits"):
                shown = key["Authorization"].removeprefix("Bearer ")
                httpx.get(f"{server.url}{address}{'&' if '?' in address else '?'}key={shown}", timeout=LONG_S)
        logged = server.logged()
    assert HOME in logged
    for key in keys:
        assert key["Authorization"].split("_", 2)[2][:20] not in logged
    assert "kw_" not in logged
    assert "kws_" not in logged
