"""Answering a question on the command line.

Each takes the body that its address takes over HTTP, as a file, from standard input, or an invented example.
"""

import argparse
import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from api.cli.body_file import read_body
from api.printing.told_units import printed_in
from api.questions.asked_trips import put_in, trips_in
from api.questions.registry import QUESTIONS, QuestionRow
from api.settings.effort import effort_of
from api.settings.refused import Refused
from api.settings.settings import Settings
from api.settings.units import Units, in_units, in_units_but_rows
from catalog import read_tools
from catalog.tables.table import DecimalSign
from solver import Effort

OK, UNCOVERED, _NOT_SETTLED = 0, 3, 4


def answer_question(asked: argparse.Namespace) -> int:
    """Answer a question and print the answer."""
    question = QUESTIONS[asked.question]
    if asked.trips is not None:
        from api.filling.listed_trips import weighted_trips  # late: it needs what reads tables of every kind

        asked.listed = weighted_trips(asked.trips, inputs=asked.inputs, decimal=asked.decimal)
    body = _body_of(question, asked)
    sure = question.printed_sure and not (asked.json or asked.as_assumed) and _may_tell_sure(body)
    form = question.form.model_validate(body | {"sure": {}} if sure else body)
    if asked.tools is not None:
        form = _with_tools(form, asked.tools, asked.decimal)
    effort = effort_of(Settings())
    with _shown_solves(question, quick=question.quick and not sure) as told:
        answer = _answer_of(question, form, asked, replace(effort, on_solve=told))
    if asked.json:
        print(_json_text(question, answer.model_dump(mode="json"), asked.units))
    else:
        with printed_in(asked.units):
            question.printer(full=asked.full)(answer)
    status = getattr(answer, "status", None)
    if status == "not_settled":
        return _NOT_SETTLED
    missed = status == "uncovered" or getattr(answer, "covered", True) is False
    return UNCOVERED if missed else OK


def _answer_of(question: QuestionRow, form: Any, asked: argparse.Namespace, effort: Effort) -> BaseModel:
    """Return the answer; one over many trips has them settled by several processes."""
    if not question.over_trips:
        return question.answer(form, effort)
    from api.questions.settled_trips import settled_by_processes  # late: other questions have one process
    from api.solving.cluster import Cluster

    cluster = None if asked.cluster is None else Cluster(asked.cluster)

    settle = settled_by_processes(form, workers=asked.workers, kept=asked.keep, tell=effort.on_solve, cluster=cluster)
    answer: BaseModel = form.answer(effort, settle)
    return answer


def _body_of(question: QuestionRow, asked: argparse.Namespace) -> Any:
    """Return the body that is asked: from a file, or an example; with the kit that is named beside it."""
    body = read_body(asked.body) if asked.example is None else question.examples()[asked.example].body
    if question.over_trips and isinstance(body, dict):
        return _with_trips(body, asked)
    if asked.kit is None or not isinstance(body, dict):
        return body
    named = {"kit": [name.strip() for name in asked.kit.split(",") if name.strip()]}
    return (body if "trip" in body else {"trip": body}) | named


def _may_tell_sure(body: Any) -> bool:
    """Tell whether how sure the kit is can be told beside a plan that does not say whether it is wanted."""
    if not isinstance(body, dict) or "sure" in body or body.get("detail") == "kit":
        return False
    return body.get("aim", "mass") == "mass" and body.get("robust") is None


def _with_trips(body: dict[str, Any], asked: argparse.Namespace) -> dict[str, Any]:
    """Return a body with the trips that are named beside it, in the place of its own.

    Raises:
        Refused: a number of trips to draw beside trips that are listed.
    """
    named: dict[str, Any] = {}
    if asked.population is not None:
        from api.cli.population_command import population_body  # late: other questions have no population

        named = {"population": population_body(asked.population)}
    if asked.trips is not None:
        named = {"trips": asked.listed}
    kept = {field: value for field, value in body.items() if not named or field not in ("trips", "population")}
    if asked.count is not None and "trips" in kept | named and "population" not in kept | named:
        told = "--count is how many trips are drawn from a population, and these trips are listed"
        raise Refused(f"{told}\nleave it out: each of them counts; or name a population: --population NAME")
    numbers = {"count": asked.count, "seed": asked.seed}
    return kept | named | {field: number for field, number in numbers.items() if number is not None}


def _with_tools(form: BaseModel, table: Path, decimal: DecimalSign | None) -> BaseModel:
    """Return what is asked with a user's table of tools in every trip."""
    tools = read_tools(table, decimal=decimal)
    return put_in(form, {place: trip.model_copy(update={"tools": tools}) for place, trip in trips_in(form, ())}, ())


def _json_text(question: QuestionRow, answer: dict[str, Any], units: Units) -> str:
    """Return an answer as JSON, as the address of the question gives it."""
    told = in_units_but_rows(answer, units) if question.keeps_rows else in_units(answer, units)
    return json.dumps(told, indent=1)


@contextmanager
def _shown_solves(question: QuestionRow, *, quick: bool) -> Iterator[Callable[[], None] | None]:
    """Show on the error stream, where it is a terminal, how many programs a long answer has solved."""
    if quick or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console  # late: only a terminal needs it
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn(question.name),
        BarColumn(),
        TextColumn("{task.completed} trips settled" if question.over_trips else "{task.completed} programs solved"),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task(question.name, total=None)
        yield lambda: progress.advance(task)
