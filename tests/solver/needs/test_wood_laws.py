"""Laws of firewood, time and wear that hold for every trip."""

from random import Random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from oracle import CUTTING_TASKS, Row
from random_wood_trips import HEIGHTS_M, random_wood_tool, random_wood_trip
from service import post

from api.examples.invented import example_trips
from catalog.wood.species import woods
from solver import Trip, plan

RANDOMS = st.randoms(use_true_random=False)
LAW = settings(max_examples=30)
GRAMS, MINUTES = 1e-6, 1e-3
KG = 4e-6  # a day's wood is told use by use, up to four, each to 0.000001 kg: half of it off each, on either side
FIRE_USES = {"hot-water", "snow-melt", "warmth", "drying"}
ABLE: Row = {"id": "able", "mass_g": 1000} | {f"{task}_score": 10 for task in CUTTING_TASKS}
ABLE |= {f"{task}_max_mm": 3000 for task in CUTTING_TASKS}


def answer_to(trip: Row) -> Row:
    """The answer as JSON values."""
    answer: Row = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json")
    return answer


def covered(trip: Row) -> Row:
    """The answer to a trip, given that some kit covers it."""
    answer = answer_to(trip)
    assume(answer["status"] == "optimal")
    return answer


def ids(answer: Row) -> list[str]:
    """Ids of the carried tools."""
    return [tool["id"] for tool in answer["kit"]["tools"]]


def expect_not_lighter(stricter: Row, answer: Row) -> None:
    """A stricter trip weighs as much or more, or cannot be covered."""
    assert stricter["status"] == "uncovered" or stricter["kit"]["mass_g"] >= answer["kit"]["mass_g"] - GRAMS


def kilograms(trip: Row) -> float:
    """Firewood of a day, as the uses of the fire ask for it."""
    needs = answer_to(trip | {"tools": [ABLE]})["needs"]
    return sum(need["per_day"] for need in needs if need["id"] in FIRE_USES)


def fire_rows(trip: Row) -> dict[str, Row]:
    """The figures behind each use of the fire."""
    needs = answer_to(trip | {"tools": [ABLE]})["needs"]
    return {need["id"]: need["because"]["facts"] for need in needs if need["id"] in FIRE_USES}


def fire_trip(**changes: object) -> Row:
    """Three people who cook, warm themselves and dry clothes by the fire."""
    fire = {"hot_water_l_per_person": 2, "warmth_h": 1, "drying_h": 1}
    return {"people": 3, "air_c": 5, "fire": fire, **changes}


FIRES = st.fixed_dictionaries(
    {
        "hot_water_l_per_person": st.floats(0.1, 5),
        "melt_snow": st.booleans(),
        "warmth_h": st.sampled_from([0.0, 1.0, 3.5]),
        "drying_h": st.sampled_from([0.0, 2.0]),
    }
)
HEARTHS = st.sampled_from(["open", "shielded", "pot-stove", "tent-stove"])
AIR = st.floats(-45, 40)


@LAW
@given(fire=FIRES, air_c=AIR, people=st.integers(1, 49), more=st.integers(1, 20), height=st.sampled_from(HEIGHTS_M))
def test_more_people_never_want_less_wood(fire: Row, air_c: float, people: int, more: int, height: float) -> None:
    """Whatever the fire is for; always more where it is for hot water alone."""
    trip = {"fire": fire, "air_c": air_c, "elevation_m": height}
    few, many = (kilograms(trip | {"people": n}) for n in (people, min(50, people + more)))
    assert many >= few - KG
    if not fire["warmth_h"] and not fire["drying_h"]:
        assert many > few


@LAW
@given(fire=FIRES, hearth=HEARTHS, one=AIR, other=AIR, state=st.sampled_from(["dead-dry", "dead-wet", "green"]))
def test_colder_air_never_wants_less_heat_or_wood(fire: Row, hearth: str, one: float, other: float, state: str) -> None:
    """Water starts colder, warmth takes more, each use by itself and all together."""
    cold, warm = sorted((one, other))
    trip = {"fire": fire | {"hearth": hearth}, "people": 4, "wood": {"state": state}}
    there, here = (fire_rows(trip | {"air_c": air_c}) for air_c in (cold, warm))
    assert there.keys() >= here.keys()
    for name, row in here.items():
        for figure in ("heat_mj_per_day", "kg_alone_per_day"):
            assert there[name][figure] >= row[figure] - 1e-5
    assert kilograms(trip | {"air_c": cold}) >= kilograms(trip | {"air_c": warm}) - KG


