"""What grams cost in walking against what they save in wood work."""

from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from oracle import Row
from random_wood_trips import random_wood_trip

from api.examples.invented import example_trips
from catalog import assumed
from catalog.walking.labour import activity_of, net_kcal_per_min
from catalog.walking.route import carrying_cost
from solver import Trip, plan

pytestmark = pytest.mark.quick

TINY = 1e-5
ROUTES: list[Row] = [
    {"km_per_day": 12, "climb_m_per_day": 400, "terrain": "light-brush", "body_kg": 80, "pack_kg": 15},
    {"km_per_day": 20, "climb_m_per_day": 0, "terrain": "blacktop", "body_kg": 60, "pack_kg": 8},
    {"km_per_day": 6, "climb_m_per_day": 900, "terrain": "hard-snow", "body_kg": 95, "pack_kg": 25},
]


def answer_to(trip: Row) -> Row:
    """The answer as JSON values."""
    answer: Row = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json")
    return answer


def ids(answer: Row) -> list[str]:
    """Ids of the carried tools."""
    return [tool["id"] for tool in answer["kit"]["tools"]]


def total_kcal(side: Row) -> float:
    """Carrying and working."""
    return float(side["carry_kcal_per_person_day"] + side["work_kcal_per_person_day"])


@pytest.mark.parametrize("route", ROUTES)
def test_both_models_of_the_answer_are_those_of_the_catalog(route: Row) -> None:
    """Pandolf with Santee's downhill term, and LCDA 2022; their published checks are the catalog's tests."""
    answer = answer_to(example_trips()["wet-autumn"] | {"route": route})
    cost, effort = carrying_cost(**route), answer["effort"]
    assert effort["kcal_per_100g_day"] == pytest.approx(100 * cost.pandolf_santee_kcal_per_g, abs=TINY)
    assert effort["kcal_per_100g_day_lcda"] == pytest.approx(100 * cost.lcda_kcal_per_g, abs=TINY)
    assert effort["walking_h_per_day"] == pytest.approx(cost.walking_h, abs=TINY)
    carried = cost.pandolf_santee_kcal_per_g * answer["kit"]["mass_g"]
    assert answer["kit"]["carry_kcal_per_day"] == pytest.approx(carried, abs=TINY)


def test_a_route_left_out_is_the_assumed_one() -> None:
    """Way, climb, body and pack of the assumptions, on a dirt road."""
    usual = {"km_per_day": assumed("route_km"), "climb_m_per_day": assumed("route_climb"), "terrain": "dirt-road"}
    usual |= {"body_kg": assumed("body_kg"), "pack_kg": assumed("pack_kg")}
    trip = example_trips()["wet-autumn"]
    assert answer_to(trip)["effort"] == answer_to(trip | {"route": usual})["effort"]


def test_next_to_no_work_still_has_a_break_even() -> None:
    """A drop of hot water takes less than the last digit of a minute; a minute costs what it does for litres."""
    drop, litre = (answer_to({"fire": {"hot_water_l_per_person": litres}}) for litres in (1e-7, 1))
    assert drop["effort"]["break_even_min_per_100g"] == pytest.approx(litre["effort"]["break_even_min_per_100g"])


def test_the_effect_has_the_size_of_the_published_models() -> None:
    """100 g cost 1.2 to 1.5 kcal on a day of 12 km and 400 m with 15 kg (derived from both models)."""
    effort = answer_to(example_trips()["wet-autumn"] | {"route": ROUTES[0]})["effort"]
    assert effort["kcal_per_100g_day"] == pytest.approx(1.17, rel=0.06)
    assert effort["kcal_per_100g_day_lcda"] == pytest.approx(1.50, rel=0.06)


def test_work_is_counted_by_the_mets_less_rest() -> None:
    """Carving only: 3.0 METs (Compendium 2011, 09080) less one, for a body of 80 kg."""
    trip = {"tasks": [{"task": "carve", "diameter_mm": 20, "per_day": 4}], "route": {"body_kg": 80}}
    answer = answer_to(trip)
    assert activity_of("carve").met == 3.0
    per_min = net_kcal_per_min(met=3.0, body_kg=80)
    assert per_min == pytest.approx(2 * 80 / 60)
    assert answer["kit"]["work_kcal_per_day"] == pytest.approx(per_min * answer["kit"]["work_min_per_day"], rel=TINY)


@pytest.mark.parametrize("aim", ["mass", "effort", "work_time"])
@pytest.mark.parametrize("name", example_trips())
def test_chosen_and_lightest_kit_are_both_shown(name: str, aim: str) -> None:
    """The chosen side is the kit's, per person; the lightest side is what aim mass would choose."""
    trip = example_trips()[name] | {"aim": aim}
    answer, lightest = answer_to(trip), answer_to(trip | {"aim": "mass"})
    effort, kit, people = answer["effort"], answer["kit"], trip.get("people", 1)
    assert effort["aim"] == aim
    assert (effort["chosen"]["ids"], effort["lightest"]["ids"]) == (ids(answer), ids(lightest))
    assert effort["chosen"]["mass_g"] == kit["mass_g"] >= effort["lightest"]["mass_g"] == lightest["kit"]["mass_g"]
    assert effort["chosen"]["carry_kcal_per_person_day"] * people == pytest.approx(kit["carry_kcal_per_day"], abs=TINY)
    assert effort["chosen"]["work_kcal_per_person_day"] * people == pytest.approx(kit["work_kcal_per_day"], abs=TINY)
    assert effort["chosen"]["work_min_per_day"] == kit["work_min_per_day"]


