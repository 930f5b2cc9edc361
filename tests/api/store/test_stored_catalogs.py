"""Stored catalogs over HTTP, on both kinds of database: what is kept, under which conditions, and in which forms."""

import asyncio
import json
from time import sleep
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from service import HOST, JSON, ask, faults_of, now, problem_of, small_app
from tree import ROOT
from waiting import LONG_S

from api.examples.catalog_bodies import HUT, HUT_CHANGE, HUT_TABLE
from api.store import stored_catalog
from catalog import parse_tools, tools
from catalog.equipment.toolset import judged_tools

pytestmark = pytest.mark.quick

TOOLS_FILE = ROOT / "catalog" / "data" / "equipment" / "tools.csv"
HOME = "/v1/catalogs/hut"
NEW = {"If-None-Match": "*"}
TABLE = {"Content-Type": "text/csv"}
AS_TABLE = {"Accept": "text/csv"}
SAW, HATCHET = HUT["tools"]


def store(app: FastAPI, *, address: str = HOME, body: Any = HUT) -> dict[str, Any]:
    """What the service says of a catalog that it stored anew."""
    answer = ask("PUT", address, app=app, json=body, headers=NEW)
    assert answer.status_code == 201, answer.text
    assert answer.headers["location"] == address
    written: dict[str, Any] = answer.json()
    return written


def read(app: FastAPI, *, address: str = HOME, **headers: str) -> httpx.Response:
    """A catalog as it is read."""
    answer = ask("GET", address, app=app, headers=headers)
    assert answer.status_code == 200, answer.text
    return answer


def based_on(answer: httpx.Response) -> dict[str, str]:
    """The condition of a write that is based on what was read (RFC 9110, 13.1.1)."""
    return {"If-Match": answer.headers["etag"]}


def test_what_is_stored_is_read_back(app: FastAPI) -> None:
    """Rows, their order and the note; and the list names it."""
    assert read(app, address="/v1/catalogs").json() == {"items": [], "next": None}
    written = store(app)
    assert read(app).json() == HUT
    (head,) = read(app, address="/v1/catalogs").json()["items"]
    assert head == {key: value for key, value in written.items() if key != "warnings"}
    assert (head["name"], head["revision"], head["tool_count"]) == ("hut", 1, 2)
    assert read(app).headers["etag"] == head["tag"]


def test_get_and_put_go_round_in_both_forms(app: FastAPI) -> None:
    """The built-in table as a table: the rows of the file; and as JSON: its rows, nothing drawn joined to them."""
    table = TOOLS_FILE.read_text("utf-8")
    stored = ask("PUT", HOME, app=app, content=table.encode(), headers=NEW | TABLE)
    assert stored.status_code == 201, stored.text
    written = read(app, **AS_TABLE).text
    assert parse_tools(written, file="any") == parse_tools(table, file="any")
    assert written.partition("\n")[0] == table.partition("\n")[0]
    assert read(app, **AS_TABLE).headers["content-type"] == "text/csv; charset=utf-8; header=present"  # RFC 7111
    document = read(app)
    assert sorted(document.json()["tools"], key=lambda row: row["id"]) == [one.model_dump() for one in judged_tools()]
    assert ask("PUT", HOME, app=app, content=document.content, headers=based_on(document) | JSON).status_code == 200
    assert read(app).json() == document.json()
    assert read(app, **AS_TABLE).text == written


