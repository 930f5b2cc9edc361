"""Which poles may be broken: stakes, cranes and notched poles are cut (common practice, no source)."""

import pytest
from oracle import Row

from catalog.equipment.camp_work import camp_items
from solver import Trip, plan

pytestmark = pytest.mark.quick

KNIFE: Row = {"id": "knife", "mass_g": 90, "carve_score": 10, "carve_max_mm": 60}
SAW: Row = {"id": "saw", "mass_g": 150, "saw_score": 4, "saw_max_mm": 90}


def kit_for(work: str, *tools: Row) -> tuple[str, list[str], list[str]]:
    """Status, kit and needs of one piece of camp work."""
    trip: Row = {"camp_work": [{"id": work, "per_trip": 1}], "tools": list(tools)}
    answer = plan(Trip.model_validate(trip))
    return answer.status, [tool.id for tool in answer.kit.tools], [need.id for need in answer.needs]


def test_a_plain_pole_is_broken_and_a_stake_is_not() -> None:
    """Nothing is carried for a tripod's legs (40 mm, by hand), a saw for a stake of 50 mm."""
    assert kit_for("tripod-leg", KNIFE, SAW)[:2] == ("optimal", [])
    assert kit_for("snow-stake", KNIFE, SAW)[:2] == ("optimal", ["saw"])


def test_a_pot_crane_asks_for_its_pole() -> None:
    """The pole is cut, then notched; a knife alone leaves the pole uncovered."""
    assert kit_for("pot-crane", KNIFE, SAW) == ("optimal", ["knife", "saw"], ["pot-crane", "crane-pole"])
    status, kit, _ = kit_for("pot-crane", KNIFE)
    assert (status, kit) == ("uncovered", ["knife"])


def test_only_what_is_cut_to_length_may_be_broken_and_pieces_bring_known_work() -> None:
    """A chain of what comes with what would not end."""
    for item in camp_items().values():
        assert item.broken or item.task == "buck", item.id
        if item.comes_with is not None:
            assert camp_items()[item.comes_with].comes_with is None
