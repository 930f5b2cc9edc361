"""The OpenAPI document as a contract: committed, whole, valid, and only ever added to."""

import json
import re
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import httpx
import pytest
from fastapi import FastAPI
from jobs import ASYNC, state_of, working
from jsonschema import Draft202012Validator
from openapi_spec_validator import OpenAPIV31SpecValidator
from service import APP, LEAST, ask, kit_of, now, post, small_app
from tree import ROOT

from api.contract.document import contract_text, promises
from api.examples.catalog_bodies import HUT, HUT_TRIALS
from api.examples.invented import example_trips

pytestmark = pytest.mark.quick

Row = dict[str, Any]

FOLDER = ROOT / "openapi"
DOCUMENT: Row = json.loads((FOLDER / "openapi.json").read_text(encoding="utf-8"))  # held against the app below
OPERATIONS = [
    (f"{method.upper()} {path}", operation)
    for path, operations in DOCUMENT["paths"].items()
    for method, operation in operations.items()
]
PLANNING_SHEETS = ("GET /v1/sheet/value", "GET /v1/sheet/values", "GET /v1/sheet/kit.csv", "POST /v1/sheet/trips")
WORKBOOKS = ("POST /v1/sheet/trips.xlsx", "POST /v1/sheet/trips.ods")  # what goes in and out is no text
PLANNING_BOOKS = ("GET /v1/sheet/workbook.ods", "GET /v1/sheet/workbook.xlsx")  # where a trip is in the query
BATCH = "POST /v1/kits/batch"  # lines, no JSON: its example is held by test_batch.py
STALE = "run `kitwright contract openapi` and commit what it writes"
by_operation = pytest.mark.parametrize(("name", "operation"), OPERATIONS, ids=[name for name, _ in OPERATIONS])


def listed_promises() -> list[str]:
    """The promises as they are committed."""
    return (FOLDER / "promises.txt").read_text(encoding="utf-8").splitlines()


def conforms(value: Any, schema: Row) -> list[str]:
    """What is wrong with a value by a schema of the document."""
    whole = {**schema, "components": DOCUMENT["components"]}
    return [f"{list(error.path)}: {error.message}" for error in Draft202012Validator(whole).iter_errors(value)]


def test_the_committed_document_is_the_one_that_the_app_makes() -> None:
    """Byte for byte, whatever the settings."""
    assert (FOLDER / "openapi.json").read_text(encoding="utf-8") == contract_text(APP.openapi()), STALE
    assert ask("GET", "/openapi.json").json() == DOCUMENT


def test_nothing_promised_has_disappeared() -> None:
    """Operations, parameters and fields are only ever added within v1."""
    assert sorted(set(listed_promises()) - set(promises(DOCUMENT))) == []


def test_everything_there_is_promised() -> None:
    """What is new is listed in the same commit, sorted, each once."""
    assert sorted(set(promises(DOCUMENT)) - set(listed_promises())) == [], STALE
    assert listed_promises() == sorted(set(listed_promises()))


def test_a_promise_that_breaks_is_seen() -> None:
    """A field, a parameter or an operation less shows in the list."""
    for cut in (
        lambda document: document["components"]["schemas"]["Kit"]["properties"].pop("mass_g"),
        lambda document: document["paths"]["/v1/kits"]["post"].pop("parameters"),
        lambda document: document["paths"].pop("/v1/methods"),
    ):
        document = json.loads(contract_text(DOCUMENT))
        cut(document)
        assert set(listed_promises()) - set(promises(document))


def test_the_document_is_valid() -> None:
    """OpenAPI 3.1, by a validator that knows nothing of this project."""
    assert DOCUMENT["openapi"].startswith("3.1")
    errors = [error.message for error in OpenAPIV31SpecValidator(DOCUMENT).iter_errors()]
    assert errors == []


