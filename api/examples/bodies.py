"""Example bodies of the further questions, all invented."""

from functools import cache
from typing import Any

from api.examples import design_examples, examples

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
            {"field": "drawing.blade.length_mm", "low": 190, "high": 250, "steps": 4},
            {"field": "drawing.blade.spine_mm", "low": 3.5, "high": 5, "steps": 4},
            {"field": "drawing.steel", "values": ["5160", "A2"]},
        ],
        "trip": examples()["stream-survey"],
        "limits": {"slenderness": 60},
        "against": "margin",
    }
