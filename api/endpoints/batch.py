"""POST /v1/kits/batch: a line of JSON in, a line out, in the same order, as many as the caller likes."""

import json
from typing import Annotated, Any

import anyio
from anyio.abc import TaskGroup
from anyio.streams.memory import MemoryObjectSendStream
from fastapi import APIRouter, Query, Request, Response
from fastapi.exceptions import RequestValidationError
from pydantic import Field, TypeAdapter
from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect
from starlette.types import Receive, Scope, Send

from api.answering.catalog_resolver import CatalogResolver, CatalogResolverOf
from api.answering.later_answer import job_offer, kept_for_later
from api.answering.progress import answer_body
from api.examples.invented import example_trips
from api.http.app_settings import settings_of
from api.http.body_form import RefusedBody, formed_of, in_a_thread, value_in
from api.http.json_lines import LINES_TYPE, NumberedLine, lines_of
from api.http.problem_details import problem_for
from api.middleware.key_rate import KeyRates
from api.middleware.rate_limit import Rate, client_of
from api.questions.asked_trips import times_at_once
from api.questions.registry import QUESTIONS
from api.settings.settings import Settings
from api.settings.units import Units, UnitsQuery
from api.solving.solve_queue import Solves, SolvesOf
from solver import Trip, Unfinished
from solver.forms.trip import Form

router = APIRouter(tags=["kits"])

_PLAN = QUESTIONS["plan"]
_PATH = f"{_PLAN.address}/batch"
_SENT = [
    {"id": "monday", "trip": example_trips()["least"]},
    {**example_trips()["least"], "detail": "kit"},
    {"people": 0},
]
_LINES: dict[str, Any] = {"type": "string", "format": "binary"}  # whatever makers of clients make of it: bytes
_BODY = {
    "required": True,
    "description": "One trip per line, or {id, trip} with an id of your own.",
    "content": {LINES_TYPE: {"schema": _LINES, "example": "\n".join(json.dumps(line) for line in _SENT)}},
}


_Rates = tuple[Rate, KeyRates]  # of the client, and of the key


class _BatchLine(Form):
    """A trip with an id of the caller's own."""

    id: Annotated[str, Field(max_length=200)] | None = None
    trip: Trip


_NAMED: TypeAdapter[_BatchLine | Trip] = TypeAdapter(_BatchLine)
_BARE: TypeAdapter[_BatchLine | Trip] = TypeAdapter(Trip)


class _Answered:
    """A line and what becomes of it."""

    def __init__(self, line: NumberedLine) -> None:
        self.line = line
        self.done = anyio.Event()
        self.body = b""