def test_the_document_covers_every_address_of_version_1() -> None:
    """Those that this version honours, and no other under /v1."""
    found = {name for name, _ in OPERATIONS}
    assert found == {
        "POST /v1/kits",
        "GET /v1/designs",
        "GET /v1/tools",
        "GET /v1/tools/{id}",
        "GET /v1/tools/{id}/scores",
        "GET /v1/methods",
        "GET /v1/assumptions",
        "GET /v1/woods",
        "GET /v1/woods/{id}",
        "GET /v1/camp-work",
        "POST /v1/kits/front",
        "POST /v1/kits/batch",
        "POST /v1/kits/check",
        "POST /v1/kits/bad-night",
        "POST /v1/kits/confidence",
        "POST /v1/kits/season",
        "POST /v1/kits/sure",
        "POST /v1/kits/sure.svg",
        "POST /v1/designs/allowance",
        "GET /v1/designs/making-figures",
        "POST /v1/designs/score",
        "POST /v1/trials",
        "POST /v1/designs/sweep",
        "POST /v1/designs/best",
        "POST /v1/designs/adoption",
        "POST /v1/designs/adoption.svg",
        "POST /v1/designs/adoption-map.svg",
        "POST /v1/designs/best.svg",
        "GET /v1/designs/populations",
        "POST /v1/designs/minimum-section",
        "POST /v1/designs/tolerance",
        "POST /v1/designs/sheet.pdf",
        "POST /v1/designs/sheet.dxf",
        "POST /v1/designs/outline.svg",
        "POST /v1/designs/outline.dxf",
        "POST /v1/designs/drawing.svg",
        "POST /v1/designs/mass.svg",
        "GET /v1/catalogs",
        "GET /v1/catalogs/{name}",
        "PUT /v1/catalogs/{name}",
        "PATCH /v1/catalogs/{name}",
        "DELETE /v1/catalogs/{name}",
        "GET /v1/catalogs/{name}/revisions",
        "GET /v1/catalogs/{name}/revisions/{revision}",
        "GET /v1/catalogs/{name}/tools",
        "GET /v1/catalogs/{name}/tools/{id}",
        "PUT /v1/catalogs/{name}/tools/{id}",
        "DELETE /v1/catalogs/{name}/tools/{id}",
        "GET /v1/sheet/value",
        "GET /v1/sheet/values",
        "GET /v1/sheet/kit.csv",
        "POST /v1/sheet/trips",
        "POST /v1/sheet/trips.csv",
        *WORKBOOKS,
        "GET /v1/sheet/workbook.ods",
        "GET /v1/sheet/workbook.xlsx",
        "GET /v1/sheet/functions.oxt",
        "GET /v1/sheet/functions.js",
        "GET /v1/catalogs/{name}/trials",
        "GET /v1/catalogs/{name}.csv",
        "GET /v1/catalogs/{name}/revisions/{revision}.csv",
        "GET /v1/catalogs/{name}/trials.csv",
        "GET /v1/tools.csv",
        "POST /v1/catalogs/{name}/trials",
        "GET /v1/catalogs/{name}/shares",
        "POST /v1/catalogs/{name}/shares",
        "DELETE /v1/catalogs/{name}/shares/{owner}",
        "GET /v1/changes",
        "GET /v1/changes.csv",
        "GET /v1/changes.ndjson",
        "GET /v1/jobs",
        "GET /v1/jobs/{id}",
        "DELETE /v1/jobs/{id}",
        "GET /v1/jobs/{id}/result",
        "GET /healthz",
        "GET /readyz",
        "GET /problems/{slug}",
    }


@by_operation
def test_an_operation_declares_its_failures_as_problems(name: str, operation: Row) -> None:
    """400, 422 and 500 everywhere, 404 where an id is named, and what bodies, keys, pages and conditions do wrong."""
    failures = {status for status in operation["responses"] if status >= "400"}
    expected = {"400", "422", "429", "500"}
    if name.split()[1].startswith(("/v1/", "/readyz")):
        expected.add("403")
    if name.split()[1].startswith("/v1/"):
        expected.add("401")
    if "{" in name:
        expected.add("404")
    if "requestBody" in operation:
        expected |= {"408", "413", "415", "503"}
    designs = tuple(
        f"POST /v1/designs/{name}"
        for name in ("allowance", "adoption", "best", "sweep", "minimum-section", "tolerance")
    )
    planning = ("POST /v1/kits", *designs, *PLANNING_SHEETS, *PLANNING_BOOKS)
    if name.split()[1].startswith(("/v1/catalogs", "/v1/jobs", "/v1/changes")) or name.startswith(planning):
        expected |= {"401", "403", "503"}
    if name.endswith("/result"):
        expected.add("507")  # what is kept of an answer has a limit
    if "/v1/catalogs" in name and not name.startswith("GET") and "/shares" not in name:
        expected |= {"409", "412", "428"}
    if name == "POST /v1/catalogs/{name}/shares":
        expected.add("409")  # there is a limit of readers
    if re.fullmatch(r"GET /v1/catalogs/{name}(/revisions/{revision}|/trials)?", name):
        expected.add("406")
    if name == "GET /readyz":
        expected.add("503")
    assert failures == expected
    for status in failures:
        (media,) = operation["responses"][status]["content"].items()
        assert media == ("application/problem+json", {"schema": {"$ref": "#/components/schemas/Problem"}})
        assert operation["responses"][status]["description"]


