"""A full answer by lines of JSON is told early, before the ends of the bands of its assumptions are tried.

No source: every field told early is held against the answer, and the last line against a plain POST.
"""

import asyncio
import json
from collections.abc import Awaitable, Callable
from dataclasses import replace
from typing import Any

import httpx
import pytest
from counted_clock import LONG_S, CountedClock, cut_after
from fastapi import FastAPI
from service import APP, HOST, LEAST, ask, post, small_app
from waiting import until

from api.examples.invented import example_trips
from solver import Cancelled, EarlyAnswer, Effort, plan
from solver.answers import details

pytestmark = pytest.mark.quick

Row = dict[str, Any]
LINES = {"Accept": "application/x-ndjson"}
TRIPS = example_trips()
SURVEY = TRIPS["stream-survey"]
TO_COME = ["pins.assumptions", "sure", "not_settled"]


def bare(told: Row) -> Row:
    """What an early line tells, without the names of what it leaves out."""
    return {name: value for name, value in told.items() if name != "to_come"}


def expect_part(early: Row, answer: Row) -> None:
    """All that an early line tells is so in the answer; what it leaves out is what it says."""
    assert early["to_come"] == TO_COME
    assert set(answer) - set(early) == {"sure", "not_settled"}
    assert set(answer["pins"]) - set(early["pins"]) == {"assumptions"}
    told = answer | {"pins": {name: value for name, value in answer["pins"].items() if name != "assumptions"}}
    del told["not_settled"], told["sure"]
    assert bare(early) == told


@pytest.mark.parametrize(("name", "query"), [*((name, "") for name in TRIPS), ("least", "?units=us")])
def test_what_is_told_early_is_in_the_answer(name: str, query: str) -> None:
    """Of every example; the last line is, byte for byte, what a plain POST answers."""
    address = f"/v1/kits{query}"
    answer = ask("POST", address, json=TRIPS[name], headers=LINES)
    *lines, last = answer.content.splitlines()
    assert last == b'{"answer":%b}' % post(TRIPS[name], address=address).content
    told = [json.loads(line) for line in lines]
    (early,) = [line["early"] for line in told if "early" in line]
    assert "progress" in told[0]
    expect_part(early, json.loads(last)["answer"])
    assert early["pins"]["tools"]
    if not query:
        assert EarlyAnswer.model_validate_json(json.dumps(early)).model_dump(mode="json") == early


def test_the_contract_has_the_form_of_a_line() -> None:
    """Beside the answer of a plan alone; it names what each kind of line holds."""
    document = APP.openapi()
    paths, schemas = document["paths"], document["components"]["schemas"]
    told = {
        path: form["x-json-lines"]["$ref"].rpartition("/")[2]
        for path, operations in paths.items()
        if (form := operations.get("post", {}).get("responses", {}).get("200", {})) and "x-json-lines" in form
    }
    assert told == {"/v1/kits": "PlanLine"}
    forms = {key: one.get("$ref", "").rpartition("/")[2] for key, one in schemas["PlanLine"]["properties"].items()}
    assert forms == {"progress": "", "early": "EarlyAnswer", "answer": "Answer", "problem": "Problem"}
    assert set(forms.values()) - {""} <= set(schemas)
    assert set(schemas["EarlyAnswer"]["required"]) - set(schemas["Answer"]["required"]) == {"to_come"}


@pytest.mark.parametrize(
    "change",
    [
        {"detail": "kit"},
        {"aim": "work_time"},
        {"limits": {"mass_g": 1}},
        {"robust": {"needs": "all"}, "limits": {"work_min_per_day": 600}},
    ],
    ids=["kit", "another aim", "uncovered", "robust"],
)
def test_an_answer_without_ends_of_assumptions_comes_whole(change: Row) -> None:
    lines = ask("POST", "/v1/kits", json=LEAST | change, headers=LINES).text.splitlines()
    assert {key for line in lines for key in json.loads(line)} == {"progress", "answer"}


