"""Example answers, one of every operation, as the service gives them."""

import json
from typing import Any

from pydantic import BaseModel
from pydantic_core import to_jsonable_python

from api.answering.later_answer import AnswerJob
from api.contract.example_sheet import sheet_answers
from api.endpoints.catalog_form import CatalogHead
from api.endpoints.catalog_trials import interval_after
from api.endpoints.designs import typical_designs
from api.endpoints.trial_form import TrialsForm, answer_trials
from api.endpoints.trials import TRIALS_EXAMPLE
from api.examples.catalog_bodies import HUT, HUT_TABLE, HUT_TRIALS, HUT_TRIALS_TABLE
from api.examples.invented import design_examples, population_examples
from api.http.problem_details import KINDS
from api.owned.changes import ChangeRow
from api.questions.registry import ROWS, QuestionRow
from api.settings.settings import Settings
from api.workshop.outline_example import LIKE, example_reading
from catalog import Tool, assumptions, methods, tools
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.equipment.camp_work import camp_items
from catalog.making.making_figure import making_figures
from catalog.scores.built_in import scores_of
from catalog.trials.measured import measure
from catalog.trials.trial import Trial
from catalog.wood.species import woods
from solver import Effort

_TOOL = "folding-saw-210"
_WRONG_INPUT = 422
_HUT_UID = "5f0c2a91d7e3b846"  # invented, as the time is
_HUT_HEAD = {
    "name": "invented-hut",
    "owner": "local",
    "note": HUT["note"],
    "tool_count": 2,
    "made_at": "2026-01-01T12:00:00.000Z",
    "assumptions": {},
    "assumption_intervals": {},
}
_READER = {"owner": "ben", "made_at": "2026-01-01T12:00:00.000Z"}
_CHANGE = ChangeRow(
    id="6d0b5e8f3a1c47298e5f0d2b7c9a1e34",
    at="2026-01-01T12:00:00.000Z",
    owner="local",
    key=None,
    action="create",
    catalog="invented-hut",
    revision=1,
    reader=None,
)
_JOB = {
    "id": "019b76da1c005d1f0c2a91d7e3b84600",
    "path": "/v1/kits/season",
    "state": "running",
    "made_at": _HUT_HEAD["made_at"],
    "started_at": "2026-01-01T12:00:01.000Z",
    "ended_at": None,
    "expires_at": "2026-01-02T12:03:20.000Z",
    "attempts": 1,
    "progress": {"solves": 214, "seconds": 195.2},
    "status": None,
}


def example_answers() -> dict[str, Any]:
    """Return an answer by method and path; it takes a solve."""
    slug, title = KINDS[_WRONG_INPUT]
    return {
        **_question_answers(),
        "post /v1/kits/batch": _batch_answer(),
        "get /v1/designs": _first_page("/v1/designs", typical_designs()[0].model_dump(mode="json", exclude_unset=True)),
        "get /v1/designs/making-figures": _first_page(
            "/v1/designs/making-figures", min(making_figures().values(), key=lambda row: row.id)
        ),
        "get /v1/designs/populations": _first_page("/v1/designs/populations", min(population_examples().items())[1]),
        "post /v1/designs/score": to_jsonable_python(rate(Design.model_validate(design_examples()["long-knife"]))),
        **_outline_answers(),
        "post /v1/trials": to_jsonable_python(answer_trials(TrialsForm.model_validate(TRIALS_EXAMPLE))),
        **_catalog_answers(),
        **_job_answers(),
        "get /v1/changes": _first_page("/v1/changes", _CHANGE),
        **sheet_answers(),
        "get /v1/woods": _first_page("/v1/woods", min(woods().values(), key=lambda one: one.id)),
        "get /v1/woods/{id}": to_jsonable_python(woods()["white-spruce"]),
        "get /v1/camp-work": _first_page("/v1/camp-work", min(camp_items().values(), key=lambda item: item.id)),
        "get /v1/tools": _first_page("/v1/tools", tools()[0]),
        "get /v1/tools/{id}": next(tool for tool in tools() if tool.id == _TOOL).model_dump(mode="json"),
        "get /v1/tools/{id}/scores": {"id": _TOOL, "scores": to_jsonable_python(scores_of(_TOOL))},
        "get /v1/methods": _first_page("/v1/methods", methods()[0]),
        "get /v1/assumptions": _first_page("/v1/assumptions", min(assumptions().values(), key=lambda row: row.id)),
        "get /healthz": {"status": "ok"},
        "get /readyz": {"status": "ready"},
        "get /problems/{slug}": {"type": slug, "status": _WRONG_INPUT, "title": title},
    }


def _outline_answers() -> dict[str, Any]:
    """Return what is read from the example of an outline, which either kind of file may draw."""
    (name,) = (one.title for one in tools() if one.id == LIKE)
    read = example_reading(name).model_dump(mode="json", exclude_unset=True)
    return {f"post /v1/designs/outline.{kind}": read for kind in ("svg", "dxf")}