@by_operation
def test_an_operation_says_what_it_is_for(name: str, operation: Row) -> None:
    """Summary, description, a known tag, a short name of its own, a word on each parameter: linters want them."""
    assert operation["summary"], name
    assert operation["description"]
    assert len(operation["tags"]) == 1
    assert set(operation["tags"]) <= {tag["name"] for tag in DOCUMENT["tags"]}
    assert re.fullmatch("[a-z]+(_[a-z]+)*", operation["operationId"])
    assert sum(other["operationId"] == operation["operationId"] for _, other in OPERATIONS) == 1
    assert [given["name"] for given in operation.get("parameters", []) if not given.get("description")] == []


def request_examples(operation: Row) -> list[Row]:
    """The bodies that the document shows for an operation."""
    media = next(iter(operation.get("requestBody", {}).get("content", {}).values()), {})
    one = [media["example"]] if "example" in media else []
    return one + [example["value"] for example in media.get("examples", {}).values()]


def example_address(name: str, operation: Row) -> str:
    """The address of an operation with the document's own examples for the parts of its path and its query."""
    path = name.split()[1]
    query = [
        (p["name"], p["example"]) for p in operation.get("parameters", []) if p["in"] == "query" and "example" in p
    ]
    for parameter in operation.get("parameters", []):
        if parameter["in"] == "path":
            example = parameter.get("example") or parameter["schema"]["examples"][0]
            path = path.replace("{" + parameter["name"] + "}", str(example))
    return f"{path}?{urlencode(query)}" if query else path


def with_a_hut(folder: Path) -> FastAPI:
    """An app whose store holds the catalog that the examples are about."""
    app = small_app(one_user=True, database_url=f"sqlite:///{folder / 'store.sqlite'}")
    stored = ask("PUT", "/v1/catalogs/invented-hut", app=app, json=HUT, headers={"If-None-Match": "*"})
    assert stored.status_code == 201, stored.text
    return app


def with_trials(app: FastAPI) -> FastAPI:
    """The same app, its catalog tried."""
    answer = ask("POST", "/v1/catalogs/invented-hut/trials", app=app, json=HUT_TRIALS, headers={"If-Match": "*"})
    assert answer.status_code == 200, answer.text
    return app


def asked(method: str, address: str, operation: Row, app: FastAPI) -> list[httpx.Response]:
    """The answers to an operation with each of its example bodies; writes are based on what is there."""
    if method in ("GET", "DELETE"):
        return [ask(method, address, app=app, headers={"If-Match": "*"} if method == "DELETE" else {})]
    assert request_examples(operation)
    stored = method != "POST" and "/v1/catalogs" in address
    headers = {"If-Match": "*"} if "/v1/catalogs" in address else {}
    media = next(iter(operation["requestBody"]["content"]))
    return [
        ask(method, address, app=app, **sent(body, now(address, app=app) if stored else headers, media))
        for body in request_examples(operation)
    ]


def with_a_job(folder: Path, *, done: bool) -> tuple[FastAPI, str]:
    """An app whose store holds a job, and the job's id; worked on to its end, or waiting."""
    app = small_app(one_user=True, database_url=f"sqlite:///{folder / 'store.sqlite'}")

    async def talk(client: httpx.AsyncClient) -> str:
        place: str = (await client.post("/v1/kits", json=LEAST | {"detail": "kit"}, headers=ASYNC)).headers["location"]
        await state_of(client, place, "done")
        return place

    if done:
        return app, working(app, talk).rpartition("/")[2]
    made = ask("POST", "/v1/kits", app=app, json=LEAST | {"detail": "kit"}, headers=ASYNC)
    return app, made.headers["location"].rpartition("/")[2]


def sent(body: Any, headers: dict[str, str], media: str) -> Row:
    """A body as it is sent: JSON, or a file of its type where it is text."""
    if isinstance(body, str):
        return {"content": body.encode(), "headers": {"Content-Type": media}}
    return {"json": body, "headers": headers}


def without_chance(value: Any) -> Any:
    """An answer without what another run gives otherwise: times and tags."""
    if isinstance(value, list):
        return [without_chance(one) for one in value]
    if isinstance(value, dict):
        return {key: without_chance(one) for key, one in value.items() if key not in ("made_at", "tag", "at", "id_")}
    return value