def test_tables_have_addresses_of_their_own(app: FastAPI) -> None:
    """By address alone, as a browser or a spreadsheet asks; in both conventions, and PUT takes either back."""
    saw = {**SAW, "mass_g": 121.125, "note": "=1+1"}
    store(app, body={"tools": [saw, HATCHET]})
    plain = read(app, address=f"{HOME}.csv")
    assert plain.text == read(app, **AS_TABLE).text == read(app, address=f"{HOME}/revisions/1.csv").text
    assert plain.headers["content-disposition"] == 'attachment; filename="hut.csv"'
    assert plain.headers["etag"] == read(app, **AS_TABLE).headers["etag"]
    kept = ask("GET", f"{HOME}.csv", app=app, headers={"If-None-Match": plain.headers["etag"]})
    assert kept.status_code == 304
    comma = read(app, address=f"{HOME}.csv?decimal=comma&bom=1")
    assert comma.text.startswith("\ufeffid;name;")
    assert ";121,1250;" in comma.text
    before = read(app).json()["tools"]
    for answer, query in ((plain, ""), (comma, ""), (comma, "?decimal=comma"), (plain, "?decimal=point")):
        headers = {"If-Match": read(app).headers["etag"]} | TABLE
        assert ask("PUT", f"{HOME}{query}", app=app, content=answer.content, headers=headers).status_code == 200
        assert read(app).json()["tools"] == before
    unclear = comma.text.replace("121,1250", "121,125")
    headers = {"If-Match": read(app).headers["etag"]} | TABLE
    wrong = ask("PUT", f"{HOME}?decimal=point", app=app, content=unclear.encode(), headers=headers)
    assert wrong.status_code == 422
    assert "#/query/decimal" in faults_of(ask("GET", f"{HOME}.csv?decimal=x", app=app))
    assert "#/query/format" in faults_of(ask("GET", f"{HOME}.csv?format=x", app=app))
    assert problem_of(ask("GET", "/v1/catalogs/nobody.csv", app=app), 404)
    trials = read(app, address=f"{HOME}/trials.csv?decimal=comma")
    assert trials.text.startswith("tool;task;wood;")


def test_the_built_in_tools_have_a_table(app: FastAPI) -> None:
    """All of them, or those of a kind or a task; a catalog takes it as it is."""
    table = ask("GET", "/v1/tools.csv?decimal=comma", app=app)
    assert parse_tools(table.text, file="any") == list(tools())
    stored = ask("PUT", HOME, app=app, content=table.content, headers=NEW | TABLE)
    assert stored.status_code == 201, stored.text
    rows = parse_tools(ask("GET", "/v1/tools.csv?kind=hatchet&task=chop", app=app).text, file="any")
    assert [tool.id for tool in rows] == [tool.id for tool in tools() if tool.kind == "hatchet"]


def test_a_table_leaves_the_note_as_it_is(app: FastAPI) -> None:
    """It has no place for one; a JSON catalog without a note has none."""
    store(app)
    for body, note in (({"content": HUT_TABLE.encode()}, HUT["note"]), ({"json": {"tools": [SAW]}}, None)):
        headers = now(HOME, app=app) | (TABLE if "content" in body else {})
        assert ask("PUT", HOME, app=app, headers=headers, **body).status_code == 200
        assert read(app).json()["note"] == note


def test_a_write_without_a_condition_is_a_428(app: FastAPI) -> None:
    """RFC 6585, 3; of a catalog and of a row; nothing changes."""
    store(app)
    for method, body in (("PUT", {"json": HUT}), ("PATCH", {"json": HUT_CHANGE}), ("DELETE", {})):
        assert problem_of(ask(method, HOME, app=app, **body), 428)["type"].endswith("/condition-needed")
    for method, body in (("PUT", {"json": SAW}), ("DELETE", {})):
        problem_of(ask(method, f"{HOME}/tools/hut-saw", app=app, **body), 428)
    assert read(app).json() == HUT


@pytest.mark.parametrize("condition", ['"other"', "W/{tag}", "junk", "", '"a", "b"'])
def test_a_write_based_on_something_else_is_a_412(app: FastAPI, condition: str) -> None:
    """The strong comparison of RFC 9110, 8.8.3.2: a weak tag never matches; nothing changes."""
    tag = store(app)["tag"]
    headers = {"If-Match": condition.format(tag=tag)}
    for method, body in (("PUT", {"json": HUT}), ("PATCH", {"json": HUT_CHANGE}), ("DELETE", {})):
        assert problem_of(ask(method, HOME, app=app, headers=headers, **body), 412)["type"].endswith(
            "/changed-meanwhile"
        )
    assert read(app).json() == HUT


def test_conditions_that_hold(app: FastAPI) -> None:
    """A list with the right tag in it, and the tag of either form."""
    listed = f'"x", {store(app)["tag"]}'
    assert ask("PUT", HOME, app=app, json=HUT, headers={"If-Match": listed}).status_code == 200
    for accept in ("text/csv", "application/json"):
        condition = based_on(read(app, Accept=accept))
        assert ask("PUT", HOME, app=app, json=HUT, headers=condition).status_code == 200


