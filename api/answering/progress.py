"""Long answers by lines of JSON, where a caller asks for them: progress, what is told early, and the answer last."""

import asyncio
import json
from collections.abc import Callable
from dataclasses import replace
from time import perf_counter
from typing import Annotated, Any

import anyio
from fastapi import Depends, Query, Request, Response
from pydantic import BaseModel
from pydantic_core import to_jsonable_python
from starlette.types import Receive, Scope, Send

from api.answering.later_answer import kept_for_later
from api.answering.response_cache import place_of
from api.http.json_lines import LINES_TYPE, line_of
from api.http.media import JSON, wants_lines
from api.http.problem_details import problem_for
from api.questions.asked_trips import times_at_once
from api.settings.units import Units, UnitsQuery, in_units, in_units_but_rows
from api.solving.solve_queue import Solves, solves_of
from solver import EarlyAnswer, Effort

SECONDS_BETWEEN = 0.5  # judged: often enough to show life, seldom enough to cost nothing

_Job = Callable[[Effort], Any]
_Body = Callable[[Any, Units], bytes]

_PROGRESS = "one line of JSON each half second, {progress: {solves, seconds}}"
_EARLY = (
    "in between, where an answer works out the ends of the bands of its assumptions or how sure it is, one line "
    "{early} before them: the answer as far as it stands, whose fields stay as they are (`EarlyAnswer`; `to_come` "
    "names what is left out; `PlanLine` is the form of a line)"
)


def lines_told(*, early: bool) -> dict[int | str, dict[str, Any]]:
    """Return the declaration of an answer by lines, with or without one that is told early."""
    parts = [_PROGRESS, *([_EARLY] if early else []), "then a last line, {answer} or {problem}"]
    # No content of its own: makers of typed clients would take every answer for maybe a text.
    return {200: {"description": f"The answer. With `Accept: application/x-ndjson`: {'; '.join(parts)}."}}


def answer_body(answer: BaseModel, units: Units) -> bytes:
    """Return an answer as the JSON that a caller gets."""
    if units == "metric":
        return answer.model_dump_json().encode()
    return _as_json(in_units(answer.model_dump(mode="json"), units))


def body_with_rows(answer: BaseModel, units: Units) -> bytes:
    """Return an answer as JSON; its rows of tools stay metric, so that they can be sent back."""
    return _as_json(in_units_but_rows(to_jsonable_python(answer), units))


class Teller:
    """Answers one request: whole, or line by line where the caller asks for that by Accept."""

    def __init__(self, request: Request, solves: Solves, query: UnitsQuery) -> None:
        self.request = request
        self.solves = solves
        self.units = query.units

    async def answer(self, form: BaseModel, job: _Job, body: _Body = answer_body) -> Response:
        """Return the answer to a job, its body made from what the job gives in the units asked for.

        Where the caller prefers to come back for it, and nothing is wrong with the form, the job is kept for later.
        """
        if (kept := await kept_for_later(self.request, form)) is not None:
            return kept
        accept, times = self.request.headers.get("accept", "*/*"), times_at_once(form)
        if wants_lines(accept):
            return LinesAnswer(self, job, body, times=times)
        told, timing = await self.solves.run_told(job, lambda found: body(found, self.units), times=times)
        if place := place_of(self.request):
            place.keep(told)
        return Response(told, media_type=JSON, headers={"Server-Timing": timing})


async def _teller_of(request: Request, query: Annotated[UnitsQuery, Query()]) -> Teller:
    """Return the teller of a request."""
    return Teller(request, solves_of(request), query)


TellerOf = Annotated[Teller, Depends(_teller_of)]


class LinesAnswer(Response):
    """How many programs are solved, twice a second, and what is told early; then the answer, or the problem instead."""

    media_type = LINES_TYPE

    def __init__(self, teller: Teller, job: _Job, body: _Body, *, times: int) -> None:
        super().__init__()
        del self.headers["content-length"]
        self.teller = teller
        self.job = job
        self.body_of = body
        self.times = times
        self.solved = 0
        self.start = perf_counter()
        self.found: asyncio.Queue[tuple[bytes, bool]] = asyncio.Queue()  # lines, and whether more come

    async def __call__(self, _scope: Scope, _receive: Receive, send: Send) -> None:
        """Send lines until the answer is there, or the caller hangs up."""
        await send({"type": "http.response.start", "status": self.status_code, "headers": self.raw_headers})
        async with anyio.create_task_group() as group:
            group.start_soon(self.work, asyncio.get_running_loop())
            line, more = self.progress(), True
            while more:
                await send({"type": "http.response.body", "body": line, "more_body": True})
                line = self.progress()
                with anyio.move_on_after(SECONDS_BETWEEN):
                    line, more = await self.found.get()
        await send({"type": "http.response.body", "body": line, "more_body": False})

    def progress(self) -> bytes:
        """Return the line of how far it is."""
        told = {"solves": self.solved, "seconds": round(perf_counter() - self.start, 1)}
        return line_of("progress", _as_json(told))

    async def work(self, loop: asyncio.AbstractEventLoop) -> None:
        """Find the last line; whatever went wrong is told by the one table of problems."""

        def tell_early(answer: EarlyAnswer) -> None:  # in the thread that solves
            line = line_of("early", self.body_of(answer, self.teller.units))
            loop.call_soon_threadsafe(self.found.put_nowait, (line, True))

        def job(effort: Effort) -> Any:
            def count() -> None:
                self.count()
                if effort.on_solve is not None:
                    effort.on_solve()

            return self.job(replace(effort, on_solve=count, on_early=tell_early))

        try:
            told, _ = await self.teller.solves.run_told(
                job, lambda found: self.body_of(found, self.teller.units), times=self.times
            )
            if place := place_of(self.teller.request):
                place.keep(told)
            line = line_of("answer", told)
        except Exception as error:
            line = line_of("problem", bytes(problem_for(self.teller.request, error).body))
        self.found.put_nowait((line, False))

    def count(self) -> None:
        """Count a program solved."""
        self.solved += 1


def _as_json(value: Any) -> bytes:
    """Return a value as compact JSON."""
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()