def _question_answers() -> dict[str, Any]:
    """Return an answer to each question."""
    return {f"post {question.address}": to_jsonable_python(_shown_answer(question)) for question in ROWS}


def _shown_answer(question: QuestionRow) -> BaseModel:
    """Return the answer to a question that the contract shows."""
    body = question.example if question.contract_body is None else question.contract_body()
    return question.answer(question.form.model_validate(body), Effort())


def _catalog_answers() -> dict[str, Any]:
    """Return answers about the invented hut's catalog, stored first, as its second and as its third revision."""
    first, second, third = (CatalogHead.model_validate(_HUT_HEAD | {"revision": n, "tag": _tag(n)}) for n in (1, 2, 3))
    path = "/v1/catalogs/invented-hut"
    kept = ("estimates", "assumptions", "figures", "questions", "own_figures")
    trials = [Trial.model_validate(one) for one in HUT_TRIALS["trials"]]
    measured = measure(trials, [Tool.model_validate(row) for row in HUT["tools"]], confidence=0.9)
    rate = measured.own_figures["saw_rate"]
    (ends,) = (interval_after(one, rate).model_dump() for one in measured.figures if one.id == "saw_rate")
    return {
        "get /v1/catalogs": _first_page("/v1/catalogs", first, cursor="name"),
        "get /v1/catalogs/{name}": HUT,
        "get /v1/catalogs/{name}/shares": {"items": [_READER]},
        "post /v1/catalogs/{name}/shares": _READER,
        "get /v1/catalogs/{name}.csv": HUT_TABLE,
        "get /v1/catalogs/{name}/revisions/{revision}.csv": HUT_TABLE,
        "get /v1/catalogs/{name}/trials.csv": HUT_TRIALS_TABLE,
        "put /v1/catalogs/{name}": second.model_dump() | {"warnings": []},
        "patch /v1/catalogs/{name}": third.model_dump() | {"warnings": []},
        "get /v1/catalogs/{name}/revisions": _first_page(
            "/v1/catalogs/invented-hut/revisions", first, cursor="revision"
        ),
        "get /v1/catalogs/{name}/revisions/{revision}": HUT,
        "get /v1/catalogs/{name}/tools": _first_page(f"{path}/tools", HUT["tools"][1]),
        "get /v1/catalogs/{name}/tools/{id}": HUT["tools"][0],
        "get /v1/catalogs/{name}/trials": {"trials": [one.model_dump(mode="json") for one in trials]},
        "post /v1/catalogs/{name}/trials": {
            "catalog": second.model_dump()
            | {"warnings": [], "assumptions": {"saw_rate": rate}, "assumption_intervals": {"saw_rate": ends}},
            **{name: to_jsonable_python(getattr(measured, name)) for name in kept},
        },
        "put /v1/catalogs/{name}/tools/{id}": third.model_dump() | {"warnings": []},
    }


def _job_answers() -> dict[str, Any]:
    """Return a job that is worked on, and a list of one that has ended; its answer is that of its question."""
    place = f"/v1/jobs/{_JOB['id']}"
    running = AnswerJob.model_validate(_JOB | {"links": {"job": place, "result": None}})
    ended = {"state": "done", "ended_at": "2026-01-01T12:03:20.000Z", "status": 200}
    done = _JOB | ended | {"links": {"job": place, "result": f"{place}/result"}}
    return {
        "get /v1/jobs": _first_page("/v1/jobs", AnswerJob.model_validate(done)),
        "get /v1/jobs/{id}": running.model_dump(),
        "get /v1/jobs/{id}/result": {"status": "optimal"},
    }


def _tag(revision: int) -> str:
    """Return the entity tag of a revision of the invented hut's catalog."""
    return f'"{_HUT_UID}-{revision}"'


def _batch_answer() -> str:
    """Return the answers to a batch: an answer, cut to what a reader needs to see, and a problem."""
    slug, title = KINDS[_WRONG_INPUT]
    fault = {"pointer": "#/people", "value": 0, "range": ">= 1; <= 50", "detail": "0 must be at least 1"}
    problem = {"type": slug, "title": title, "status": _WRONG_INPUT, "detail": "1 field(s) can't be taken"}
    return "\n".join(
        json.dumps(line)
        for line in (
            {"line": 1, "id": "monday", "answer": {"status": "optimal"}},
            {"line": 3, "id": None, "problem": {**problem, "instance": "/v1/kits/batch", "errors": [fault]}},
        )
    )


def _first_page(path: str, row: Any, *, cursor: str = "id") -> dict[str, Any]:
    """Return the first page, of one row, of a list that goes on."""
    shown = to_jsonable_python(row)
    host = f"http://{Settings.model_fields['host'].default}:{Settings.model_fields['port'].default}"
    return {"items": [shown], "next": f"{host}{path}?limit=1&cursor={shown[cursor]}"}