@LAW
@given(fire=FIRES, stove=st.sampled_from(["pot-stove", "tent-stove"]), air_c=AIR, people=st.integers(1, 20))
def test_a_stove_never_burns_more_than_an_open_fire(fire: Row, stove: str, air_c: float, people: int) -> None:
    """More of its heat reaches the pot, and none of them warms the sky."""
    trip = {"air_c": air_c, "people": people}
    closed, open_ = (kilograms(trip | {"fire": fire | {"hearth": hearth}}) for hearth in (stove, "open"))
    assert closed <= open_ + KG


@LAW
@given(fire=FIRES, hearth=HEARTHS, air_c=AIR, use=st.sampled_from(["warmth_h", "drying_h"]), more=st.floats(0.1, 5))
def test_more_hours_never_want_less_wood(fire: Row, hearth: str, air_c: float, use: str, more: float) -> None:
    """Of warmth or of drying."""
    trip = {"air_c": air_c, "people": 3}
    longer = fire | {use: fire[use] + more}
    short, long = (kilograms(trip | {"fire": one | {"hearth": hearth}}) for one in (fire, longer))
    assert long >= short - KG


@LAW
@given(fire=FIRES, hearth=HEARTHS, air_c=AIR, people=st.integers(1, 9))
def test_uses_that_share_a_fire_burn_at_most_their_sum_and_at_least_the_largest(
    fire: Row, hearth: str, air_c: float, people: int
) -> None:
    """One fire burns no less than its hungriest use, and no more than a fire for each."""
    rows = fire_rows({"fire": fire | {"hearth": hearth}, "air_c": air_c, "people": people})
    together = sum(row["kg_per_day"] for row in rows.values())
    alone = [row["kg_alone_per_day"] for row in rows.values()]
    assert max(alone) - 1e-5 <= together <= sum(alone) + 1e-5
    pot = sum(row["kg_alone_per_day"] for name, row in rows.items() if name in {"hot-water", "snow-melt"})
    assert together >= pot - 1e-5  # the heat of the pot is never got for nothing


@LAW
@given(fire=FIRES, air_c=AIR)
def test_snow_always_wants_more_wood_than_water(fire: Row, air_c: float) -> None:
    """Melting comes before warming (fusion 334 kJ/kg, standard tables); a warming fire may have it over."""
    water, snow = ({"fire": fire | {"melt_snow": melt}, "air_c": air_c} for melt in (False, True))
    assert kilograms(snow) >= kilograms(water) - KG
    alone = [sum(row["kg_alone_per_day"] for row in fire_rows(trip).values()) for trip in (snow, water)]
    assert alone[0] > alone[1]


@pytest.mark.parametrize("species", woods())
def test_wetter_wood_of_the_same_kind_never_burns_in_smaller_amounts(species: str) -> None:
    """Dead and dry, wet outside, green: each drives off more water than the one before."""
    states = ("dead-dry", "dead-wet", "green")
    dry, wet, green = (kilograms(fire_trip(wood={"species": species, "state": state})) for state in states)
    assert dry < wet < green


def fixed_kit(rng: Random) -> Row:
    """A trip on which every tool goes, so that only its work is left to decide."""
    trip = random_wood_trip(rng, fewest=1, most=4)
    tools = [random_wood_tool(rng, f"t{number}") for number in range(rng.randint(1, 4))]
    trip |= {"tools": tools, "must_carry": [tool["id"] for tool in tools], "aim": "mass", "backup": "none"}
    return trip | {"limits": {"work_min_per_day": 1440}}


@LAW
@given(RANDOMS)
def test_minutes_never_rise_when_a_score_rises(rng: Random) -> None:
    """Same kit, same work, one tool better at one task.

    Wear is off here: where a tool that saws and chops gets better at one of the two, it cuts to length that
    way only, and may wear out sooner by it.
    """
    trip = fixed_kit(rng) | {"life": False}
    before = covered(trip)
    scores = [(n, key) for n, tool in enumerate(trip["tools"]) for key in tool if key.endswith("_score")]
    n, key = rng.choice(scores)
    better = [dict(tool) for tool in trip["tools"]]
    better[n][key] = min(30, better[n][key] + rng.choice((0.5, 2, 10)))
    after = answer_to(trip | {"tools": better})
    assert after["status"] == "optimal"
    assert after["kit"]["work_min_per_day"] <= before["kit"]["work_min_per_day"] + MINUTES


