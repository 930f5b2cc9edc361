"""What keys may do at most: rates in each worker, quotas of what is stored by them; each refusal says what is used."""

import json
from typing import Any

import pytest
from fastapi import FastAPI
from service import LEAST, ask, problem_of

from api.cli.command import main
from api.examples.catalog_bodies import HUT, HUT_TRIALS
from api.store.key_limit import read_rate
from api.store.stored_table import tool_table, trial_table

pytestmark = pytest.mark.quick

HOME = "/v1/catalogs/hut"
NEW = {"If-None-Match": "*"}
ANY = {"If-Match": "*"}
KIT = LEAST | {"detail": "kit"}


@pytest.fixture
def make(database_url: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Any:
    """What makes a key with limits, as an operator makes it."""
    monkeypatch.setenv("KITWRIGHT_DATABASE_URL", database_url)

    def made(*limits: str, owner: str = "anna", scope: str = "write") -> dict[str, str]:
        assert main(["key", "create", "--owner", owner, "--scope", scope, *limits]) == 0
        return {"Authorization": f"Bearer {capsys.readouterr().out.strip()}"}

    return made


def listed(capsys: pytest.CaptureFixture[str]) -> list[dict[str, Any]]:
    """The keys as the command lists them."""
    assert main(["key", "list", "--json"]) == 0
    found: list[dict[str, Any]] = json.loads(capsys.readouterr().out)
    return found


def test_a_rate_counts_every_request_with_its_key(app: FastAPI, make: Any) -> None:
    """Whatever it asks; another key and no key are not held up; who is refused is told when to come again."""
    few, other = make("--rate", "3/hour"), make(owner="ben")
    first = ask("POST", "/v1/kits", app=app, json=KIT, headers=few)
    assert first.status_code == 200
    assert first.headers["ratelimit-policy"] == '"key";q=3;w=3600'
    assert first.headers["ratelimit"].startswith('"key";r=2;t=')
    for address in ("/v1/catalogs", "/v1/tools?limit=1"):
        assert ask("GET", address, app=app, headers=few).status_code == 200
    for method, address in (("GET", "/v1/tools"), ("POST", "/v1/kits"), ("GET", "/v1/catalogs")):
        refused = ask(method, address, app=app, headers=few)
        assert "3 requests in 3600 s" in problem_of(refused, 429)["detail"]
        assert 0 < int(refused.headers["retry-after"]) <= 3600
    assert ask("GET", "/healthz", app=app, headers=few).status_code == 200
    for headers in (other, {}):
        answer = ask("POST", "/v1/kits", app=app, json=KIT, headers=headers)
        assert (answer.status_code, "ratelimit" in answer.headers) == (200, False)


def test_a_sheet_key_has_a_rate_too(app: FastAPI, make: Any) -> None:
    """Where it stands in the address."""
    text = make("--rate", "1/day", scope="sheet")["Authorization"].removeprefix("Bearer ")
    cell = f"/v1/sheet/value?field=kit.mass_g&split_mm=140&key={text}"
    assert ask("GET", cell, app=app).status_code == 200
    problem_of(ask("GET", cell, app=app), 429)


@pytest.mark.usefixtures("make")
@pytest.mark.parametrize("text", ["", "60", "60/week", "0/minute", "-1/minute", "1e3/minute", "60/minute ", "9" * 12])
def test_a_rate_that_is_none_is_refused(text: str, capsys: pytest.CaptureFixture[str]) -> None:
    """By the command, before a key is made."""
    with pytest.raises(ValueError, match="60/minute"):
        read_rate(text)
    assert main(["key", "create", "--owner", "anna", "--scope", "read", f"--rate={text}"]) == 2
    capsys.readouterr()
    assert listed(capsys) == []


def test_rows_are_counted_by_the_key_that_stored_them(
    app: FastAPI, make: Any, capsys: pytest.CaptureFixture[str]
) -> None:
    """A write that would go beyond is refused whole and says what is used; what is deleted is free again."""
    key, free = make("--rows", "3", "--revisions", "9"), make()
    stored = ask("PUT", HOME, app=app, json=HUT, headers=NEW | key)
    assert stored.status_code == 201
    more = ask("PUT", f"{HOME}-2", app=app, json=HUT, headers=NEW | key)
    problem = problem_of(more, 409)
    assert problem["type"].endswith("/limit-reached")
    assert "3 rows; 2 are used, and this write would make them 4" in problem["detail"]
    assert problem["errors"] == [{"pointer": "#", "value": 4, "range": "0 to 3 rows", "detail": problem["detail"]}]
    assert ask("GET", f"{HOME}-2", app=app, headers=key).status_code == 404
    trials = ask("POST", f"{HOME}/trials", app=app, json=HUT_TRIALS, headers=ANY | key)
    problem_of(trials, 409)
    assert ask("GET", f"{HOME}/trials", app=app, headers=key).json() == {"trials": []}
    assert ask("PUT", f"{HOME}-2", app=app, json=HUT, headers=NEW | free).status_code == 201
    assert [one["use"]["rows"] for one in listed(capsys)] == [2, 2]
    assert ask("DELETE", HOME, app=app, headers=ANY | key).status_code == 204
    mine = next(one for one in listed(capsys) if one["id"] == key["Authorization"].split("_")[1])
    assert mine["use"] == {"bytes": 0, "rows": 0, "revisions": 0}
    assert ask("PUT", f"{HOME}-3", app=app, json=HUT, headers=NEW | key).status_code == 201


def test_revisions_and_bytes_are_counted(app: FastAPI, make: Any, capsys: pytest.CaptureFixture[str]) -> None:
    """Bytes as the store has them, in UTF-8; a row that stays the same is stored once; the list tells limit and use."""
    key = make("--revisions", "2", "--bytes", "100000", "--rate", "60/minute")
    note = HUT | {"note": "é" * 9, "tools": [HUT["tools"][0] | {"note": "é" * 200}, *HUT["tools"][1:]]}
    tag = ask("PUT", HOME, app=app, json=note, headers=NEW | key).json()["tag"]
    tag = ask("PATCH", HOME, app=app, json={"note": "same rows"}, headers=key | {"If-Match": tag}).json()["tag"]
    refused = ask("PATCH", HOME, app=app, json={"note": "once more"}, headers=key | {"If-Match": tag})
    assert "2 revisions; 2 are used" in problem_of(refused, 409)["detail"]
    assert ask("GET", HOME, app=app, headers=key).headers["etag"] == tag
    with app.state.store.reading() as connection:
        bodies = [row.body for table in (tool_table, trial_table) for row in connection.execute(table.select())]
    size = sum(len(body.encode()) for body in bodies)
    assert size > sum(map(len, bodies))
    (one,) = listed(capsys)
    assert one["use"] == {"bytes": size, "rows": 2, "revisions": 2}
    assert one["limits"] == {"rate": "60/minute", "bytes": 100_000, "rows": None, "revisions": 2}
    assert main(["key", "list"]) == 0
    assert f"60/minute  {size} of 100000 bytes  2 of 2 revisions" in capsys.readouterr().out
    narrow = make("--bytes", str(size - 1))
    assert (
        "bytes; 0 are used"
        in problem_of(ask("PUT", f"{HOME}-2", app=app, json=note, headers=NEW | narrow), 409)["detail"]
    )


@pytest.mark.usefixtures("make")
@pytest.mark.parametrize("option", ["--rows", "--bytes", "--revisions"])
def test_a_quota_is_a_whole_number(option: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Anything else is refused by the command."""
    for text in ("-1", "1.5", "x", "2000000001", "٣"):
        with pytest.raises(SystemExit):
            main(["key", "create", "--owner", "anna", "--scope", "read", f"{option}={text}"])
    capsys.readouterr()
    assert listed(capsys) == []
