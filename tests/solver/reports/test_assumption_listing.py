"""Which assumptions an answer lists: those it read that matter, and no row of the table without an effect."""

import json

import pytest
from assumption_table import OF_THE_BENCH, Read, table
from oracle import Row

from api.examples.invented import example_trips
from catalog import assumptions
from solver import Trip, plan


def answer_to(trip: Row) -> Row:
    """The answer as JSON values."""
    answer: Row = plan(Trip.model_validate({"detail": "kit"} | trip)).model_dump(mode="json")
    return answer


def fire_trip(**changes: object) -> Row:
    """Three people who cook, warm themselves and dry clothes by the fire."""
    fire = {"hot_water_l_per_person": 2, "warmth_h": 1, "drying_h": 1}
    return {"people": 3, "air_c": 5, "fire": fire, **changes}


# Saws that are the quicker the heavier, and one that packs shorter: upgrades and next kits differ within the bands.
SAWN = [{"task": "saw", "diameter_mm": 100, "per_day": 28}]
SAWS: list[Row] = [
    {"id": f"saw-{score}", "kind": "folding saw", "mass_g": mass_g, "saw_score": score, "saw_max_mm": 300}
    | {"packed_mm": packed_mm}
    for score, mass_g, packed_mm in ((2, 100, 500), (3, 140, 500), (4, 240, 430), (10, 390, 500))
]
# Trips on which, taken together, every assumption of the table comes in.
SWEPT: dict[str, Row] = {
    "summer-alpine": example_trips()["summer-alpine"],
    "wet-autumn": example_trips()["wet-autumn"],
    "stream-survey": example_trips()["stream-survey"],
    "green conifer": fire_trip(wood={"species": "subalpine-fir", "state": "green"}, skill="expert"),
    "green broadleaf": fire_trip(wood={"species": "red-maple", "state": "green"}, limits={"work_min_per_day": 300}),
    "knots": fire_trip(
        wood={"species": "sugar-maple", "state": "dead-wet", "knotty": True, "diameters_mm": [90]},
        tasks=[{"task": "chop", "diameter_mm": 60}],
        air_c=-12,
        skill="novice",
        limits={"work_min_per_day": 1000},
    ),
    "frost": fire_trip(
        wood={"state": "dead-wet"},
        air_c=-7,
        tasks=[{"task": "split", "diameter_mm": 90}, {"task": "saw", "diameter_mm": 90}],
    ),
    "snow": {
        "people": 6,
        "air_c": -12,
        "fire": {"hot_water_l_per_person": 2, "melt_snow": True, "warmth_h": 4, "drying_h": 1},
        "wood": {"species": "northern-red-oak"},
        "limits": {"work_min_per_day": 250},
    },
    "screen": {"people": 2, "fire": {"hot_water_l_per_person": 2, "hearth": "shielded"}},
    "sticks": {"people": 2, "air_c": 5, "fire": {"hot_water_l_per_person": 2, "warmth_h": 2, "hearth": "pot-stove"}},
    "tent": {
        "people": 5,
        "air_c": -15,
        "fire": {"hot_water_l_per_person": 2, "warmth_h": 8, "drying_h": 1, "hearth": "tent-stove"},
    },
    "mild": {"people": 2, "air_c": 18, "fire": {"warmth_h": 4}, "wood": {"species": "shagbark-hickory"}},
    "deep cold": {"tasks": [{"task": "saw", "diameter_mm": 90}], "air_c": -25},
    "warm": {"fire": {"hot_water_l_per_person": 3}, "air_c": 25, "wood": {"species": "white-ash"}},
    "ban": {"fire": {"hot_water_l_per_person": 2, "allowed": False}, "tasks": [{"task": "chop", "diameter_mm": 60}]},
    "wedges": {
        "nights": 10,
        "tasks": [{"task": "split", "diameter_mm": 100}],
        "tools": [
            {"id": "chopper", "mass_g": 500, "chop_score": 3, "chop_max_mm": 200, "chop_life": 800}
            | {"carve_score": 5, "carve_max_mm": 80}
        ],
    },
    "thick": {"tasks": [{"task": "saw", "diameter_mm": 220}], "only": ["bucksaw-610"]},
    "thick chopped": {"tasks": [{"task": "chop", "diameter_mm": 160, "per_day": 3}]},
    "camp": {"camp_work": [{"id": "peg", "per_trip": 4}], "air_c": 2},
    "alone": {"tasks": [{"task": "saw", "diameter_mm": 90}], "air_c": -12},
    "struck": {
        "nights": 110,
        "tasks": [{"task": "split", "diameter_mm": 60, "per_day": 10}],
        "tools": [{"id": "knife", "kind": "long knife", "mass_g": 300, "split_score": 2, "split_max_mm": 90}],
    },
    "better saws": {"detail": "full", "tasks": SAWN, "tools": SAWS},
}  # fmt: skip
# Of formulas that no trip comes to: cords, and slopes gentler than those that a day is made of.
NEVER_ON_A_TRIP = {"gross_heat", "cord_solid_volume", "santee_from_grade"}


def told(trip: Row) -> str:
    """The answer without its list of assumptions."""
    answer = answer_to(trip)
    del answer["assumptions"]
    return json.dumps(answer)


def moves(trip: Row, name: str) -> bool:
    """Whether an assumption moved to an end of its band changes the answer."""
    rows, usual = assumptions(), told(trip)
    for value in {rows[name].low, rows[name].high} - {rows[name].value}:
        with table(rows | {name: rows[name].model_copy(update={"value": value})}):
            if told(trip) != usual:
                return True
    return False


@pytest.mark.parametrize("name", SWEPT)
def test_every_assumption_that_is_read_and_matters_is_listed(name: str) -> None:
    """The table notes what is read; what is read and not listed must change nothing."""
    trip = SWEPT[name]
    rows = Read(assumptions())
    with table(rows):
        answer = answer_to(trip)
    listed = {one["id"] for one in answer["assumptions"]}
    assert listed <= rows.names, "listed, and never read"
    rows_listed = [row for key, row in assumptions().items() if key in listed]
    assert answer["assumptions"] == [row.model_dump(mode="json") | {"yours": False} for row in rows_listed]
    assert {one for one in rows.names - listed if moves(trip, one)} == set()


@pytest.mark.parametrize("name", [name for name in assumptions() if name not in {*NEVER_ON_A_TRIP, *OF_THE_BENCH}])
def test_every_assumption_changes_the_answer_of_a_trip_that_lists_it(name: str) -> None:
    """No dead row: moved to an end of its band it shows in some answer."""
    listing = [trip for trip in SWEPT.values() if name in {one["id"] for one in answer_to(trip)["assumptions"]}]
    assert any(moves(trip, name) for trip in listing)
