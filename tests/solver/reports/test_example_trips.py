"""The invented trips end to end, with what an experienced traveller would insist on (common practice, no source)."""

from functools import cache

import pytest
from oracle import Row

from api.examples.invented import example_trips
from catalog import tools
from solver import Trip, plan

pytestmark = pytest.mark.quick

EDGED_KINDS = {"fixed knife", "folding knife", "carving knife", "long knife"}


@cache
def planned(name: str) -> Row:
    """The answer to an example."""
    answer: Row = plan(Trip.model_validate(example_trips()[name])).model_dump(mode="json")
    return answer


def able(answer: Row, task: str) -> list[str]:
    """Carried tools that can do a task at all."""
    rows = {tool.id: tool for tool in tools()}
    return [one["id"] for one in answer["kit"]["tools"] if getattr(rows[one["id"]], f"{task}_score") > 0]


def done_by_tools(answer: Row, work: str) -> float:
    """Kilograms of firewood a day that carried tools cut or split."""
    carried = {tool["id"] for tool in answer["kit"]["tools"]}
    parts = [part for one in answer["workings"] for part in one[work] if part["part"] != "pieces"]
    return sum(part["kg_per_day"] for part in parts if part["id"] in carried)


@pytest.mark.parametrize("name", example_trips())
def test_every_example_is_planned_and_proven(name: str) -> None:
    """Optimal, within its own limits, with cautions and the assumptions it rests on."""
    answer, trip = planned(name), example_trips()[name]
    assert answer["status"] == "optimal"
    assert answer["gaps"] == []
    assert answer["proof"]["gap_g"] == 0
    assert answer["kit"]["work_min_per_day"] <= trip.get("limits", {}).get("work_min_per_day", 90)
    assert all(need["minutes_per_day"] is not None and need["because"]["text"] for need in answer["needs"])
    assert {"defer", "law-blades", "fire-rules"} <= {one["code"] for one in answer["cautions"]}
    assert answer["assumptions"]


@pytest.mark.parametrize("name", example_trips())
def test_no_kit_carries_what_it_does_not_use(name: str) -> None:
    """Every tool has a reason; every reason names something that is there."""
    answer = planned(name)
    carried = {tool["id"] for tool in answer["kit"]["tools"]}
    assert {reason["tool"] for reason in answer["reasons"] if reason["tool"]} == carried | set(answer["kit"]["methods"])


@pytest.mark.parametrize("name", example_trips())
def test_fragile_tools_carry_no_trip(name: str) -> None:
    """A wire saw is for a day's emergency, not for a week of firewood."""
    assert "wire saw" not in {tool["kind"] for tool in planned(name)["kit"]["tools"]}


def test_summer_alpine_is_a_pocket_knife_and_bare_hands() -> None:
    """Under 150 g, dead limbs broken by hand, under a quarter of an hour a day."""
    answer = planned("summer-alpine")
    assert answer["kit"]["mass_g"] < 150
    assert {tool["kind"] for tool in answer["kit"]["tools"]} <= EDGED_KINDS
    assert answer["kit"]["methods"] == ["break-by-hand"]
    assert answer["kit"]["work_min_per_day"] < 15
    assert sum(one["kg_per_day"] for one in answer["workings"]) < 1.5


def test_wet_autumn_carries_something_that_splits_and_something_that_carves() -> None:
    """Rain leaves dry wood only inside: every round is opened by a carried blade, feather sticks are cut."""
    answer = planned("wet-autumn")
    kg = sum(one["kg_per_day"] for one in answer["workings"])
    assert able(answer, "split") and able(answer, "carve")
    assert done_by_tools(answer, "split") == pytest.approx(kg)
    (kindling,) = [need for need in answer["needs"] if need["id"] == "kindling"]
    assert {part["id"] for part in kindling["done_with"]} <= set(able(answer, "carve"))
    assert 250 < answer["kit"]["mass_g"] < 1200
    assert 5 < kg < 12


def test_deep_winter_saws_and_splits() -> None:
    """More wood than thin limbs give: thick wood is sawn and opened, snow is melted."""
    answer = planned("deep-winter")
    kg = sum(one["kg_per_day"] for one in answer["workings"])
    assert able(answer, "saw") and able(answer, "split")
    assert done_by_tools(answer, "buck") > 1
    assert done_by_tools(answer, "split") > 1
    assert max(one["diameter_mm"] for one in answer["workings"]) > 75
    assert "snow-melt" in {need["id"] for need in answer["needs"]}
    assert 12 < kg < 35
    assert answer["kit"]["mass_g"] > planned("summer-alpine")["kit"]["mass_g"] * 4


def test_stream_survey_saws_splits_and_carves_with_a_kit_of_a_working_party() -> None:
    """Logs of 110 mm a dozen times a day: a saw and a blade long enough to baton with."""
    answer = planned("stream-survey")
    assert able(answer, "saw") and able(answer, "split") and able(answer, "carve")
    assert 400 < answer["kit"]["mass_g"] < 2000
    (split,) = [need for need in answer["needs"] if need["id"] == "split-110"]
    assert split["spare_mm"] >= 0


def test_one_round_to_split_takes_one_light_tool() -> None:
    """The least trip there is: something that starts a cleft, under half a kilogram."""
    answer = planned("least")
    assert len(answer["kit"]["tools"]) == 1
    assert answer["kit"]["mass_g"] < 500


def test_less_time_a_day_makes_the_winter_kit_heavier_step_by_step() -> None:
    """Grams buy minutes: from two hours of wood work a day down to less than half an hour."""
    trip = example_trips()["deep-winter"]
    kits = [
        plan(Trip.model_validate({"detail": "kit"} | trip | {"limits": {"work_min_per_day": minutes}})).kit.mass_g
        for minutes in (120, 60, 45, 26)
    ]
    assert kits == sorted(kits)
    assert kits[-1] > 2 * kits[0]