@LAW
@given(RANDOMS)
def test_minutes_never_rise_when_a_score_rises_and_edges_wear(rng: Random) -> None:
    """The same with wear, for tools that cut across the grain in one way."""
    trip = fixed_kit(rng) | {"life": True}
    for tool in trip["tools"]:
        if "saw_score" in tool:
            tool.pop("chop_score", None)
    before = covered(trip)
    n = rng.randrange(len(trip["tools"]))
    better = [dict(tool) for tool in trip["tools"]]
    better[n] |= {key: min(30, value + 1.5) for key, value in better[n].items() if key.endswith("_score")}
    after = answer_to(trip | {"tools": better})
    assert after["status"] == "optimal"
    assert after["kit"]["work_min_per_day"] <= before["kit"]["work_min_per_day"] + MINUTES


def law_trip(rng: Random) -> Row:
    """A random trip whose kit is the lightest."""
    return random_wood_trip(rng, fewest=4, most=9) | {"aim": "mass"}


@LAW
@given(RANDOMS, st.sampled_from([0.2, 0.5, 0.9]))
def test_shorter_lives_never_make_the_kit_lighter(rng: Random, share: float) -> None:
    """Every life of tools and spares cut down by the same share."""
    trip = law_trip(rng) | {"life": True}
    before = covered(trip)
    worn = [{k: v * share if k.endswith("_life") else v for k, v in tool.items()} for tool in trip["tools"]]
    expect_not_lighter(answer_to(trip | {"tools": worn}), before)


@LAW
@given(RANDOMS)
def test_wear_and_upkeep_never_make_the_kit_lighter(rng: Random) -> None:
    """Nothing wears; what can be renewed does not wear; everything wears."""
    trip = law_trip(rng)
    eternal, renewed, mortal = (
        answer_to(trip | rules) for rules in ({"life": False}, {"life": True, "upkeep": False}, {"life": True})
    )
    assume(eternal["status"] == "optimal")
    expect_not_lighter(renewed, eternal)
    assume(renewed["status"] == "optimal")
    expect_not_lighter(mortal | {}, renewed)


@LAW
@given(RANDOMS, st.integers(1, 30))
def test_more_nights_never_make_the_kit_lighter(rng: Random, more: int) -> None:
    """The same days over again: only wear adds up; camp work of the whole trip is left out."""
    trip = law_trip(rng) | {"camp_work": []}
    before = covered(trip)
    expect_not_lighter(answer_to(trip | {"nights": trip["nights"] + more}), before)


@LAW
@given(RANDOMS, st.sampled_from([0.3, 0.7, 0.95]))
def test_a_shorter_day_never_makes_the_kit_lighter(rng: Random, share: float) -> None:
    """Less time for wood a day."""
    trip = law_trip(rng)
    before = covered(trip)
    minutes = max(1, before["kit"]["work_min_per_day"] * share)
    expect_not_lighter(answer_to(trip | {"limits": trip["limits"] | {"work_min_per_day": minutes}}), before)


@LAW
@given(RANDOMS, st.sampled_from([20, 40, 70, 100, 150]))
def test_more_wood_within_reach_never_makes_the_kit_heavier(rng: Random, mm: float) -> None:
    """Another class, or more of one that is there."""
    trip = law_trip(rng)
    trip["wood"] = {key: value for key, value in trip["wood"].items() if key != "diameters_mm"}
    trip["wood"].setdefault("diameters", [{"mm": 60, "reach_kg_per_day": 20}])
    before = covered(trip)
    more = [*trip["wood"]["diameters"], {"mm": mm, "reach_kg_per_day": rng.choice((1, 5, 40))}]
    after = answer_to(trip | {"wood": trip["wood"] | {"diameters": more}})
    assert after["status"] == "optimal"
    assert after["kit"]["mass_g"] <= before["kit"]["mass_g"] + GRAMS


