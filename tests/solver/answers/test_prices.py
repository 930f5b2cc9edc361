"""Prices in grams: the difference of two separate plans, by brute force over every kit."""

from random import Random

import pytest
from every_kit import covered_trip, covered_wood_trip, least_cg, left_home, without_task
from oracle import Row, counts_as_knife, knives_asked, usable_tools
from service import kit_of
from stated_trips import own

from solver import Effort, plan

pytestmark = pytest.mark.quick

FIRE_WITHOUT: dict[str, Row] = {
    "hot-water": {"hot_water_l_per_person": 0},
    "snow-melt": {"melt_snow": False},
    "warmth": {"warmth_h": 0},
    "drying": {"drying_h": 0},
}


def cg(grams: float) -> int:
    """Whole 0.01 g."""
    return round(grams * 100)


def expect_need_prices(trip: Row, answer: Row) -> None:
    """Each need's price is the lightest kit's mass less that of the trip without the need."""
    now, stated = least_cg(trip), len(trip["tasks"])
    assert cg(answer["kit"]["mass_g"]) == now
    for number, row in enumerate(answer["needs"][:stated]):
        assert cg(row["price_g"]) == now - (least_cg(without_task(trip, number)) or 0), row["id"]
    for row in answer["needs"]:
        if row["task"] in FIRE_WITHOUT:
            other = trip | {"fire": trip["fire"] | FIRE_WITHOUT[row["task"]]}
            assert cg(row["price_g"]) == now - (least_cg(other) or 0), row["id"]
    derived = [row for row in answer["needs"][stated:] if row["task"] not in FIRE_WITHOUT]
    for number, row in enumerate(derived[: len(trip.get("camp_work", []))]):
        work = trip["camp_work"]
        other = trip | {"camp_work": work[:number] + work[number + 1 :]}
        assert cg(row["price_g"]) == now - (least_cg(other) or 0), row["id"]


def is_last_knife(trip: Row, name: str) -> bool:
    """Whether no other knife could stay in the pack: the trip asks for one as long as this may go."""
    knives = [tool["id"] for tool in usable_tools(trip) if counts_as_knife(tool, trip)]
    return knives_asked(trip) > 0 and knives == [name]


def expect_tool_prices(trip: Row, answer: Row) -> None:
    """Each tool's price is the mass of the plan with it at home, less the lightest; null where there is none."""
    now = least_cg(trip)
    for tool in answer["kit"]["tools"]:
        without = None if is_last_knife(trip, tool["id"]) else least_cg(left_home(trip, tool["id"]))
        price = None if tool["price_g"] is None else cg(tool["price_g"])
        assert price == (None if without is None else without - now), tool["id"]


@pytest.mark.parametrize("number", range(30))
def test_prices_are_differences_of_two_plans(number: int) -> None:
    """Needs dropped and tools left at home, one by one, with every rule of a stated trip on now and then."""
    trip = covered_trip(Random(f"prices {number}"), most=8)
    answer = kit_of(trip | {"alternatives": 0})
    expect_need_prices(trip, answer)
    expect_tool_prices(trip, answer)


@pytest.mark.parametrize("number", range(8))
def test_prices_with_firewood_camp_work_and_wear(number: int) -> None:
    """The uses of a fire and pieces of camp work have prices too; a lost sharpener or spare counts."""
    trip = covered_wood_trip(Random(f"wood prices {number}"), most=5)
    answer = kit_of(trip | {"alternatives": 0})
    expect_need_prices(trip, answer)
    expect_tool_prices(trip, answer)


@pytest.mark.parametrize("number", range(5))
def test_price_of_a_need_agrees_with_the_service_asked_twice(number: int) -> None:
    """Seen from outside: the two plans are asked for, and so is the one with a tool at home."""
    trip = covered_trip(
        Random(f"asked twice {number}"), most=8, wanted=lambda one, kits: len(one["tasks"]) > 1 and bool(kits[0].ids)
    )
    answer = kit_of(trip | {"alternatives": 0})
    other = kit_of(without_task(trip, 0) | {"detail": "kit"})
    assert cg(answer["needs"][0]["price_g"]) == cg(answer["kit"]["mass_g"]) - cg(other["kit"]["mass_g"])
    tool = answer["kit"]["tools"][0]
    without = kit_of(left_home(trip, tool["id"]) | {"detail": "kit"})
    if tool["price_g"] is None:
        assert without["status"] == "uncovered" or is_last_knife(trip, tool["id"])
    else:
        assert cg(tool["price_g"]) == cg(without["kit"]["mass_g"]) - cg(answer["kit"]["mass_g"])


def test_a_need_that_is_dropped_frees_the_time_of_all_its_parts() -> None:
    """Rounds are opened, then split small, both by the froe; without them there is time to chop with it too."""
    froe = {"id": "froe", "mass_g": 200, "split_score": 4, "split_max_mm": 200, "chop_score": 0.5, "chop_max_mm": 150}
    axe = {"id": "axe", "mass_g": 200, "chop_score": 7.5, "chop_max_mm": 150}
    tasks = [{"task": "split", "diameter_mm": 120, "per_day": 6}, {"task": "chop", "diameter_mm": 100}]
    trip = own(froe, axe) | {"tasks": tasks, "knife": "none", "must_carry": ["froe"]}
    alone = plan(trip | {"tasks": tasks[1:], "leave_home": ["axe"]})
    both = plan(trip | {"limits": {"work_min_per_day": alone.kit.work_min_per_day}})
    assert both.kit.mass_g == 400
    assert [need.price_g for need in both.needs] == [200, 200]


@pytest.mark.parametrize(("light_g", "others_g"), [(100, (115, 130)), (92, (120.5, 119))])
def test_of_many_knives_of_a_sort_each_may_grow_up_to_the_next_with_as_few_solves_as_of_three(
    light_g: float, others_g: tuple[float, float]
) -> None:
    """Each of the party carries one: at the growth told a kit of the others weighs as much, beyond it less."""
    masses = (light_g, *others_g)
    solves = []
    for people in (3, 12):
        trip = each_with_a_knife(masses, people)
        count: list[None] = []
        answer = plan(trip, effort=Effort(on_solve=lambda count=count: count.append(None)))
        solves.append(len(count))
        assert answer.pins is not None
        (pin,) = answer.pins.tools
        assert (pin.id, pin.mass_may_grow_g) == ("k0", pytest.approx(min(others_g) - light_g))
        assert answer.kit.tools[0].price_g == pytest.approx(people * (min(others_g) - light_g))
    assert abs(solves[0] - solves[1]) <= 1


def each_with_a_knife(masses: tuple[float, ...], people: int) -> Row:
    """A trip of so many people who carry a knife each, of knives that do the same; invented."""
    knives = [
        {"id": f"k{n}", "kind": "fixed knife", "mass_g": mass, "carve_score": 5, "carve_max_mm": 100}
        for n, mass in enumerate(masses)
    ]
    carving = {"task": "carve", "diameter_mm": 20, "per_day": people}
    limits = {"work_min_per_day": 60 * people}
    return {"tools": knives, "people": people, "nights": 2, "knife": "each", "tasks": [carving], "limits": limits}