class Caller:
    """One request, straight to the app: what came so far, and whether the caller has left."""

    def __init__(self) -> None:
        self.came = b""
        self.left = asyncio.Event()
        self.body = [{"type": "http.request", "body": json.dumps(SURVEY).encode(), "more_body": False}]

    async def call(self, app: FastAPI) -> None:
        """Ask for lines."""
        headers = [(b"content-type", b"application/json"), (b"accept", b"application/x-ndjson"), (b"host", b"x")]
        scope = {"type": "http", "method": "POST", "path": "/v1/kits", "raw_path": b"/v1/kits", "query_string": b""}
        scope |= {"headers": headers, "scheme": "http", "http_version": "1.1", "root_path": ""}
        await app(scope | {"client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80)}, self.receive, self.send)

    async def receive(self) -> Any:
        """The body, and at last that the caller is gone."""
        if self.body:
            return self.body.pop()
        await self.left.wait()
        return {"type": "http.disconnect"}

    async def send(self, message: Any) -> None:
        """Take what comes."""
        self.came += message.get("body", b"")

    @property
    def told_early(self) -> bool:
        """Whether an early line has come, to its end."""
        return any(line.startswith(b'{"early":') for line in self.came.split(b"\n")[:-1])


def on_ends(monkeypatch: pytest.MonkeyPatch, first: Callable[[Effort], None]) -> None:
    """Do something before the ends of assumptions are tried."""
    whole = details.assumption_pins

    def pins(*given: Any, effort: Effort) -> Any:
        first(effort)
        return whole(*given, effort=effort)

    monkeypatch.setattr(details, "assumption_pins", pins)


def run(ask_it: Callable[[Caller], Awaitable[None]]) -> None:
    """Let a caller ask."""

    async def asked() -> None:
        await ask_it(Caller())

    asyncio.run(asked())


def test_it_is_sent_before_the_ends_are_tried(monkeypatch: pytest.MonkeyPatch) -> None:
    """They begin once the caller has the line; then comes the answer."""

    async def ask_it(caller: Caller) -> None:
        on_ends(monkeypatch, lambda _: until(lambda: caller.told_early, "an early line"))
        await caller.call(small_app(solves=1))
        assert caller.came.splitlines()[-1].startswith(b'{"answer":')

    run(ask_it)


def test_who_leaves_after_it_ends_the_work(monkeypatch: pytest.MonkeyPatch) -> None:
    """The ends are not tried, and the one place for solves is free again."""
    ended: list[str] = []

    def wait(effort: Effort) -> None:
        assert effort.cancelled is not None
        until(effort.cancelled.is_set, "the end of the work")
        try:
            effort.go_on()
        except Cancelled:
            ended.append("cancelled")
            raise

    async def ask_it(caller: Caller) -> None:
        on_ends(monkeypatch, wait)
        app = small_app(solves=1, solve_wait_seconds=0.001)
        calling = asyncio.create_task(caller.call(app))
        while not caller.told_early:
            assert not calling.done()
            await asyncio.sleep(0.01)
        caller.left.set()
        await calling
        assert ended == ["cancelled"]
        assert b'{"answer":' not in caller.came
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url=HOST) as client:
            assert (await client.post("/v1/kits", json=LEAST | {"detail": "kit"})).status_code == 200

    run(ask_it)


def test_the_library_calls_with_it_once() -> None:
    """In the thread of the plan, before it returns; a plan that has nothing more to tell calls nobody."""
    told: list[EarlyAnswer] = []
    answer = plan(SURVEY, effort=Effort(on_early=told.append))
    (early,) = told
    expect_part(early.model_dump(), answer.model_dump())
    assert answer == plan(SURVEY)
    plan(SURVEY | {"detail": "kit"}, effort=Effort(on_early=told.append))
    assert len(told) == 1
    with pytest.raises(TypeError, match=r"on_early is 3 \(int\); it takes a function of one argument"):
        Effort(on_early=3)  # type: ignore[arg-type]  # what is refused is of another kind


def test_an_answer_cut_short_keeps_what_was_told_early() -> None:
    """Where the time ends among the ends of assumptions, these alone are not settled; before, nothing is told early."""
    many, at = 1_000_000, list[int]()
    clock = CountedClock(many)
    whole = plan(SURVEY, effort=Effort(answer_seconds=LONG_S, clock=clock, on_early=lambda _: at.append(clock.left)))
    first, last = many - at[0], many - clock.left
    assert whole.pins is not None
    for looks in (first - 1, first + 1, (first + last) // 2, last):
        told: list[EarlyAnswer] = []
        answer = plan(SURVEY, effort=replace(cut_after(looks), on_early=told.append))
        assert answer.not_settled[-1:] == ([] if looks == last else ["assumption_pins"])
        assert len(told) == (looks > first)
        for early in told:
            expect_part(early.model_dump(), answer.model_dump())
            assert answer.pins is not None
            assert answer.pins.assumptions == (whole.pins.assumptions if looks == last else [])
