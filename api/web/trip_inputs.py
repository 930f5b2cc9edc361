"""The inputs of the page that are made from the solver's tables: limits, aims, and the tasks to choose from."""

import json
from html import escape

from solver.forms.aim import AIMS
from solver.forms.barring import ASKED
from solver.forms.limit import WORK, Prompted
from solver.forms.task import TASK_ROWS

_IN_SENTENCE = WORK.field  # asked for where the trip is told, not among the limits


def inputs() -> dict[str, str]:
    """Return what fills the page, by its place there."""
    tasks = json.dumps([[name, row.prompt] for name, row in TASK_ROWS.items()])
    options = [f'<option value="{name}">{escape(row.label)}</option>' for name, row in AIMS.items()]
    return {
        "limits": "\n      ".join(
            _limit_input(field, how) for field, how in ASKED if how.prompt and field != _IN_SENTENCE
        ),
        "aims": "".join(options),
        "tasks": escape(tasks),
    }


def _limit_input(field: str, asked: Prompted) -> str:
    """Return the input of a limit, with the unit that the page shows where it measures something."""
    assert asked.prompt is not None
    name = f"limit-{field}"
    unit = f'<span data-unit="{asked.measure}"></span>'
    measure = "" if asked.measure is None else f' data-measure="{asked.measure}"'
    prompt = escape(asked.prompt).format(unit=unit)
    return (
        f'<div class="field"><label for="{name}">{prompt}</label>'
        f'<input id="{name}" data-path="limits/{field}"{measure} inputmode="decimal"></div>'
    )
