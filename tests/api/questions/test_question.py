"""One table of questions: endpoint, command, examples, contract and prints all come from its rows."""

import inspect
import json
from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest
from fastapi import FastAPI
from pydantic import BaseModel
from service import ask
from tree import ROOT

from api.answering.response_cache import PATHS
from api.app.application import create_app
from api.cli.command import main
from api.contract.document import openapi_of
from api.questions.registry import QUESTIONS, ROWS, QuestionRow
from solver import Effort, Trip
from solver.forms.kit_answer import Output

DOCUMENT = json.loads((ROOT / "openapi" / "openapi.json").read_text("utf-8"))
OK = 0


def test_no_two_rows_share_a_name_an_address_or_an_operation() -> None:
    for names in ([row.name for row in ROWS], [row.path for row in ROWS], [row.operation for row in ROWS]):
        assert len(set(names)) == len(names)
    assert set(QUESTIONS) == {row.name for row in ROWS}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_a_row_is_what_the_contract_says(row: QuestionRow) -> None:
    operation = DOCUMENT["paths"][row.address]["post"]
    assert operation["operationId"] == row.operation
    assert operation["tags"] == [row.tag]
    assert (operation["summary"], operation["description"]) == (row.summary, row.description)
    body = operation["requestBody"]["content"]["application/json"]
    assert body["schema"] == {"$ref": f"#/components/schemas/{row.form.__name__}"}
    shown = {name: one["value"] for name, one in body["examples"].items()}
    assert shown == {name: one.body for name, one in row.examples().items()}
    answered = operation["responses"]["200"]["content"]["application/json"]
    assert answered["schema"] == {"$ref": f"#/components/schemas/{row.answer_form.__name__}"}


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row.name)
def test_every_name_in_a_row_is_a_function_of_the_right_kind(row: QuestionRow) -> None:
    form, effort = inspect.signature(row.answer).parameters.values()
    assert issubclass(form.annotation, BaseModel)
    assert effort.annotation is Effort
    for full in (False, True):
        (answer,) = inspect.signature(row.printer(full=full)).parameters.values()
        assert answer.annotation is row.answer_form


def test_answers_are_remembered_for_every_question() -> None:
    assert {row.address for row in ROWS} == PATHS


class CountForm(BaseModel):
    """A trip whose tasks are counted."""

    trip: Trip


class CountAnswer(Output):
    """How many tasks a trip has."""

    tasks: int


def answer_count(form: CountForm, _: Effort) -> CountAnswer:
    """Count the tasks."""
    return CountAnswer(tasks=len(form.trip.tasks))


def print_count(answer: CountAnswer) -> None:
    """Print the number."""
    print(f"{answer.tasks} tasks")


@pytest.fixture
def app_with_one_more(monkeypatch: pytest.MonkeyPatch) -> Callable[[], FastAPI]:
    """Makes an app whose table has one more row: an answer, a form, a print, and nothing else."""
    row = replace(
        QUESTIONS["check"],
        name="count",
        operation="post_count",
        path="kits/count",
        help="count the tasks of a trip",
        answered_by=f"{__name__}:answer_count",
        printed_by=f"{__name__}:print_count",
        examples=QUESTIONS["front"].examples,
        contract_body=None,
    )
    for where in (
        "api.questions.registry",
        "api.answering.question_route",
        "api.cli.command",
        "api.contract.operation_examples",
    ):
        monkeypatch.setattr(f"{where}.ROWS", (*ROWS, row))
    monkeypatch.setitem(QUESTIONS, "count", row)

    def made() -> FastAPI:
        from api.answering import question_route

        monkeypatch.setattr(question_route, "router", question_route.question_router())
        return create_app()

    return made


def test_a_row_more_is_an_endpoint_a_command_and_a_part_of_the_contract(
    app_with_one_more: Callable[[], FastAPI], capsys: pytest.CaptureFixture[str]
) -> None:
    """The form, the answer, the print and the row are all that it takes."""
    app = app_with_one_more()
    body: dict[str, Any] = {"trip": {"tasks": [{"task": "split", "diameter_mm": 140}]}}
    assert ask("POST", "/v1/kits/count", json=body, app=app).json() == {"tasks": 1}
    operation = openapi_of(app)["paths"]["/v1/kits/count"]["post"]
    tasks = len(QUESTIONS["front"].example["trip"]["tasks"])
    assert operation["operationId"] == "post_count"
    assert operation["responses"]["200"]["content"]["application/json"]["example"] == {"tasks": tasks}
    assert main(["count", "--example"]) == OK
    assert capsys.readouterr().out == f"{tasks} tasks\n"
    with pytest.raises(SystemExit):
        main(["--help"])
    assert "count the tasks of a trip" in capsys.readouterr().out
