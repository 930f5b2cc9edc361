"""How long the wood around one camp lasts: a caution from the kilograms that the kit burns, worked out by hand.

The usual reach, and that of so many days lying around a camp, are assumptions of the project (judged, no source).
"""

from typing import Any

import pytest
from service import kit_of

from catalog import assumptions

pytestmark = pytest.mark.quick

FIRE: dict[str, Any] = {"people": 2, "fire": {"hot_water_l_per_person": 2, "warmth_h": 2}, "air_c": 8, "detail": "kit"}


def told(trip: dict[str, Any]) -> tuple[list[str], set[str]]:
    """The words of the caution, and the assumptions of an answer."""
    answer = kit_of(trip)
    texts = [one["text"] for one in answer["cautions"] if one["code"] == "wood-used-up"]
    return texts, {one["id"] for one in answer["assumptions"]}


def test_a_long_stay_uses_up_the_wood_near_camp() -> None:
    """Reach by the day times days, over what is burned a day; told from the first night on that is past it."""
    (row,) = kit_of(FIRE | {"nights": 30})["workings"]
    lasts = int(row["reach_kg_per_day"] * assumptions()["reach_nights"].value / row["kg_per_day"])
    assert lasts >= 7
    ((text,), figures) = told(FIRE | {"nights": 30})
    assert f"the wood of {row['diameter_mm']:g} mm that this kit burns is used up after some {lasts} of the 30" in text
    assert "reach_nights" in figures
    assert len(told(FIRE | {"nights": lasts + 1})[0]) == 1
    assert told(FIRE | {"nights": lasts})[0] == []


def test_where_the_wood_lasts_nothing_is_told() -> None:
    """One night reads no figure; own days count; wood that the trip states is its own word; without fire none burns."""
    short = told(FIRE | {"nights": 1})
    assert (short[0], "reach_nights" in short[1]) == ([], False)
    own = told(FIRE | {"nights": 30, "assumptions": {"reach_nights": 60}})
    assert (own[0], "reach_nights" in own[1]) == ([], True)
    stated = {"wood": {"diameters": [{"mm": 40, "reach_kg_per_day": 4}]}}
    assert told(FIRE | {"nights": 30} | stated)[0] == []
    assert told(FIRE | {"nights": 30, "fire": FIRE["fire"] | {"allowed": False}})[0] == []