def test_a_catalog_is_made_only_where_none_is(app: FastAPI) -> None:
    """If-None-Match: *; and If-Match makes none."""
    problem_of(ask("PUT", HOME, app=app, json=HUT, headers={"If-Match": '"x"'}), 412)
    store(app)
    problem_of(ask("PUT", HOME, app=app, json={"tools": [SAW]}, headers=NEW), 412)
    assert read(app).json() == HUT


UNBASED: dict[str, dict[str, str]] = {
    "whatever is there": {"If-Match": "*"},
    "anything but one version": {"If-None-Match": '"x"'},
    "both": {"If-Match": "*", "If-None-Match": '"x"'},
    "a version, and anything but another": {"If-Match": "{tag}", "If-None-Match": '"x"'},
}


@pytest.mark.parametrize("name", UNBASED)
def test_a_write_that_does_not_say_what_it_is_based_on_is_a_428(app: FastAPI, name: str) -> None:
    """It would take the place of what its sender has not seen; a deletion takes what is there with *."""
    tag = store(app)["tag"]
    headers = {header: value.format(tag=tag) for header, value in UNBASED[name].items()}
    writes = (
        ("PUT", HOME, HUT),
        ("PATCH", HOME, HUT_CHANGE),
        ("PUT", f"{HOME}/tools/x", SAW | {"id": "x"}),
        ("PUT", "/v1/catalogs/new", HUT),
    )
    for method, address, body in writes:
        problem_of(ask(method, address, app=app, json=body, headers=headers), 428)
    assert read(app).json() == HUT
    assert ask("DELETE", HOME, app=app, headers={"If-Match": "*"}).status_code == 204


def test_no_cursor_that_a_database_can_not_hold_is_looked_for(app: FastAPI) -> None:
    """PostgreSQL takes no NUL in a text."""
    store(app)
    for cursor in ("%00", "hut%00", "%0A", "%1f"):
        for address in ("/v1/catalogs", f"{HOME}/tools", "/v1/tools"):
            assert list(faults_of(ask("GET", f"{address}?cursor={cursor}", app=app))) == ["#/query/cursor"]
    assert ask("GET", "/v1/catalogs?cursor=%ff%fe", app=app).status_code == 200


def test_a_reader_that_has_it_gets_a_304(app: FastAPI) -> None:
    """By the weak comparison (RFC 9110, 13.1.2), each form by its own tag, until it changes."""
    store(app)
    for headers in ({}, AS_TABLE):
        first = read(app, **headers)
        tag = first.headers["etag"]
        for held in (tag, f"W/{tag}", f'"x", {tag}', "*"):
            again = ask("GET", HOME, app=app, headers=headers | {"If-None-Match": held})
            assert (again.status_code, again.content, again.headers["etag"]) == (304, b"", tag)
            assert {name: again.headers[name] for name in ("vary", "cache-control")} == {
                name: first.headers[name] for name in ("vary", "cache-control")
            }
    assert read(app).headers["etag"] != read(app, **AS_TABLE).headers["etag"]
    held = {"If-None-Match": read(app).headers["etag"]}
    ask("PATCH", HOME, app=app, json=HUT_CHANGE, headers=now(HOME, app=app))
    assert read(app, **held).json() != HUT


def test_every_revision_is_kept(app: FastAPI) -> None:
    """Each as it was, at an address that stays; the list of them goes page by page."""
    store(app)
    documents = [read(app)]
    for mass_g in (700, 690, 680):
        change = {"tools": [SAW | {"mass_g": mass_g}], "note": f"{mass_g} g"}
        assert ask("PATCH", HOME, app=app, json=change, headers=based_on(documents[-1])).status_code == 200
        documents.append(read(app))
    for number, document in enumerate(documents, start=1):
        place = document.headers["content-location"]
        assert place == f"{HOME}/revisions/{number}"
        assert read(app, address=place).content == document.content
        assert read(app, address=place).headers["etag"] == document.headers["etag"]
    first = read(app, address=f"{HOME}/revisions?limit=3").json()
    assert [head["revision"] for head in first["items"]] == [1, 2, 3]
    last = read(app, address=first["next"]).json()
    assert ([head["revision"] for head in last["items"]], last["next"]) == ([4], None)
    problem_of(ask("GET", f"{HOME}/revisions/5", app=app), 404)


