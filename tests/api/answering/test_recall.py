"""What is asked again word for word is answered from memory, and never where something else might be the answer."""

import json
from pathlib import Path
from random import Random
from typing import Any

import httpx
import pytest
from fastapi import FastAPI
from service import APP, JSON, LEAST, ask, post, problem_of, small_app
from steiner import bose, steiner_trip, tripled

from api.answering.response_cache import LONGEST_ASKED, PATHS
from api.examples.catalog_bodies import HUT
from api.questions.registry import QUESTIONS
from api.solving.bounded_memory import OWN_BYTES, Memory, key_of
from solver import Trip

pytestmark = pytest.mark.quick

KIT = {**LEAST, "detail": "kit"}


@pytest.fixture
def solved(monkeypatch: pytest.MonkeyPatch) -> list[Trip]:
    """The trips that POST /v1/kits works out while a test runs."""
    from api.questions import kit_questions as kits

    found: list[Trip] = []
    plan = kits.plan
    monkeypatch.setattr(kits, "plan", lambda trip, **more: (found.append(trip), plan(trip, **more))[1])
    return found


def test_the_same_words_are_worked_out_once(solved: list[Trip]) -> None:
    """And answered with the same bytes and headers, but for the time and the id; other words are worked out anew."""
    app = small_app()
    first, again = post(KIT, app=app), post(KIT, app=app)
    assert len(solved) == 1
    assert again.content == first.content
    assert again.headers["server-timing"] == "solve;dur=0.0"
    own = {"server-timing", "x-request-id"}
    assert {name: again.headers[name] for name in again.headers if name not in own} == {
        name: first.headers[name] for name in first.headers if name not in own
    }
    spaced = ask("POST", "/v1/kits", app=app, content=json.dumps(KIT, indent=1).encode(), headers=JSON)
    assert (len(solved), spaced.content) == (2, first.content)
    assert "mass_lb" in post(KIT, address="/v1/kits?units=us", app=app).json()["kit"]
    assert post({**KIT, "nights": 2}, app=app).status_code == 200
    assert len(solved) == 4


def test_a_body_is_kept_for_its_own_question() -> None:
    """A bare trip is a body of two addresses: each keeps its own."""
    app = small_app()
    for _ in range(2):
        assert "proof" in post(LEAST, app=app).json()
        assert "points" in post(LEAST, address="/v1/kits/front", app=app).json()


def test_memory_is_for_every_question_that_may_take_long() -> None:
    """As the document marks them: those whose progress may be told by lines; each is answered twice alike."""
    app = small_app()
    told = {
        path
        for path, operations in APP.openapi()["paths"].items()
        if "progress" in operations.get("post", {}).get("responses", {}).get("200", {}).get("description", "")
    }
    assert told == PATHS
    form = QUESTIONS["check"].example
    first = post(form, address="/v1/kits/check", app=app)
    assert post(form, address="/v1/kits/check", app=app).content == first.content
    assert "kitwright_recalled_total 1.0" in ask("GET", "/metrics", app=app).text


def test_a_stored_catalog_is_looked_at_every_time(tmp_path: Path, solved: list[Trip]) -> None:
    """A plan that names no revision is of the newest, and of its owner's: nothing of it is kept by its words."""
    app = small_app(one_user=True, database_url=f"sqlite:///{tmp_path / 'store.sqlite'}")
    address = "/v1/catalogs/hut"
    assert ask("PUT", address, app=app, json=HUT, headers={"If-None-Match": "*"}).status_code == 201
    trip = {"tasks": [{"task": "saw", "diameter_mm": 60}], "catalog": "hut", "detail": "kit"}
    before = post(trip, app=app).json()["kit"]["mass_g"]
    tag = ask("GET", address, app=app).headers["etag"]
    saw = next(tool for tool in HUT["tools"] if tool["saw_score"] > 0)
    heavier = {"tools": [{**saw, "mass_g": saw["mass_g"] + 7}]}
    assert ask("PATCH", address, app=app, json=heavier, headers={"If-Match": tag}).status_code == 200
    assert post(trip, app=app).json()["kit"]["mass_g"] == before + 7
    assert ask("DELETE", address, app=app, headers={"If-Match": "*"}).status_code == 204
    problem_of(post(trip, app=app), 422)
    assert len(solved) == 2
    assert not app.state.memory.kept


