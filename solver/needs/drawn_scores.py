"""A question under draws of the scores of all tools together; whom a tool's score lets do what goes by the medians."""

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from catalog.equipment.tool import TASKS
from catalog.scores.score_spread import score_factors
from solver.model.copies import original_of
from solver.needs.case_axis import cases_over
from solver.needs.question import Question


def drawn_questions(question: Question, *, count: int, seed: int) -> Iterator[Question]:
    """Yield a question under each of some joint draws of the scores of its tools; methods stay as they are.

    Args:
        question: at the medians.
        count: how many draws.
        seed: any whole number; equal seeds draw a tool's scores alike on every trip.
    """
    workers = question.workers
    factors = {task: np.ones((count, len(workers.rows))) for task in TASKS}
    for place, tool in enumerate(workers.candidates.tools):
        as_named = tool.model_copy(update={"id": original_of(tool.id)})
        for task in TASKS:
            if getattr(tool, f"{task}_score") > 0:
                factors[task][:, place] = score_factors(as_named, task, count=count, seed=seed)
    axis = cases_over(question, {}, drawn=factors)
    for draw in range(count):
        yield replace(question, case=axis.case(draw))