def test_no_more_catalogs_than_may_are_made_at_the_same_time(
    database_url: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Each is counted before the next, though all are asked for before the first is kept."""
    app, create = small_app(one_user=True, database_url=database_url, most_catalogs=2), stored_catalog.create

    def slow(*given: Any, **named: Any) -> stored_catalog.Head:
        sleep(0.3)  # without turns, all have counted by then
        return create(*given, **named)

    monkeypatch.setattr(stored_catalog, "create", slow)

    async def asked() -> list[int]:
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url=HOST, timeout=LONG_S) as client:
            await client.get("/v1/catalogs")
            puts = [client.put(f"/v1/catalogs/hut-{number}", json=HUT, headers=NEW) for number in range(5)]
            return sorted([answer.status_code for answer in await asyncio.gather(*puts)])

    assert asyncio.run(asked()) == [201, 201, 409, 409, 409]
    assert len(read(app, address="/v1/catalogs").json()["items"]) == 2
    app.state.store.close()


def test_the_oldest_revisions_go_where_there_are_too_many(database_url: str) -> None:
    """By setting; those that stay are whole."""
    app = small_app(one_user=True, database_url=database_url, most_revisions=2)
    store(app)
    for mass_g in (700, 690, 680):
        change = {"tools": [SAW | {"mass_g": mass_g}]}
        assert ask("PATCH", HOME, app=app, json=change, headers=now(HOME, app=app)).status_code == 200
    assert [head["revision"] for head in read(app, address=f"{HOME}/revisions").json()["items"]] == [3, 4]
    assert [row["mass_g"] for row in read(app, address=f"{HOME}/revisions/3").json()["tools"]] == [690, 610]
    problem_of(ask("GET", f"{HOME}/revisions/2", app=app), 404)
    app.state.store.close()


def test_a_change_is_made_whole_or_not_at_all(app: FastAPI) -> None:
    """Rows replaced where they stand, added at the end, left out; one wrong row, and none is."""
    store(app)
    mine = {"tools": [HATCHET | {"price": 10}, SAW | {"id": "second-saw"}], "drop": ["hut-saw"]}
    wrong = {"tools": [HATCHET | {"price": 10}, SAW | {"mass_g": -1}]}
    faults = faults_of(ask("PATCH", HOME, app=app, json=wrong, headers=now(HOME, app=app)))
    assert list(faults) == ["#/tools/1/mass_g"]
    assert read(app).json() == HUT
    assert ask("PATCH", HOME, app=app, json=mine, headers=now(HOME, app=app)).status_code == 200
    assert read(app).json() == {"note": HUT["note"], "tools": [HATCHET | {"price": 10.0}, SAW | {"id": "second-saw"}]}


def test_rows_by_themselves(app: FastAPI) -> None:
    """Each with a tag of its own, which stays while the row does: two writers of two rows don't disturb each other."""
    store(app)
    saw, hatchet = read(app, address=f"{HOME}/tools/hut-saw"), read(app, address=f"{HOME}/tools/hut-hatchet")
    assert (saw.json(), hatchet.json()) == (SAW, HATCHET)
    for before, row in ((saw, SAW), (hatchet, HATCHET)):
        address = f"{HOME}/tools/{row['id']}"
        answer = ask("PUT", address, app=app, json=row | {"mass_g": 600}, headers=based_on(before))
        assert answer.status_code == 200, answer.text
        problem_of(ask("PUT", address, app=app, json=row, headers=based_on(before)), 412)
    assert [row["mass_g"] for row in read(app).json()["tools"]] == [600, 600]
    assert (
        ask("GET", f"{HOME}/tools/hut-saw", app=app, headers={"If-None-Match": saw.headers["etag"]}).status_code == 200
    )

    knife = HUT_CHANGE["tools"][0]
    added = ask("PUT", f"{HOME}/tools/hut-knife", app=app, json=knife, headers=NEW)
    assert (added.status_code, added.json()["tool_count"]) == (201, 3)
    problem_of(ask("PUT", f"{HOME}/tools/hut-knife", app=app, json=knife, headers=NEW), 412)
    assert [row["id"] for row in read(app, address=f"{HOME}/tools").json()["items"]] == [
        "hut-hatchet",
        "hut-knife",
        "hut-saw",
    ]
    assert [row["id"] for row in read(app, address=f"{HOME}/tools?task=carve").json()["items"]] == ["hut-knife"]
    for name in ("hut-knife", "hut-saw"):
        assert ask("DELETE", f"{HOME}/tools/{name}", app=app, headers={"If-Match": "*"}).status_code == 204
    problem_of(ask("GET", f"{HOME}/tools/hut-saw", app=app), 404)
    problem_of(ask("DELETE", f"{HOME}/tools/hut-saw", app=app, headers={"If-Match": "*"}), 404)
    last = ask("DELETE", f"{HOME}/tools/hut-hatchet", app=app, headers={"If-Match": "*"})
    assert list(faults_of(last)) == ["#/tools"]
    other = ask(
        "PUT", f"{HOME}/tools/hut-hatchet", app=app, json=SAW, headers=now(f"{HOME}/tools/hut-hatchet", app=app)
    )
    assert list(faults_of(other)) == ["#/id"]


def test_a_deleted_catalog_is_gone_and_its_name_free(app: FastAPI) -> None:
    """With its revisions; and no tag of it fits what takes its name."""
    store(app)
    before = read(app)
    assert ask("DELETE", HOME, app=app, headers=based_on(before)).status_code == 204
    for address in (HOME, f"{HOME}/revisions", f"{HOME}/revisions/1", f"{HOME}/tools", f"{HOME}/tools/hut-saw"):
        problem_of(ask("GET", address, app=app), 404)
    problem_of(ask("DELETE", HOME, app=app, headers={"If-Match": "*"}), 404)
    store(app)
    problem_of(ask("PUT", HOME, app=app, json=HUT, headers=based_on(before)), 412)
    assert [head["revision"] for head in read(app, address=f"{HOME}/revisions").json()["items"]] == [1]


WRONG = {
    "an id twice": ({"tools": [SAW, SAW]}, "#/tools/1/id"),
    "an id of a field method": ({"tools": [SAW | {"id": "break-by-hand"}]}, "#/tools/0/id"),
    "no tools": ({"tools": []}, "#/tools"),
    "an unknown field": ({"tools": [SAW], "name": "hut"}, "#/name"),
    "an unknown column": ({"tools": [SAW | {"colour": "red"}]}, "#/tools/0/colour"),
    "a mass below nothing": ({"tools": [SAW, HATCHET | {"mass_g": -1}]}, "#/tools/1/mass_g"),
    "a mass in words": ({"tools": [SAW | {"mass_g": "600"}]}, "#/tools/0/mass_g"),
    "text that no cell holds": ({"tools": [SAW | {"note": " a"}]}, "#/tools/0/note"),
    "a group of nothing": ({"tools": [SAW | {"needs": [["a"], []]}]}, "#/tools/0/needs"),
    "half of a character": ({"tools": [SAW], "note": "\ud800"}, "#/note"),
    "a control character": ({"tools": [SAW], "note": "\u0000"}, "#/note"),
}


def test_a_catalog_that_is_wrong_anywhere_is_not_stored(app: FastAPI) -> None:
    """Each fault by its place, and nothing of the rest is kept."""
    for name, (body, pointer) in WRONG.items():
        answer = ask("PUT", HOME, app=app, content=json.dumps(body).encode(), headers=NEW | JSON)
        assert list(faults_of(answer)) == [pointer], name
    problem_of(ask("GET", HOME, app=app), 404)


def test_a_table_that_is_wrong_anywhere_is_not_stored(app: FastAPI) -> None:
    """Each fault by its row (RFC 7111) and column."""
    text = HUT_TABLE.replace("610", "heavy").replace("640,60", "-5,60")
    answer = ask("PUT", HOME, app=app, content=text.encode(), headers=NEW | TABLE)
    faults = faults_of(answer)
    assert set(faults) == {"#row=2", "#row=3"}
    assert all("mass_g" in fault["detail"] for fault in faults.values())
    problem_of(ask("PUT", HOME, app=app, content=b"id,mass_g\na,\xff\n", headers=NEW | TABLE), 400)
    assert list(faults_of(ask("PUT", HOME, app=app, content=b"", headers=NEW | TABLE))) == ["#row=1"]
    problem_of(ask("GET", HOME, app=app), 404)


def test_a_body_that_is_not_json_is_a_400(app: FastAPI) -> None:
    """As strictly read as a trip."""
    for body in (b"", b"{", b'{"tools":[],"tools":[]}', b"[" * 100_000, b"NaN", b"\xff"):
        problem_of(ask("PUT", HOME, app=app, content=body, headers=NEW | JSON), 400)


def test_soft_limits_are_set_by_the_operator(database_url: str) -> None:
    """Tools of a catalog, and catalogs of an owner."""
    app = small_app(one_user=True, database_url=database_url, most_catalogs=1, most_catalog_tools=2)
    store(app)
    assert problem_of(ask("PUT", "/v1/catalogs/b", app=app, json=HUT, headers=NEW), 409)["type"].endswith(
        "/limit-reached"
    )
    for method, address, body in (
        ("PUT", HOME, {"tools": [SAW, HATCHET, SAW | {"id": "c"}]}),
        ("PATCH", HOME, {"tools": [SAW | {"id": "c"}]}),
        ("PUT", f"{HOME}/tools/c", SAW | {"id": "c"}),
    ):
        condition = NEW if address.endswith("/c") else now(HOME, app=app)
        assert list(faults_of(ask(method, address, app=app, json=body, headers=condition))) == ["#/tools"]
    assert read(app).json() == HUT
    app.state.store.close()


def test_the_form_that_a_reader_gets(app: FastAPI) -> None:
    """Accept by RFC 9110, 12.5.1: weights, the more specific range first, JSON where both are as good; else 406."""
    store(app)
    wanted = {
        "text/csv": "text/csv",
        "*/*": "application/json",
        "text/csv, application/json": "application/json",
        "text/csv, application/json;q=0.9": "text/csv",
        "text/*, */*;q=0.1": "text/csv",
        "text/csv;q=0, */*": "application/json",
        "application/json; q=junk, text/csv;q=0.5": "application/json",
    }
    for accept, media in wanted.items():
        assert read(app, Accept=accept).headers["content-type"].split(";")[0] == media, accept
    for accept in ("text/html", "application/json;q=0, text/csv;q=0.0", "image/*"):
        problem_of(ask("GET", HOME, app=app, headers={"Accept": accept}), 406)


def test_only_a_catalog_is_taken_as_a_table(app: FastAPI) -> None:
    """Elsewhere the body is JSON, as it is at the planning addresses."""
    store(app)
    for method, address in (("PATCH", HOME), ("PUT", f"{HOME}/tools/hut-saw"), ("POST", "/v1/kits")):
        headers = TABLE | {"If-Match": "*"}
        problem_of(ask(method, address, app=app, content=HUT_TABLE.encode(), headers=headers), 415)


def test_a_mass_that_looks_wrong_is_stored_with_a_warning(app: FastAPI) -> None:
    """A saw of 5 g was weighed in something else."""
    answer = ask("PUT", HOME, app=app, json={"tools": [SAW | {"mass_g": 5}]}, headers=NEW)
    assert answer.status_code == 201
    assert "hut-saw" in answer.json()["warnings"][0]
    assert store(app, address="/v1/catalogs/b")["warnings"] == []


def test_a_name_is_plain(app: FastAPI) -> None:
    """Small letters, digits and dashes: none that looks like another."""
    for name in ("Hut", "hut@1", "h\u00fct", "hut ", "-hut", "h" * 65, "h%00"):
        answer = ask("PUT", f"/v1/catalogs/{name}", app=app, json=HUT, headers=NEW)
        assert list(faults_of(answer)) == ["#/path/name"], name
