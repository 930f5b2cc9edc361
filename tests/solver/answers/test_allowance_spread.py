"""The allowance under joint draws of the scores: each draw asked by itself, with the drawn scores as rows."""

import math
from random import Random
from typing import Any

import pytest
from random_trips import random_tool, random_trip
from stated_trips import own

from catalog import Tool
from catalog.scores.score_spread import ScoreDraws
from solver import Effort, Trip, allowance
from solver.answers.allowance import _SEED as SEED
from solver.answers.allowance import DRAWS, allowance_of, weighing_of
from solver.model import case_blocks
from solver.needs.question import question_of

HUNDREDTHS = 100  # of a gram, in which masses count
TASKS = ("split", "saw", "carve", "chop")
Row = dict[str, Any]


def drawn_row(row: Row, draw: int) -> Row:
    """A row whose scores are those of a draw, exact."""
    tool, found = Tool.model_validate(row), dict(row)
    for task in TASKS:
        if getattr(tool, f"{task}_score") > 0:
            factor = float(ScoreDraws(count=DRAWS, seed=SEED).factors(tool, task, name=tool.id)[draw])
            found[f"{task}_score"] = getattr(tool, f"{task}_score") * factor
    return found


def exact(row: Row) -> Row:
    """A row whose scores are known."""
    ends = {
        f"{task}_score_{end}": row[f"{task}_score"]
        for task in TASKS
        if row.get(f"{task}_score")
        for end in ("low", "high")
    }
    return row | ends


def p20_of(masses: list[float]) -> float | None:
    """What four in five allow: the value with a fifth of them at it or below."""
    found = sorted(masses)[math.ceil(0.2 * len(masses)) - 1]
    return None if found == math.inf else found


@pytest.mark.parametrize("seed", range(4))
def test_a_draw_is_an_allowance_of_its_own(seed: int) -> None:
    """Scores up to a third of the range, so that none is cut off, and no least scores, which go by the medians."""
    rng = Random(f"spread{seed}")
    trip = random_trip(rng, fewest=3, most=6, needs_most=3)
    for key in ("robust", "members"):
        trip.pop(key, None)
    trip["tasks"] = [{k: v for k, v in task.items() if k != "min_score"} for task in trip["tasks"]]
    rows = [row | {f"{task}_score": min(9.0, row.get(f"{task}_score") or 0) for task in TASKS} for row in trip["tools"]]
    new = random_tool(rng, "new")
    new |= {f"{task}_score": min(9.0, new.get(f"{task}_score") or 0) for task in TASKS}
    masses = []
    for draw in range(DRAWS):
        at = trip | {"tools": [drawn_row(row, draw) for row in rows], "extra_tools": [drawn_row(new, draw)]}
        weighing = weighing_of(question_of(Trip.model_validate(at)), "new")
        one = allowance_of(weighing, weightless=True, effort=Effort())
        masses.append(math.inf if one.reason == "unbounded" else (one.mass or 0) / HUNDREDTHS)
    told = allowance(Tool.model_validate(new), trip | {"tools": rows})
    assert told.trips[0].allowance_p20_g == told.allowance_p20_g == p20_of(masses)


@pytest.mark.quick
def test_known_scores_spread_nothing() -> None:
    """Every score exact: the percentile is the allowance; judged ones leave the saw less within a tight limit."""
    saw = {"id": "saw", "mass_g": 300, "saw_score": 5.0, "saw_max_mm": 150}
    axe = {"id": "axe", "mass_g": 1000, "chop_score": 8.0, "chop_max_mm": 200}
    trip = own(tasks=[{"task": "buck", "diameter_mm": 80, "per_day": 10}], limits={"work_min_per_day": 14})
    known = allowance(Tool.model_validate(exact(saw)), trip | {"tools": [exact(axe)]})
    judged = allowance(Tool.model_validate(saw), trip | {"tools": [axe]})
    assert known.allowance_g == known.allowance_p20_g == judged.allowance_g
    assert judged.allowance_p20_g is not None
    assert judged.allowance_p20_g <= known.allowance_g


def test_the_least_of_trips_is_taken_draw_by_draw() -> None:
    """The percentile of the least is no more than the least percentile."""
    saw = {"id": "saw", "mass_g": 300, "saw_score": 5.0, "saw_max_mm": 150}
    axe = {"id": "axe", "mass_g": 1000, "chop_score": 8.0, "chop_max_mm": 200}
    trips = [
        own(
            tasks=[{"task": "buck", "diameter_mm": 80, "per_day": cuts}],
            limits={"work_min_per_day": limit},
            tools=[axe],
        )
        for cuts, limit in ((10, 14), (8, 11))
    ]
    found = allowance(Tool.model_validate(saw), trips)
    each = [one.allowance_p20_g for one in found.trips]
    assert None not in each
    assert found.allowance_p20_g <= min(each)


@pytest.mark.parametrize("cells", [1, 7])
def test_blocks_of_draws_tell_what_all_draws_at_once_do(cells: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """So many tools, jobs and draws never stand in memory at once."""
    saw = Tool.model_validate({"id": "saw", "mass_g": 300, "saw_score": 5.0, "saw_max_mm": 150})
    axe = {"id": "axe", "mass_g": 1000, "chop_score": 8.0, "chop_max_mm": 200}
    tasks = [{"task": "buck", "diameter_mm": 80, "per_day": 10}]
    trip = own(tasks=tasks, limits={"work_min_per_day": 14}, tools=[axe])
    at_once = allowance(saw, trip)
    monkeypatch.setattr(case_blocks, "_MOST_CELLS", cells)
    assert allowance(saw, trip) == at_once
