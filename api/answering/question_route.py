"""The endpoints of all questions; the usual request goes straight to its endpoint, whatever is unusual the long way.

FastAPI finds out anew for every request what its endpoint depends on, which costs as much as a small solve. A request
in plain JSON without a query needs none of that; one that can't be read so is read again by FastAPI, which tells why.
"""

from collections.abc import Awaitable, Callable, Coroutine
from dataclasses import replace
from json import JSONDecodeError
from typing import Annotated, Any

from fastapi import APIRouter, Body, Request, Response
from fastapi.exceptions import RequestValidationError
from starlette.types import Message

from api.answering.caller import JOB_CALLER
from api.answering.catalog_resolver import CatalogResolver, CatalogResolverOf
from api.answering.later_answer import job_offer
from api.answering.progress import Teller, TellerOf, answer_body, body_with_rows, lines_told
from api.examples.question_examples import in_document
from api.http.app_settings import settings_of
from api.http.body_form import RefusedBody, json_form
from api.http.media import JSON
from api.http.route import StrictRoute
from api.questions.registry import ROWS, QuestionRow
from api.questions.settled_trips import settled_on_cluster
from api.settings.units import UnitsQuery
from api.solving.cluster import Cluster
from api.solving.solve_queue import solves_of
from solver import Effort

_LEFT = 0.5  # judged: of the time of an answer, at least, for all but the reading of stored catalogs
_PLAIN = UnitsQuery.model_validate({})


class _QuestionRoute(StrictRoute):
    """A route whose endpoint takes a form, a teller and a shelf."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """Return the handler."""
        long_way = super().get_route_handler()
        assert self.body_field is not None
        name, form, endpoint = self.body_field.name, self.form(), self.endpoint

        async def handle(request: Request) -> Response:
            if request.scope["query_string"] or request.headers.get("content-type") != JSON:
                return await long_way(request)
            body = await request.body()
            try:
                asked = await json_form(body, form)
            except JSONDecodeError:
                return await long_way(Request(request.scope, _again(body, request)))
            if isinstance(asked, RefusedBody):
                raise RequestValidationError([], body=[asked])
            teller = Teller(request, solves_of(request), _PLAIN)
            answer: Response = await endpoint(**{name: asked}, tell=teller, shelf=CatalogResolver(request))
            return answer

        return handle


def _again(body: bytes, request: Request) -> Callable[[], Coroutine[Any, Any, Message]]:
    """Return a receive that gives a body that was read already."""
    left: list[Message] = [{"type": "http.request", "body": body, "more_body": False}]

    async def receive() -> Message:
        return left.pop() if left else await request.receive()

    return receive


def _endpoint_of(question: QuestionRow) -> Callable[..., Awaitable[Response]]:
    """Return the endpoint of a question."""
    body = body_with_rows if question.keeps_rows else answer_body

    async def endpoint(form: Any, tell: TellerOf, shelf: CatalogResolverOf) -> Response:
        clock = tell.solves.effort.clock
        start = clock()
        filled = await shelf.filled(form)
        read_s, answer = clock() - start, _answering(question, tell.request)
        return await tell.answer(filled, lambda effort: answer(filled, _after(effort, read_s)), body)

    shown = in_document(question.examples())
    # FastAPI reads the form off the annotation, which is known only from the row.
    endpoint.__annotations__["form"] = Annotated[question.form, Body(openapi_examples=shown)]
    return endpoint


def _after(effort: Effort, seconds: float) -> Effort:
    """Return the effort of an answer once reading its catalogs took so many seconds of its time; most is left to it."""
    return replace(effort, answer_seconds=max(effort.answer_seconds - seconds, _LEFT * effort.answer_seconds))


def _answering(question: QuestionRow, request: Request) -> Callable[[Any, Effort], Any]:
    """Return who answers: this process, or the cluster of the settings where a job is asked over many trips."""
    settings = settings_of(request)
    if settings.cluster is None or not question.over_trips or JOB_CALLER not in request.scope:
        return question.answer
    cluster = Cluster(settings.cluster, settings.cluster_ca, settings.cluster_certificate, settings.cluster_key)
    return lambda form, effort: form.answer(effort, settled_on_cluster(cluster, effort))


def question_router() -> APIRouter:
    """Return the router with the endpoint of every question."""
    made = APIRouter(route_class=_QuestionRoute)
    for question in ROWS:
        made.add_api_route(
            question.address,
            _endpoint_of(question),
            methods=["POST"],
            name=question.operation,
            tags=[question.tag],
            summary=question.summary,
            description=question.description,
            response_model=question.answer_form,
            responses=lines_told(early=question.tells_early),
            openapi_extra=job_offer(),
        )
    return made


router = question_router()
