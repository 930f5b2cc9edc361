"""The further questions on the command line: front, check, confidence, season, allowance.

Each takes the body that its address takes over HTTP, as a file, from standard input, or an invented example.
"""

import argparse
import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from typing import Any

from rich.console import Console
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from api.cli.body_file import read_body
from api.cli.question_print import print_allowance, print_check, print_confidence, print_front, print_season
from api.examples.question_bodies import bodies
from api.settings.effort import effort_of
from api.settings.settings import Settings
from api.settings.units import in_units
from solver import AllowanceForm, CheckForm, ConfidenceForm, FrontForm, SeasonForm

OK, UNCOVERED = 0, 3


@dataclass(frozen=True)
class Question:
    """A question: its form, which answers it, who prints it, and what its help says."""

    form: type[FrontForm | CheckForm | ConfidenceForm | SeasonForm | AllowanceForm]
    tell: Callable[[Any, Console], None]
    help: str


QUESTIONS = {
    "front": Question(FrontForm, print_front, "every kit that none beats in grams and minutes, or grams and price"),
    "check": Question(CheckForm, print_check, "whether a kit of one's own covers a trip"),
    "confidence": Question(ConfidenceForm, print_confidence, "a kit for uncertain wood"),
    "season": Question(SeasonForm, print_season, "what to own for several trips"),
    "allowance": Question(AllowanceForm, print_allowance, "what a tool not yet made may weigh"),
}


def add_questions(commands: Any) -> None:
    """Add a command for each question."""
    for name, question in QUESTIONS.items():
        command = commands.add_parser(name, help=question.help)
        source = command.add_mutually_exclusive_group(required=True)
        source.add_argument("body", nargs="?", help="the body as JSON file, or - for standard input")
        source.add_argument("--example", action="store_true", help="an invented body that comes along")
        command.add_argument("--json", action="store_true", help="print the answer as JSON")
        command.add_argument("--units", choices=("metric", "us"), default="metric", help="units added to the JSON")
        command.set_defaults(run=lambda asked, name=name: answer_question(name, asked))


@contextmanager
def shown_solves(name: str) -> Iterator[Callable[[], None]]:
    """Show on the error stream, where it is a terminal, how many programs a long answer has solved."""
    columns = (TextColumn(name), BarColumn(), TextColumn("{task.completed} programs solved"), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as progress:
        task = progress.add_task(name, total=None)
        yield lambda: progress.advance(task)


def answer_question(name: str, asked: argparse.Namespace) -> int:
    """Answer a question and print the answer."""
    question = QUESTIONS[name]
    form = question.form.model_validate(bodies()[name] if asked.example else read_body(asked.body))
    effort = effort_of(Settings())
    with shown_solves(name) as told:
        answer = form.answer(replace(effort, told=told))
    if asked.json:
        print(json.dumps(in_units(answer.model_dump(mode="json"), asked.units), indent=1))
    else:
        question.tell(answer, Console(soft_wrap=True))
    missed = getattr(answer, "status", None) == "uncovered" or getattr(answer, "covered", True) is False
    return UNCOVERED if missed else OK