@pytest.mark.parametrize(
    ("name", "operation"),
    [(name, operation) for name, operation in OPERATIONS if name not in (BATCH, *WORKBOOKS)],
    ids=[name for name, _ in OPERATIONS if name not in (BATCH, *WORKBOOKS)],
)
def test_an_operation_has_an_example_that_works(name: str, operation: Row, tmp_path: Path) -> None:
    """What goes in, where something does, and what comes out, true to the schema and to the service."""
    method, address = name.split()[0], example_address(name, operation)
    app = with_a_hut(tmp_path) if "/v1/catalogs" in name or "/v1/changes" in name else APP
    if "/shares" in name:
        place = "/v1/catalogs/invented-hut/shares"
        assert ask("POST", place, app=app, json={"owner": "ben"}).status_code == 200
    if "/v1/jobs" in name:
        app, job = with_a_job(tmp_path, done="result" in name)
        address = re.sub("[0-9a-f]{32}", job, address)
    answers = asked(method, address, operation, with_trials(app) if "}/trials" in name else app)
    if "204" in operation["responses"]:
        assert [(answer.status_code, answer.content) for answer in answers] == [(204, b"")]
        return
    assert all(answer.status_code == 200 for answer in answers), [answer.text for answer in answers]
    content = operation["responses"]["200"]["content"]
    if "application/json" not in content:
        assert {answer.headers["content-type"].split(";")[0] for answer in answers} == set(content)
        (described,) = content.values()
        assert described.get("example", answers[0].text) == answers[0].text, STALE
        return
    schema = content["application/json"]["schema"]
    for answer in answers:
        assert answer.status_code == 200, answer.text
        assert conforms(answer.json(), schema) == []
    shown, answer = content["application/json"]["example"], answers[0].json()
    assert conforms(shown, schema) == []
    if "items" in answer:
        shown, answer = shown["items"], answer["items"][:1]
    if method == "GET" and not address.startswith(
        ("/v1/jobs", "/v1/changes")
    ):  # the answer to a POST is an example of one of its bodies, held by the document being fresh
        assert without_chance(shown) == without_chance(answer), STALE


def test_the_examples_of_trips_are_those_that_come_along() -> None:
    """The same on the command line and in the document, each true to its schema."""
    (operation,) = [operation for name, operation in OPERATIONS if name == "POST /v1/kits"]
    assert request_examples(operation) == list(example_trips().values())
    schema = operation["requestBody"]["content"]["application/json"]["schema"]
    for trip in example_trips().values():
        assert conforms(trip, schema) == []
        assert trip["name"].startswith("Invented"), "an example says that it is one"


def test_answers_with_us_units_and_gaps_are_true_to_the_schema() -> None:
    """What an answer adds must not break what is promised of it."""
    schema = {"$ref": "#/components/schemas/Answer"}
    for trip in (example_trips()["least"], {"tasks": [{"task": "split", "diameter_mm": 2000}]}):
        for units in ("us", "metric"):
            assert conforms(kit_of(trip, address=f"/v1/kits?units={units}"), schema) == []


def test_problems_are_true_to_their_schema() -> None:
    """The shape that every failure is declared to have."""
    for answer in (post({}), post([]), ask("GET", "/nowhere"), ask("PUT", "/v1/kits")):
        assert conforms(answer.json(), {"$ref": "#/components/schemas/Problem"}) == []


