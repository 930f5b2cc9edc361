"""What an answer tells of the biggest unknowns and of what to time first: laws that hold on any trip."""

from typing import Any

import pytest
from scipy.stats import binomtest

from api.examples.invented import example_trips
from catalog import tools
from solver import Trip, sure

pytestmark = pytest.mark.quick

GOING = {
    "carving-knife-60",
    "fixed-knife-90-hidden",
    "fixed-knife-120",
    "folding-saw-240",
    "folding-saw-270",
    "folding-saw-360",
    "pruning-saw-400",
}
WORK = {
    "tasks": [
        {"task": "saw", "diameter_mm": 110, "per_day": 24},
        {"task": "carve", "diameter_mm": 30, "per_day": 8},
    ],
    "knife": "none",
    "limits": {"work_min_per_day": 100},
    "tools": [tool.model_dump(exclude_none=True) for tool in tools() if tool.id in GOING],
}
ASKED = {"draws": 128, "confidence": 0.9}


def does_best(form: dict[str, Any], tool: str, task: str, ids: list[str]) -> bool:
    """Whether a kit holds a tool, and none of a better score at a task."""
    rows = {row["id"]: row for row in form.get("tools") or [tool.model_dump() for tool in tools()]}
    return tool in ids and rows[tool][f"{task}_score"] == max(rows[one][f"{task}_score"] or 0 for one in ids)


@pytest.mark.parametrize("form", [WORK, example_trips()["least"]], ids=["work", "least"])
def test_unknowns_are_told_of_the_kit_that_is_sure_enough(form: dict[str, Any]) -> None:
    answer = sure(form, ASKED)
    assert answer.not_settled == []
    assert answer.at_confidence is not None
    assert answer.what_matters
    fresh, kit = answer.at_confidence.fresh, answer.at_confidence.kit
    for one in answer.what_matters:
        thirds = (one.suffices_low, one.suffices_middle, one.suffices_high)
        assert sum(thirds) / 3 == pytest.approx(fresh.probability, abs=1e-3)
        assert one.id in answer.drawn or one.tool is not None
        assert {one.minutes, one.sufficing, one.grams} != {None}
    for what in ("minutes", "sufficing"):
        shares = [share.index for one in answer.what_matters if (share := getattr(one, what)) is not None]
        assert sum(shares) < 1.1
    for trial in answer.suggested_trials:
        assert trial.saves_g > 0
        assert trial.expected_g + trial.saves_g == pytest.approx(kit.mass_g)
        assert trial.expected_g >= min(step.mass_g for step in trial.steps)
        assert any(does_best(form, trial.tool, trial.task, step.ids) for step in trial.steps)
        low = binomtest(round(trial.probability * trial.draws), trial.draws).proportion_ci(0.98, "exact").high
        assert low > min(0.9, fresh.probability)


def test_timing_saves_grams_where_kits_are_near_and_nothing_where_all_is_known() -> None:
    """With every figure stated that a trial tells, and exact scores, none is left to tell."""
    assert sure(WORK, ASKED).suggested_trials
    exact = []
    for row in WORK["tools"]:
        ends = [(task, end) for task in ("split", "saw", "carve", "chop") for end in ("low", "high")]
        scores = {f"{task}_score_{end}": row[f"{task}_score"] for task, end in ends if row[f"{task}_score"]}
        exact.append(row | scores)
    stated = {"pace": 1.0, "saw_rate": 300.0, "carve_minutes": 3.0}
    known = sure(WORK | {"assumptions": stated, "tools": exact}, ASKED)
    assert known.suggested_trials == []
    assert not {one.id for one in known.what_matters} & {*stated, *(f"{tool}.saw" for tool in GOING)}


def test_one_seed_tells_the_same_unknowns() -> None:
    trip = Trip.model_validate(WORK)
    assert sure(trip, ASKED).model_dump_json() == sure(trip, ASKED).model_dump_json()
