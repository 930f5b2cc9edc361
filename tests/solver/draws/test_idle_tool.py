"""Tools of a kit that only go in case others turn out poor, by hand; the text of a sure kit names them."""

from typing import Any

import pytest

from solver import Trip, sure
from solver.draws.idle_tool import idle_tools
from solver.needs.question import question_of

pytestmark = pytest.mark.quick


def knife(name: str, *, carve: float, split: float = 0.0) -> dict[str, Any]:
    split_mm = 100 if split else 0
    scores = {"carve_score": carve, "carve_max_mm": 80, "split_score": split, "split_max_mm": split_mm}
    return {"id": name, "kind": "fixed knife", "mass_g": 100} | scores


CARVER, TWIN, SPLITTER = knife("carver", carve=9), knife("twin", carve=8.8), knife("splitter", carve=5, split=3)
AXE = knife("axe", carve=3, split=6) | {"kind": "axe", "mass_g": 900}
TRIP: dict[str, Any] = {
    "tools": [CARVER, TWIN, SPLITTER, AXE],
    "tasks": [
        {"task": "carve", "diameter_mm": 30, "per_day": 6},
        {"task": "split", "diameter_mm": 80, "per_day": 10},
    ],
    "knife": "none",
    "field_methods": False,
}


def idle(ids: str, **more: Any) -> list[str]:
    """The idle tools of a kit of the trip."""
    question = question_of(Trip.model_validate(TRIP | more))
    case, kinds = question.case, {tool.id: tool.kind for tool in question.workers.candidates.tools}
    return [case.ids[tool] for tool in idle_tools(case, case.kit(ids.split()), [kinds[name] for name in case.ids])]


@pytest.mark.parametrize(
    ("ids", "wanted"),
    [("carver", []), ("carver twin", ["twin"]), ("carver splitter", []), ("carver axe", []),
     ("twin splitter", []), ("splitter axe", []), ("carver splitter axe", ["splitter"])],
)  # fmt: skip
def test_a_knife_beside_better_ones_is_idle(ids: str, wanted: list[str]) -> None:
    """The splitter beside carver and axe too: the one carves faster, the other splits faster."""
    assert idle(ids) == wanted


@pytest.mark.parametrize(
    "more",
    [
        {"must_carry": ["twin"]},
        {"backup": "all"},
        {"tools": [CARVER | {"carve_life": 1.0}, TWIN, SPLITTER, AXE], "nights": 30},
    ],
    ids=["it must go", "a backup asks for it", "the better one wears out"],
)
def test_what_something_asks_for_is_not_idle(more: dict[str, Any]) -> None:
    assert idle("carver twin", **more) == []


def test_the_text_of_a_sure_kit_says_what_it_is_without() -> None:
    """Two knives, together surer than either: the second is named, with the draws of the first alone."""
    wide = {"carve_score_low": 4.0, "carve_score_high": 16.0}
    trip = TRIP | {
        "tools": [CARVER, TWIN | wide],
        "tasks": TRIP["tasks"][:1],
        "limits": {"work_min_per_day": 22},
        "assumptions": {"carve_minutes": 3, "pace": 1},
    }
    alone = sure(trip | {"only": ["carver"]}, {"draws": 64, "confidence": 0.5}).at_confidence
    both = sure(trip, {"draws": 64, "confidence": 0.75}).at_confidence
    assert alone is not None and both is not None
    assert both.kit.ids == ["carver", "twin"]
    served = round(alone.probability * 64)
    assert both.text.endswith(
        f" twin only goes in case another turns out poor: without it the kit suffices in {served} of the 64 draws."
    )
    assert "only goes" not in alone.text
