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
from api.settings.settings import Settings
from api.settings.units import Units, in_units, in_units_but_rows
from catalog import read_tools
from catalog.tables.table import DecimalSign

OK, UNCOVERED, _NOT_SETTLED = 0, 3, 4


def answer_question(asked: argparse.Namespace) -> int:
    """Answer a question and print the answer."""
    question = QUESTIONS[asked.question]
    form = question.form.model_validate(_body_of(question, asked))
    if asked.tools is not None:
        form = _with_tools(form, asked.tools, asked.decimal)
    effort = effort_of(Settings())
    with _shown_solves(question) as told:
        answer = question.answer(form, replace(effort, on_solve=told))
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


def _body_of(question: QuestionRow, asked: argparse.Namespace) -> Any:
    """Return the body that is asked: from a file, or an example; with the kit that is named beside it."""
    body = read_body(asked.body) if asked.example is None else question.examples()[asked.example].body
    if asked.kit is None or not isinstance(body, dict):
        return body
    named = {"kit": [name.strip() for name in asked.kit.split(",") if name.strip()]}
    return (body if "trip" in body else {"trip": body}) | named


def _with_tools(form: BaseModel, table: Path, decimal: DecimalSign | None) -> BaseModel:
    """Return what is asked with a user's table of tools in every trip."""
    tools = read_tools(table, decimal=decimal)
    return put_in(form, {place: trip.model_copy(update={"tools": tools}) for place, trip in trips_in(form, ())}, ())


def _json_text(question: QuestionRow, answer: dict[str, Any], units: Units) -> str:
    """Return an answer as JSON, as the address of the question gives it."""
    told = in_units_but_rows(answer, units) if question.keeps_rows else in_units(answer, units)
    return json.dumps(told, indent=1)


@contextmanager
def _shown_solves(question: QuestionRow) -> Iterator[Callable[[], None] | None]:
    """Show on the error stream, where it is a terminal, how many programs a long answer has solved."""
    if question.quick or not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console  # late: only a terminal needs it
    from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

    columns = (
        TextColumn(question.name),
        BarColumn(),
        TextColumn("{task.completed} programs solved"),
        TimeElapsedColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task(question.name, total=None)
        yield lambda: progress.advance(task)