def test_the_schema_and_the_service_agree_on_bodies_at_the_edge() -> None:
    """Accepted by one exactly when by the other."""
    schema = {"$ref": "#/components/schemas/Trip"}
    task = {"task": "split", "diameter_mm": 140}
    tool = {"id": "a", "mass_g": 1}
    bodies: list[Any] = [
        {}, {"tasks": []}, {"tasks": [task]}, {"tasks": [task] * 100}, {"tasks": [task] * 101},
        {"tasks": [task], "people": 2.0}, {"tasks": [task], "people": 2.5}, {"tasks": [task], "limits": None},
        {"tasks": [task], "tools": None}, {"tasks": [task], "tools": []}, {"tasks": [task], "tools": [tool]},
        {"tasks": [task], "tools": [tool | {"needs": "a|b;can:saw"}]},
        {"tasks": [task], "tools": [tool | {"needs": "a||b"}]},
        {"tasks": [task], "tools": [tool | {"needs": "can:fell"}]},
        {"tasks": [task], "tools": [tool | {"needs": [["a"], []]}]},
        {"tasks": [task], "tools": [tool | {"needs": ["a"]}]},
        {"tasks": [task], "tools": [tool | {"needs": ";".join("a" * 21)}]},
        {"tasks": [task], "tools": [tool | {"sharpened_by": "a|b"}]},
        {"tasks": [task], "tools": [tool | {"sharpened_by": "a;b"}]},
        {"tasks": [task], "tools": [tool | {"saw_score": None}]}, {"tasks": [task], "tools": [tool | {"mass_g": None}]},
        {"tasks": [task], "tools": [tool | {"cover_g": None}]}, {"tasks": [task], "tools": [tool | {"split_life": 0}]},
        {"tasks": [task], "name": None}, {"tasks": [task], "name": "a\tb"}, {"tasks": [task], "name": "x" * 201},
    ]  # fmt: skip
    verdicts = {json.dumps(body)[:90]: (conforms(body, schema) == [], post(body).status_code == 200) for body in bodies}
    assert {body: verdict for body, verdict in verdicts.items() if verdict[0] != verdict[1]} == {}
    assert {verdict[0] for verdict in verdicts.values()} == {True, False}


def test_fields_name_their_units() -> None:
    """A number that measures something says in what: by its name, or as one of the plain numbers listed here."""
    plain = {
        "people", "nights", "per_day", "min_score", "price", "value", "low", "high", "share", "short_by", "status",
        "tools_considered", "tools_set_aside", "buck_score", "score", "score_may_fall_to", "able_tools",
        "wanted_tools", "limit",
        "alternatives", "weight", "weights", "confidence", "probability", "own_at_most", "money", "parts", "amount",
        "margin", "margin_low", "records", "minutes", "designs", "not_drawable",
        "outside_limits", "steps", "tools_at_most", "tried", "price_allowance", "slenderness",
        "hrc", "hv", "quantity", "unit_price", "pieces", "count",
        "impact_factor", "total", "per_piece", "per_piece_low", "per_piece_high", "lost_share", "tries",
        "median", "physical",
        "work_multiple", "low_factor", "high_factor", "least", "sg_green", "sg_12pct", "suffices_in",
        "scenario", "revision", "tool_count", "hard_low", "hard_high", "rounds", "before", "bound",
        "second_worker_gain", "break_per_cut", "lives_spent", "lives_spent_teeth", "lives_spent_edge",
        "work_kcal_low", "work_kcal_high",
        "break_margin", "break_low", "break_high", "roll_margin", "chip_margin", "chip_low", "chip_high",
        "draws", "seed", "drawn", "fails_at", "step",  # with `unit` beside them
        "lower", "upper", "index", "suffices_low", "suffices_middle", "suffices_high",  # with `unit` beside
        "attempts", "solves", "seconds",
        "cutting", "handling", "gathering", "rest",  # minutes a day of `kit.minutes`
        "adoption", "at_any_mass", "at_every_mass", "never", "only_with_it", "at_medians",  # shares of trips
        "trips", "asked", "not_settled", "score_draws",  # counted
        "middle", "spread",  # in the unit of the field that varies
        "off", "most", "at_low", "at_high", "made", "moved",  # with `unit` beside
        "holes", "lines", "sound_share",  # counted, and a share
        "money_per_gram", "no_kit",  # by definition in its name, and a share of trips
        "across_low", "across_high", "down_low", "down_high",  # in the unit of a figure of a map
    }  # fmt: skip
    plain |= {
        f"{task}_{what}"
        for task in ("split", "saw", "carve", "chop")
        for what in ("score", "life", "score_low", "score_high")
    }
    named = re.compile(
        r".*(_g|_oz|_mm|mm|_min|_min_per_day|minutes_per_day|_day|_h|_c|_m|_kg|_pct|_n|_kpa|_kg_per_day|_per_100g|_lcda"
        r"|_per_person|per_trip|_deg|_hrc|_mpa|_mm2|_cm3|_j|_kg_m3)"
    )
    for form, schema in DOCUMENT["components"]["schemas"].items():
        for field, described in schema.get("properties", {}).items():
            types = {described.get("type"), *(option.get("type") for option in described.get("anyOf", []))}
            if types & {"number", "integer"}:
                assert field in plain or named.fullmatch(field), f"{form}.{field}"


def test_the_app_makes_its_document_once() -> None:
    """It is asked for often, and does not change."""
    assert APP.openapi() is APP.openapi()
