"""Example bodies of stored catalogs and trials, all invented."""

from typing import Any

from catalog import Tool
from catalog.equipment.tool_text import tools_text
from catalog.trials.trial import Trial, trial_csv


def _hut_tools() -> list[dict[str, Any]]:
    """Return the invented tools of an invented hut, as rows with nothing left out."""
    said: list[dict[str, Any]] = [
        {"id": "hut-saw", "name": "The hut's bow saw", "kind": "bow saw", "mass_g": 640, "cover_g": 60},
        {"id": "hut-hatchet", "name": "The hut's hatchet", "kind": "hatchet", "mass_g": 610, "cover_g": 55},
    ]
    said[0] |= {"saw_score": 9, "saw_max_mm": 200, "packed_mm": 640, "score_source": "invented-demo"}
    said[1] |= {"split_score": 5, "split_max_mm": 150, "chop_score": 5, "chop_max_mm": 120, "price": 40}
    return [Tool.model_validate(row).model_dump(mode="json") for row in said]


HUT: dict[str, Any] = {"note": "Invented: the tools of a hut", "tools": _hut_tools()}
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