@pytest.mark.parametrize("aim", ["mass", "effort", "work_time"])
@pytest.mark.parametrize("name", example_trips())
def test_another_aim_than_mass_says_what_it_buys(name: str, aim: str) -> None:
    """The lightest kit beside the chosen one: grams more, minutes and kcal less, of the two plans."""
    trip = example_trips()[name] | {"aim": aim}
    answer, lightest = answer_to(trip), answer_to(trip | {"aim": "mass"})
    told = [reason for reason in answer["reasons"] if reason["code"] == "aim-buys"]
    assert len(told) == (aim != "mass")
    for reason in told:
        facts, kit, other = reason["facts"], answer["kit"], lightest["kit"]
        assert facts["lightest_g"] == other["mass_g"]
        assert facts["more_g"] == pytest.approx(kit["mass_g"] - other["mass_g"], abs=TINY)
        assert f"{facts['more_g']:g} g more" in reason["text"]
        kcal = [total_kcal(answer["effort"][side]) for side in ("lightest", "chosen")]
        assert facts["less_kcal_per_day"] == pytest.approx((kcal[0] - kcal[1]) * trip.get("people", 1), abs=10 * TINY)
        if aim == "work_time":  # for least effort a day is shared out otherwise
            less = other["work_min_per_day"] - kit["work_min_per_day"]
            assert facts["less_min_per_day"] == pytest.approx(less, abs=TINY) and less >= 0
        else:
            assert facts["less_kcal_per_day"] >= -TINY


def test_an_aim_that_buys_nothing_says_so() -> None:
    """One tool is all there is."""
    saw = {"id": "saw", "kind": "folding saw", "mass_g": 200, "saw_score": 5, "saw_max_mm": 200}
    answer = answer_to({"tasks": [{"task": "saw", "diameter_mm": 80}], "tools": [saw], "aim": "effort"})
    (text,) = [reason["text"] for reason in answer["reasons"] if reason["code"] == "aim-buys"]
    assert text == "The lightest kit is this one too."


@pytest.mark.parametrize("aim", ["mass", "effort", "work_time"])
@pytest.mark.parametrize("name", example_trips())
def test_the_break_even_is_grams_over_minutes(name: str, aim: str) -> None:
    """Minutes of wood work that 100 g must save: kcal of 100 g over kcal of a minute of this kit's work."""
    answer = answer_to(example_trips()[name] | {"aim": aim})
    kit, effort = answer["kit"], answer["effort"]
    per_min = kit["work_kcal_per_day"] / kit["work_min_per_day"]
    assert effort["break_even_min_per_100g"] == pytest.approx(effort["kcal_per_100g_day"] / per_min, abs=TINY)


@pytest.mark.parametrize("name", example_trips())
def test_each_aim_is_best_at_what_it_aims_at(name: str) -> None:
    """Grams, kilocalories and minutes of the three aims, each against the other two."""
    mass, effort, time = (answer_to(example_trips()[name] | {"aim": aim}) for aim in ("mass", "effort", "work_time"))
    for other in (mass, time):
        assert total_kcal(effort["effort"]["chosen"]) <= total_kcal(other["effort"]["chosen"]) + TINY
    for other in (mass, effort):
        assert time["kit"]["work_min_per_day"] <= other["kit"]["work_min_per_day"] + TINY
    for other in (effort, time):
        assert mass["kit"]["mass_g"] <= other["kit"]["mass_g"]
    assert time["kit"]["mass_g"] > mass["kit"]["mass_g"]


@settings(max_examples=60)
@given(st.randoms(use_true_random=False))
def test_aim_effort_never_costs_more_than_aim_mass(rng: Random) -> None:
    """Nor than its own lightest side, on any trip that is covered."""
    trip = random_wood_trip(rng, fewest=4, most=9)
    effort, mass = (answer_to(trip | {"aim": aim}) for aim in ("effort", "mass"))
    assert effort["status"] == mass["status"]
    assume(effort["status"] == "optimal")
    sides = effort["effort"]
    assert total_kcal(sides["chosen"]) <= total_kcal(mass["effort"]["chosen"]) + TINY
    assert total_kcal(sides["chosen"]) <= total_kcal(sides["lightest"]) + TINY


def test_a_day_in_camp_makes_effort_a_matter_of_work_alone() -> None:
    """Nothing is carried, so grams cost nothing, and the kit of least work energy is heavy."""
    still = example_trips()["wet-autumn"] | {"route": {"km_per_day": 0, "climb_m_per_day": 0}, "aim": "effort"}
    answer = answer_to(still)
    assert answer["effort"]["kcal_per_100g_day"] == 0
    assert answer["kit"]["mass_g"] > answer_to(example_trips()["wet-autumn"] | {"aim": "effort"})["kit"]["mass_g"]