class _BatchAnswer(Response):
    """The answers to the lines of a request, each sent as soon as those before it are.

    Only so many lines are in hand at a time; the next is not read before one has left, so that a sender who is
    faster than the solver, or slower in reading than in writing, is held up.
    """

    media_type = LINES_TYPE

    def __init__(self, solves: Solves, shelf: CatalogResolver, rates: _Rates, units: Units, settings: Settings) -> None:
        super().__init__()
        del self.headers["content-length"]
        self.solves = solves
        self.shelf = shelf
        self.units = units
        self.most_bytes = settings.max_body_bytes
        self.in_hand = solves.settings.solves
        self.rate, self.key_rates = rates
        self.time = solves.batch_time()
        self.filling = anyio.Lock()  # one line at a time: lines that name one catalog read it once

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Read, answer and send, until the lines end or the caller hangs up."""
        request = Request(scope, receive)
        sender, taker = anyio.create_memory_object_stream[_Answered](self.in_hand)
        await send({"type": "http.response.start", "status": self.status_code, "headers": self.raw_headers})
        async with anyio.create_task_group() as group:
            group.start_soon(self.read, request, sender, group)
            async for answered in taker:
                await answered.done.wait()
                await send({"type": "http.response.body", "body": answered.body, "more_body": True})
            await send({"type": "http.response.body", "body": b"", "more_body": False})

    async def read(self, request: Request, sender: MemoryObjectSendStream[_Answered], group: TaskGroup) -> None:
        """Start on each line as soon as there is room for it."""
        with sender:
            try:
                async for line in lines_of(request.stream(), most_bytes=self.most_bytes):
                    if not self.solves.of_jobs:
                        await self.rate.wait_for(client_of(request))
                        await self.key_rates.wait_for(request)
                    self.time.read(len(line.body or b""))
                    answered = _Answered(line)
                    await sender.send(answered)
                    group.start_soon(self.answer, request, answered)
            except (ClientDisconnect, HTTPException):  # gone, or silent for too long
                group.cancel_scope.cancel()

    async def answer(self, request: Request, answered: _Answered) -> None:
        """Answer one line; whatever is wrong with it is told on its own line, by the one table of problems."""
        name: str | None = None
        told: bytes
        try:
            name, form = await _read(answered.line, self.most_bytes)
            if isinstance(form, RefusedBody):
                raise RequestValidationError([], body=[form])
            asked = await self.filled(form)
            trip = asked.trip if isinstance(asked, _BatchLine) else asked
            answer = await self.solves.run_patiently(
                lambda effort: _PLAN.answer(trip, effort), self.time, times=times_at_once(trip)
            )
            key, told = "answer", answer_body(answer, self.units)
        except Exception as error:
            key, told = "problem", bytes(problem_for(request, error).body)
        head = f'{{"line":{answered.line.number},"id":{json.dumps(name)},"{key}":'
        answered.body = b"%b%b}\n" % (head.encode(), told)
        answered.done.set()

    async def filled(self, form: _BatchLine | Trip) -> _BatchLine | Trip:
        """Return what a line asks with the tools of its stored catalog; reading these is of the time of the batch.

        Raises:
            Unfinished: no time is left.
        """
        if (form.trip if isinstance(form, _BatchLine) else form).catalog is None:
            return form
        async with self.filling:
            if not self.time.for_a_line:
                raise Unfinished
            start = self.solves.effort.clock()
            try:
                return await self.shelf.filled(form)
            finally:
                self.time.spend(self.solves.effort.clock() - start)


async def _read(line: NumberedLine, most_bytes: int) -> tuple[str | None, _BatchLine | Trip | RefusedBody]:
    """Return the caller's name for a line, where it has one, and what the line asks, or what is wrong with it.

    Raises:
        HTTPException: 413 where it is too long, or holds more values than any question needs.
        RequestValidationError: it is no JSON.
    """
    if line.body is None:
        raise HTTPException(413, f"the line is longer than {most_bytes} bytes, the limit of the service")
    try:
        return await in_a_thread(_asked_in, line.body)
    except json.JSONDecodeError as error:
        detail = {"type": "json_invalid", "loc": ("body", error.pos), "ctx": {"error": error.msg}}
        raise RequestValidationError([detail]) from error


def _name_of(form: Any) -> str | None:
    """Return the caller's name for a line, where it has one that can be told back."""
    name = form.get("id") if isinstance(form, dict) and "trip" in form else None
    return name if isinstance(name, str) and len(name) <= 200 else None


def _asked_in(body: bytes) -> tuple[str | None, _BatchLine | Trip | RefusedBody]:
    """Return the caller's name for a line, and what it asks: a trip, bare or under a name."""
    form = value_in(body)
    named = isinstance(form, dict) and "trip" in form
    return _name_of(form), formed_of(form, _NAMED if named else _BARE)


@router.post(
    _PATH,
    status_code=200,
    response_class=_BatchAnswer,
    responses={200: {"description": "One line per trip.", "content": {LINES_TYPE: {"schema": _LINES}}}},
    openapi_extra={"requestBody": _BODY} | job_offer(),
    summary="Plan many trips, one line of JSON each",
)
async def post_batch(
    request: Request, solves: SolvesOf, shelf: CatalogResolverOf, query: Annotated[UnitsQuery, Query()]
) -> Response:
    """Send one trip per line; receive one answer or problem per line, in the same order.

    A line of the answer is {line, id, answer} or {line, id, problem}. `line` counts from 1 and includes blank lines;
    blank lines get no answer. `answer` is the answer of POST /v1/kits, `problem` its problem. The size limit of a
    body holds for each line; the number of lines has no limit. For each 100 kB of lines, the first begun, all of them
    together take no longer than one answer may, and each at most half of what is left then; lines for which nothing is
    left have the problem of an answer that takes too long. Answers are sent while lines arrive: read while you send,
    else the service waits. As a job, a batch is one body within the size limit, and takes the time of one job.
    """
    if (kept := await kept_for_later(request)) is not None:
        return kept
    state = request.app.state
    return _BatchAnswer(solves, shelf, (state.rate, state.key_rates), query.units, settings_of(request))
