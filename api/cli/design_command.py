"""The maker's bench on the command line: kitwright design and kitwright trials."""

import argparse
import json
from pathlib import Path
from typing import Any

from pydantic_core import to_jsonable_python
from rich.console import Console

from api.cli.body_file import read_body
from api.cli.design_print import print_design, print_trials
from api.endpoints.designs import mass_picture, tool_picture
from api.endpoints.trials import TrialsForm, answer_trials
from api.examples.invented import design_examples
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.equipment.toolset import read_tools
from catalog.tables.table import read_text

OK = 0


def add_bench(commands: Any) -> None:
    """Add the commands of the bench."""
    design = commands.add_parser("design", help="what a drawn tool weighs, stands and is good for")
    source = design.add_mutually_exclusive_group(required=True)
    source.add_argument("design", nargs="?", help="a design as JSON file, or - for standard input")
    source.add_argument("--example", choices=sorted(design_examples()), help="an invented design that comes along")
    design.add_argument("--json", action="store_true", help="print the answer as JSON")
    design.add_argument("--drawing", type=Path, help="write the drawing to this SVG file")
    design.add_argument("--plot", type=Path, help="write the plot of mass against measures to this SVG file")
    design.set_defaults(run=score_design)
    trials = commands.add_parser("trials", help="what stopwatch records say of tools")
    trials.add_argument("table", type=Path, help="CSV: tool, task, wood, diameter_mm, state, count, minutes")
    trials.add_argument("--tools", type=Path, help="CSV of your own tools, beside the built-in ones")
    trials.add_argument("--confidence", type=float, default=0.9, help="least confidence of the intervals")
    trials.add_argument("--json", action="store_true", help="print the answer as JSON")
    trials.set_defaults(run=read_records)


def score_design(asked: argparse.Namespace) -> int:
    """Score a design, and draw it where a file is named."""
    body = design_examples()[asked.example] if asked.example else read_body(asked.design)
    design = Design.model_validate(body)
    rating = rate(design)
    if asked.drawing is not None:
        asked.drawing.write_text(tool_picture().drawing_svg(design), encoding="utf-8")
    if asked.plot is not None:
        asked.plot.write_text(mass_picture().mass_svg(design), encoding="utf-8")
    if asked.json:
        print(json.dumps(to_jsonable_python(rating), indent=1))
    else:
        print_design(rating, Console(soft_wrap=True))
    return OK


def read_records(asked: argparse.Namespace) -> int:
    """Estimate scores from a table of records."""
    own = [] if asked.tools is None else read_tools(asked.tools)
    form = TrialsForm.model_validate({"csv": read_text(asked.table), "tools": own, "confidence": asked.confidence})
    answer = answer_trials(form)
    if asked.json:
        print(json.dumps(to_jsonable_python(answer), indent=1))
    else:
        print_trials(answer, Console(soft_wrap=True))
    return OK