@LAW
@given(RANDOMS)
def test_a_fire_ban_leaves_stated_tasks_and_camp_work(rng: Random) -> None:
    """The kit is that of the same trip without a fire, and the answer says why no wood is cut."""
    trip = law_trip(rng)
    trip["camp_work"] = trip["camp_work"] or [{"id": "peg", "per_day": 1}]
    banned = answer_to(trip | {"fire": trip["fire"] | {"allowed": False}})
    without = answer_to({key: value for key, value in trip.items() if key != "fire"})
    assert (banned["kit"], banned["needs"], banned["gaps"]) == (without["kit"], without["needs"], without["gaps"])
    assert banned["workings"] == []
    assert "fire-not-allowed" in {reason["code"] for reason in banned["reasons"]}


def test_a_banned_fire_alone_is_a_200_with_an_empty_kit() -> None:
    """Nothing to cut, so nothing to carry; without even a fire the trip asks for nothing, which is a slip."""
    answer = post({"fire": {"hot_water_l_per_person": 2, "allowed": False}})
    assert answer.status_code == 200
    body = answer.json()
    assert (body["status"], body["kit"]["tools"], body["kit"]["mass_g"]) == ("optimal", [], 0)
    assert (body["kit"]["work_min_per_day"], body["needs"], body["workings"]) == (0, [], [])
    assert [caution["text"] for caution in body["cautions"] if caution["code"] == "fire-not-allowed"] == [
        "No wood fire is allowed, so this kit does not cover: hot water (2 l a day). "
        "Hot water needs another stove with its fuel, whose grams are not counted here."
    ]
    dry = post({"fire": {"warmth_h": 2, "allowed": False}}).json()["cautions"]
    assert [one["text"] for one in dry if one["code"] == "fire-not-allowed"] == [
        "No wood fire is allowed, so this kit does not cover: warmth (2 h a day)."
    ]
    refused = post({"people": 2})
    assert refused.status_code == 422
    assert [fault["pointer"] for fault in refused.json()["errors"]] == ["#/tasks"]


@pytest.mark.parametrize("name", example_trips())
def test_the_parts_of_an_answer_add_up_to_its_kit(name: str) -> None:
    """Minutes of the needs, shares of each, kilograms of the classes."""
    answer = answer_to(example_trips()[name])
    minutes = sum(need["minutes_per_day"] for need in answer["needs"])
    assert minutes == pytest.approx(answer["kit"]["work_min_per_day"], abs=1e-5)
    for need in answer["needs"]:
        if need["task"] != "gather":
            assert sum(part["share"] for part in need["done_with"]) == pytest.approx(1, abs=1e-5)
    kg = sum(need["per_day"] for need in answer["needs"] if need["id"] in FIRE_USES)
    assert sum(one["kg_per_day"] for one in answer["workings"]) == pytest.approx(kg, abs=5e-4)  # whole grams


def test_thin_dead_wood_is_broken_by_hand_and_the_pack_stays_empty() -> None:
    """A small cooking fire, dry limbs all round: common practice, no source."""
    answer = answer_to({"people": 2, "fire": {"hot_water_l_per_person": 2}, "knife": "none"})
    assert (ids(answer), answer["kit"]["methods"]) == ([], ["break-by-hand"])
    assert [one["diameter_mm"] for one in answer["workings"]] == [40]


def test_thin_wood_is_taken_first_and_thicker_only_for_the_rest() -> None:
    """4 kg of thumb limbs by hand, 8 kg of poles by lever, then a tool for what is left."""
    fire = {"warmth_h": 3}
    by_hand = answer_to({"fire": fire, "air_c": 0, "wood": {"diameters_mm": [40, 75, 120]}, "knife": "none"})
    workings = {one["diameter_mm"]: one for one in by_hand["workings"]}
    assert ids(by_hand) == []
    assert workings[40]["kg_per_day"] == pytest.approx(workings[40]["reach_kg_per_day"])
    assert {part["id"] for part in workings[75]["buck"]} == {"lever-between-trees"}
    colder = answer_to({"fire": fire, "air_c": -25, "wood": {"diameters_mm": [40, 75, 120]}})
    assert {one["diameter_mm"] for one in colder["workings"]} == {40, 75, 120}
    assert ids(colder)


def test_green_wood_does_not_break_and_wet_wood_has_to_be_split() -> None:
    """Something that cuts goes along, however little wood it is: common practice, no source."""
    for state in ("green", "dead-wet"):
        answer = answer_to({"people": 2, "fire": {"hot_water_l_per_person": 2}, "wood": {"state": state}})
        assert answer["status"] == "optimal"
        assert ids(answer)
    assert sum(one["clefts_per_day"] for one in answer["workings"]) > 0