def test_what_failed_or_is_unproven_is_not_kept() -> None:
    """Who asks again may get more."""
    app = small_app(solve_nodes=1)
    hard = {**steiner_trip(tripled(bose(15))), "detail": "kit"}
    assert post(hard, app=app).json()["status"] == "feasible"
    problem_of(post({"people": 0}, app=app), 422)
    problem_of(ask("POST", "/v1/kits", app=app, content=b"{", headers=JSON), 400)
    asked = {"trip": hard, "tool": {**hard["tools"][0], "id": "new"}}
    open_ = post(asked, address="/v1/designs/allowance", app=app).json()
    assert "allowance_g" in open_["trips"][0]["not_settled"]
    assert not app.state.memory.kept


@pytest.mark.parametrize("by_lines_first", [False, True])
def test_what_is_known_is_told_by_lines_too(by_lines_first: bool, solved: list[Trip]) -> None:
    """With no progress, since there is no work; an answer by lines is kept as a whole one is."""
    app, told = small_app(), list[bytes]()
    for by_lines in (by_lines_first, not by_lines_first, True, False):
        accept = "application/x-ndjson" if by_lines else "*/*"
        answer = ask("POST", "/v1/kits", app=app, content=json.dumps(KIT), headers=JSON | {"Accept": accept})
        *lines, last = answer.content.splitlines()
        assert answer.headers["content-type"] == (accept if by_lines else "application/json")
        told.append(last.removeprefix(b'{"answer":').removesuffix(b"}") if by_lines else last)
        assert bool(lines) == by_lines
        assert all("progress" in json.loads(line) for line in lines)
    assert len(set(told)) == 1
    assert len(solved) == 1


def test_a_long_body_is_answered_and_not_kept() -> None:
    """In one piece or many."""
    app = small_app()
    padded = json.dumps(KIT).encode() + b" " * LONGEST_ASKED
    assert send_twice(app, padded) == [200, 200]
    assert not app.state.memory.kept


def send_twice(app: FastAPI, body: bytes) -> list[int]:
    """The statuses of a body sent whole, and in pieces."""

    async def pieces() -> Any:
        for at in range(0, len(body), 50_000):
            yield body[at : at + 50_000]

    whole: httpx.Response = ask("POST", "/v1/kits", app=app, content=body, headers=JSON)
    return [whole.status_code, ask("POST", "/v1/kits", app=app, content=pieces(), headers=JSON).status_code]


def test_memory_is_bounded_and_forgets_what_is_oldest(monkeypatch: pytest.MonkeyPatch) -> None:
    """Held to a plain list that is sorted by latest use, over 20,000 random steps."""
    monkeypatch.setattr("api.solving.bounded_memory.MOST_KEPT", 20)
    rng, most = Random(7), 12_000
    memory, model = Memory(most_bytes=most), []
    for _ in range(20_000):
        key = key_of(b"%d" % rng.randrange(40))
        known = next((value for name, value in model if name == key), None)
        if rng.random() < 0.5:
            assert memory.find(key) == known
            if known is not None:
                model = [pair for pair in model if pair[0] != key] + [(key, known)]
        else:
            value = bytes(rng.randrange(3000))
            memory.keep(key, value)
            if len(value) <= most / 8:
                model = [pair for pair in model if pair[0] != key] + [(key, value)]
            while len(model) > 20 or sum(len(value) + OWN_BYTES for _, value in model) > most:
                model.pop(0)
        assert list(memory.kept.items()) == model
    assert memory.bytes == sum(len(value) + OWN_BYTES for _, value in model) <= most


def test_parts_of_a_key_stay_apart() -> None:
    """Moving a byte from one part to the next is another question."""
    asked = [(b"ab", b"c"), (b"a", b"bc"), (b"abc",), (b"abc", b""), (b"", b"abc")]
    assert len({key_of(*parts) for parts in asked}) == len(asked)
