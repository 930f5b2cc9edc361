"""Example bodies of the further questions, all invented."""

from functools import cache
from typing import Any

from api.examples.invented import design_examples, examples
from catalog import Tool
from catalog.equipment.tool_text import tools_text
from catalog.trials.trial import Trial, trial_csv

LONG_KNIFE = {
    "id": "one-purpose-knife",
    "kind": "long knife",
    "split_score": 3,
    "split_max_mm": 180,
    "carve_score": 8,
    "carve_max_mm": 80,
}


@cache
def bodies() -> dict[str, Any]:
    """Return an example body by question."""
    survey, least = examples()["stream-survey"], examples()["least"]
    return {
        "front": {"trip": survey, "against": "minutes"},
        "check": {"kit": ["hatchet-600", "fixed-knife-90"], "trip": survey},
        "confidence": {
            "trip": least,
            "scenarios": [
                {"weight": 7, "wood": {"species": "white-spruce"}},
                {"weight": 3, "wood": {"species": "paper-birch", "knotty": True}},
            ],
            "diameter_range": {"low_factor": 0.7, "high_factor": 1.3, "parts": 3},
            "confidence": 0.8,
        },
        "season": {"trips": [{"weight": 3, "trip": survey}, {"weight": 1, "trip": least}], "own_at_most": 4},
        "allowance": {"tool": LONG_KNIFE, "trip": survey},
    }


def sweep_example() -> dict[str, Any]:
    """Return an example of a sweep."""
    return {
        "design": design_examples()["long-knife"],
        "vary": [
            {"field": "drawing.blade.length_mm", "low": 180, "high": 240, "steps": 4},
            {"field": "drawing.blade.spine_mm", "low": 4.5, "high": 6, "steps": 4},
            {"field": "drawing.steel", "values": ["5160", "A2"]},
        ],
        "trip": examples()["stream-survey"],
        "limits": {"slenderness": 60, "margin": 0.2},
        "against": "margin",
    }


def hut_tools() -> list[dict[str, Any]]:
    """Return the invented tools of an invented hut, as rows with nothing left out."""
    said: list[dict[str, Any]] = [
        {"id": "hut-saw", "name": "The hut's bow saw", "kind": "bow saw", "mass_g": 640, "cover_g": 60},
        {"id": "hut-hatchet", "name": "The hut's hatchet", "kind": "hatchet", "mass_g": 610, "cover_g": 55},
    ]
    said[0] |= {"saw_score": 9, "saw_max_mm": 200, "packed_mm": 640, "score_source": "invented-demo"}
    said[1] |= {"split_score": 5, "split_max_mm": 150, "chop_score": 5, "chop_max_mm": 120, "price": 40}
    return [Tool.model_validate(row).model_dump(mode="json") for row in said]


HUT: dict[str, Any] = {"note": "Invented: what hangs on the wall of a hut", "tools": hut_tools()}
HUT_TABLE = tools_text([Tool.model_validate(row) for row in HUT["tools"]])
HUT_CHANGE: dict[str, Any] = {
    "tools": [{"id": "hut-knife", "kind": "fixed knife", "mass_g": 95, "carve_score": 8, "carve_max_mm": 60}],
    "drop": ["hut-hatchet"],
}
HUT_TRIALS: dict[str, Any] = {
    "trials": [
        {"tool": "hut-saw", "task": "saw", "diameter_mm": 90, "count": 4, "minutes": minutes}
        for minutes in (1.0, 0.9, 1.1, 0.95, 1.05, 2.4)
    ]
}
HUT_TRIALS_TABLE = trial_csv([Trial.model_validate(one) for one in HUT_TRIALS["trials"]])
