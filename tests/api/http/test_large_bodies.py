"""Large bodies: refused by what they hold before it is read, memory in a stated ratio, and read off the event loop."""

import json
import threading
import tracemalloc
from typing import Any

import pytest
from pydantic import TypeAdapter
from service import JSON, LEAST, ask, faults_of, problem_of, send

from api.http import body_form
from api.http.json_reader import MOST_OBJECTS, MOST_OF_ONE, MOST_VALUES
from solver import Trip

pytestmark = pytest.mark.quick

RATIO = 64  # bytes of memory for each byte of a body: a row of 26 bytes becomes a form of 1.5 kB
LEAVE = 2_000_000  # bytes: what the first 500 faults take, whatever the body


def listed(unit: str, count: int, *, field: str = "tools") -> bytes:
    """A body with so many equal members."""
    return f'{{"{field}":[{",".join([unit] * count)}]}}'.encode()


def keys(count: int) -> str:
    """An object with so many unknown keys."""
    return "{" + ",".join(f'"k{place:06d}":0' for place in range(count)) + "}"


TOO_MUCH = {
    "a million keys of one object": keys(MOST_VALUES).encode(),
    "keys beyond those of one object": keys(30 * MOST_OF_ONE).encode(),
    "an object of too many keys among others": listed(keys(MOST_OF_ONE + 1), 10),
    "objects": listed("{}", MOST_OBJECTS),
    "lists": listed("[]", MOST_OBJECTS, field="x"),
    "numbers": listed("0", MOST_VALUES + 2, field="x"),
}


@pytest.mark.parametrize("name", TOO_MUCH)
def test_a_body_that_holds_too_much_is_refused_before_it_is_read(name: str) -> None:
    """With what it has and what it may have."""
    problem = problem_of(send(TOO_MUCH[name]), 413)
    assert problem["type"].endswith("/problems/body-too-large")
    assert "limit is" in problem["detail"] or "may have" in problem["detail"]


KINDS = {
    "unknown keys": listed(keys(49), 2000),
    "known keys, wrong": listed('{"id":[],"kind":[],"mass_g":[]}', 5000),
    "empty rows": listed("{}", 20_000),
    "numbers for rows": listed("0", 50_000),
    "texts for rows": listed('"00000"', 50_000),
    "rows": ('{"tools":[' + ",".join(f'{{"id":"a{place}","mass_g":1}}' for place in range(5000)) + "]}").encode(),
    "a text of wide characters": json.dumps({"name": "\U0001f600" * 250_000}, ensure_ascii=False).encode(),
}


@pytest.mark.parametrize("name", KINDS)
def test_memory_of_a_body_is_bounded_by_its_bytes(name: str) -> None:
    body, form = KINDS[name], TypeAdapter(Trip)
    body_form.form_in(json.dumps(LEAST).encode(), form)  # tables are read once
    tracemalloc.start()
    try:
        body_form.form_in(body, form)
        peak = tracemalloc.get_traced_memory()[1]
    finally:
        tracemalloc.stop()
    assert peak < RATIO * len(body) + LEAVE


def test_faults_behind_many_others_are_not_looked_for() -> None:
    """A thousand wrong rows are as few faults as a hundred."""
    wrong = [{"id": "a", "mass_g": 1, "x": 1}] * 1000
    problem = problem_of(ask("POST", "/v1/kits", json={**LEAST, "tools": wrong}), 422)
    assert problem["detail"].startswith("at least ")
    assert [fault["pointer"] for fault in problem["errors"][:2]] == ["#/tools/0/x", "#/tools/1/x"]
    few = problem_of(ask("POST", "/v1/kits", json={**LEAST, "tools": wrong[:150]}), 422)
    assert few["detail"] == "150 wrong field(s); the first 100 are listed"


@pytest.mark.parametrize("address", ["/v1/kits", "/v1/kits?units=us", "/v1/kits/batch", "/v1/trials"])
def test_large_bodies_are_read_in_a_thread(address: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """And small ones at once, which is quicker."""
    read, inner = [], body_form.strict_json

    def noted(body: bytes) -> Any:
        read.append((len(body), threading.current_thread() is threading.main_thread()))
        return inner(body)

    monkeypatch.setattr(body_form, "strict_json", noted)
    lines = {"Content-Type": "application/x-ndjson"}
    for name in ("a", "a" * 70_000):
        body = json.dumps({"name": name, "people": 0}).encode()
        answer = ask("POST", address, content=body, headers=lines if "batch" in address else JSON)
        assert b"#/people" in answer.content
    assert [small for _, small in read] == [True, False]


def test_a_large_value_that_is_wrong_comes_back_cut() -> None:
    """Without being written out whole for each fault."""
    wrong = {**LEAST, "limits": [{"a": "b" * 300_000}], "people": {"kw_0123456789ab_" + "A" * 43: 1}}
    faults = faults_of(ask("POST", "/v1/kits", json=wrong))
    assert faults["#/limits"]["value"] == '[{"a": "' + "b" * 192 + "..."
    assert faults["#/people"]["value"] == '{"[a key]": 1}'
