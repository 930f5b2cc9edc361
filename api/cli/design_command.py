"""The maker's bench on the command line: kitwright design and kitwright trials."""

import argparse
import json

from pydantic_core import to_jsonable_python

from api.cli.body_file import read_body
from api.endpoints.trial_form import TrialsForm, answer_trials
from api.examples.invented import design_examples
from api.printing.design_print import print_design, print_trials
from api.printing.told_console import ToldConsole
from api.printing.told_units import printed_in
from api.settings.units import in_units_but_rows
from catalog.bench.design import Design
from catalog.bench.rating import rate
from catalog.equipment.toolset import read_tools
from catalog.tables.table import read_text

_OK = 0


def score_design(asked: argparse.Namespace) -> int:
    """Score a design, and draw it where a file is named."""
    body = design_examples()[asked.example] if asked.example else read_body(asked.design)
    design = Design.model_validate(body)
    rating = rate(design)
    if asked.drawing is not None:
        from api.pictures.tool_picture import drawing_svg  # late: the plotting library takes its time to load

        asked.drawing.write_text(drawing_svg(design), encoding="utf-8")
    if asked.plot is not None:
        from api.pictures.mass_picture import mass_svg  # late, as above

        asked.plot.write_text(mass_svg(design), encoding="utf-8")
    if asked.json:
        print(json.dumps(in_units_but_rows(to_jsonable_python(rating), asked.units), indent=1))
    else:
        with printed_in(asked.units):
            print_design(rating, ToldConsole())
    return _OK


def read_records(asked: argparse.Namespace) -> int:
    """Estimate scores from a table of records."""
    own = [] if asked.tools is None else read_tools(asked.tools, decimal=asked.decimal)
    form = TrialsForm.model_validate({"csv": read_text(asked.table), "tools": own, "confidence": asked.confidence})
    answer = answer_trials(form)
    if asked.json:
        print(json.dumps(in_units_but_rows(to_jsonable_python(answer), asked.units), indent=1))
    else:
        with printed_in(asked.units):
            print_trials(answer, ToldConsole())
    return _OK
