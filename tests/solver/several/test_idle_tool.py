"""Tools without work of their own as assumed: by hand, and random kits by a second telling of the rule."""

from random import Random
from typing import Any

import pytest
from idle_kits import has_idle_tool
from random_trips import random_trip
from random_wood_trips import random_wood_trip

from solver import Trip, sure
from solver.needs.question import question_of
from solver.search.branching_data import BranchingData
from solver.several.idle_tool import IdleTools

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


def laid_out(form: dict[str, Any]) -> tuple[Any, BranchingData, IdleTools]:
    case = question_of(Trip.model_validate(form)).case
    rules = BranchingData([case])
    return case, rules, IdleTools(case, rules)


def idle(ids: str, **more: Any) -> list[str]:
    """The idle tools of a kit of the trip."""
    case, rules, found = laid_out(TRIP | more)
    return [case.ids[int(rules.order[tool])] for tool in found.in_kit(rules.of(case.kit(ids.split())))]


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


@pytest.mark.parametrize("draw", [random_trip, random_wood_trip])
def test_random_kits_by_a_second_telling(draw: Any) -> None:
    """And what may join a kit: those with which none is idle."""
    rng, seen = Random(8), [0, 0]
    for _ in range(12):
        case, rules, found = laid_out(draw(rng, fewest=5, most=9))
        for _ in range(10):
            kit = frozenset(rng.sample(range(case.tools), rng.randint(0, min(4, case.tools))))
            mask = rules.of(kit)
            told = has_idle_tool(case, [case.ids[tool] for tool in kit])
            assert bool(found.in_kit(mask)) == told
            seen[told] += 1
            alone = found.without(mask)
            assert not found.in_kit(alone)
            every = (1 << case.tools) - 1 & ~alone
            joining = found.beside(alone, every)
            for tool in range(case.tools):
                if every >> tool & 1:
                    ids = [case.ids[one] for one in rules.kit(alone | 1 << tool)]
                    assert bool(joining >> tool & 1) != has_idle_tool(case, ids)
    assert min(seen) > 10


def test_a_sure_kit_has_no_twin_though_both_are_surer() -> None:
    """Two knives, together surer than either: only who says that both go gets both."""
    wide = {"carve_score_low": 4.0, "carve_score_high": 16.0}
    trip = TRIP | {
        "tools": [CARVER, TWIN | wide],
        "tasks": TRIP["tasks"][:1],
        "limits": {"work_min_per_day": 22},
        "assumptions": {"carve_minutes": 3, "pace": 1},
    }
    asked = {"draws": 64, "confidence": 0.5}
    alone, both = sure(trip, asked), sure(trip | {"must_carry": ["carver", "twin"]}, asked).at_confidence
    assert alone.at_confidence is not None and both is not None
    assert len(alone.at_confidence.kit.ids) == 1
    assert all(len(step.ids) == 1 for step in alone.curve)
    assert both.probability > max(step.probability for step in alone.curve)
    more = sure(trip, {"draws": 64, "confidence": both.probability})
    assert more.at_confidence is None
    assert more.gaps
