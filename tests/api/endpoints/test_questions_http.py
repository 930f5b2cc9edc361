"""What the further questions refuse over HTTP: each fault names its place in the body, its value and the range."""

from typing import Any

import pytest
from service import JSON, ask, faults_of, kit_of, post, problem_of

pytestmark = pytest.mark.quick

FRONT, CHECK, CONFIDENCE, SEASON = (f"/v1/kits/{name}" for name in ("front", "check", "confidence", "season"))
ALLOWANCE = "/v1/designs/allowance"
NIGHT = "/v1/kits/bad-night"
TRIP: dict[str, Any] = {"tasks": [{"task": "saw", "diameter_mm": 60}]}
UNKNOWN: dict[str, Any] = TRIP | {"must_carry": ["no-such-tool"]}
THIN: dict[str, Any] = {"tasks": [{"task": "saw", "diameter_mm": -1}]}
SAFE: dict[str, Any] = TRIP | {"robust": {}}
KNIFE = {"id": "x", "kind": "fixed knife", "carve_score": 8, "carve_max_mm": 60}
LIKELY = {"trip": TRIP, "confidence": 0.5}
RANGE = {"low_factor": 1, "high_factor": 2}

REFUSED: dict[str, tuple[str, Any, str]] = {
    "no trip to make a front of": (FRONT, {}, "#/trip/tasks"),
    "a bare trip, read as {trip}": (FRONT, THIN, "#/trip/tasks/0/diameter_mm"),
    "a trip that must take what there is not": (FRONT, {"trip": UNKNOWN}, "#/trip/must_carry/0"),
    "safety, which a front does not weigh": (FRONT, {"trip": SAFE}, "#/trip/robust"),
    "no kit to check": (CHECK, {"trip": TRIP}, "#/kit"),
    "a kit of too many": (CHECK, {"trip": TRIP, "kit": ["a"] * 1001}, "#/kit"),
    "a kit for no work": (CHECK, {"trip": {"tasks": []}, "kit": []}, "#/trip/tasks"),
    "safety, which a check does not weigh": (CHECK, {"trip": SAFE, "kit": []}, "#/trip/robust"),
    "a bad night of no trip": (NIGHT, {"kit": []}, "#/trip"),
    "a bad night of a bare trip, read as {trip}": (NIGHT, THIN, "#/trip/tasks/0/diameter_mm"),
    "a bad night of no work": (NIGHT, {"trip": {"tasks": []}}, "#/trip/tasks"),
    "a kit of tools that there are not": (NIGHT, {"trip": TRIP, "kit": ["no-such-tool"]}, "#/kit/0"),
    "a kit with a tool twice": (NIGHT, {"trip": TRIP, "kit": ["hatchet-600", "hatchet-600"]}, "#/kit/1"),
    "a kit that is one text": (NIGHT, {"trip": TRIP, "kit": "hatchet-600"}, "#/kit"),
    "a kit of far too many": (NIGHT, {"trip": TRIP, "kit": ["a"] * 1001}, "#/kit"),
    "safety, which a bad night asks in its own way": (NIGHT, {"trip": SAFE}, "#/trip/robust"),
    "a bad night with a wish more": (NIGHT, {"trip": TRIP, "luck": 1}, "#/luck"),
    "no confidence": (CONFIDENCE, {"trip": TRIP}, "#/confidence"),
    "a confidence of nothing": (CONFIDENCE, LIKELY | {"confidence": 0}, "#/confidence"),
    "a confidence above all": (CONFIDENCE, LIKELY | {"confidence": 1.01}, "#/confidence"),
    "one scenario too many": (CONFIDENCE, LIKELY | {"scenarios": [{"weight": 1}] * 4097}, "#/scenarios"),
    "too many parts of them": (
        CONFIDENCE,
        LIKELY | {"scenarios": [{"weight": 1}] * 1025, "diameter_range": RANGE},
        "#/scenarios",
    ),
    "a range that runs backwards": (
        CONFIDENCE,
        LIKELY | {"diameter_range": {"low_factor": 2, "high_factor": 1}},
        "#/diameter_range/high_factor",
    ),
    "a range of nothing": (
        CONFIDENCE,
        {"trip": {"fire": {"hot_water_l_per_person": 1}}, "confidence": 0.5, "diameter_range": RANGE},
        "#/diameter_range",
    ),
    "a scenario without weight": (CONFIDENCE, LIKELY | {"scenarios": [{"weight": 0}]}, "#/scenarios/0/weight"),
    "a scenario too unlikely": (
        CONFIDENCE,
        LIKELY | {"scenarios": [{"weight": 5}, {"weight": 1e-9}]},
        "#/scenarios/1/weight",
    ),
    "wood that there is not": (
        CONFIDENCE,
        LIKELY | {"scenarios": [{"weight": 1}, {"weight": 1, "wood": {"species": "no-such-wood"}}]},
        "#/scenarios/1/wood/species",
    ),
    "a scenario of no work": (
        CONFIDENCE,
        LIKELY | {"scenarios": [{"weight": 1}, {"weight": 1, "tasks": []}]},
        "#/scenarios/1/tasks",
    ),
    "a trip that must take what there is not, in every scenario": (
        CONFIDENCE,
        {"trip": UNKNOWN, "confidence": 1, "scenarios": [{"weight": 1, "tasks": TRIP["tasks"]}]},
        "#/trip/must_carry/0",
    ),
    "no trips": (SEASON, {"trips": []}, "#/trips"),
    "fifty-one trips": (SEASON, {"trips": [{"trip": TRIP}] * 51}, "#/trips"),
    "the second trip must take what there is not": (
        SEASON,
        {"trips": [{"trip": TRIP}, {"trip": UNKNOWN}]},
        "#/trips/1/trip/must_carry/0",
    ),
    "weights too far apart": (
        SEASON,
        {"trips": [{"trip": TRIP, "weight": 1e6}, {"trip": TRIP, "weight": 1}]},
        "#/trips/1/weight",
    ),
    "fewer than no tools": (SEASON, {"trips": [{"trip": TRIP}], "own_at_most": -1}, "#/own_at_most"),
    "no trip for a tool": (ALLOWANCE, {"tool": KNIFE}, "#"),
    "a trip and trips": (ALLOWANCE, {"tool": KNIFE, "trip": TRIP, "trips": [TRIP]}, "#"),
    "the one trip must take what there is not": (ALLOWANCE, {"tool": KNIFE, "trip": UNKNOWN}, "#/trip/must_carry/0"),
    "the second of two must": (ALLOWANCE, {"tool": KNIFE, "trips": [TRIP, UNKNOWN]}, "#/trips/1/must_carry/0"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_a_fault_names_its_place(case: str) -> None:
    """One fault, with value and range, as every problem has them."""
    address, body, pointer = REFUSED[case]
    assert list(faults_of(post(body, address=address))) == [pointer]


@pytest.mark.parametrize(
    ("address", "body"),
    [
        (CONFIDENCE, b'{"trip": {"tasks": [{"task": "saw", "diameter_mm": 60}]}, "confidence": NaN}'),
        (SEASON, b'{"trips": [{"trip": {"tasks": [{"task": "saw", "diameter_mm": 60}]}, "weight": Infinity}]}'),
    ],
)
def test_what_is_no_number_in_json_is_not_read(address: str, body: bytes) -> None:
    problem_of(ask("POST", address, content=body, headers=JSON), 400)


def test_many_scenarios_alike_are_one() -> None:
    """Sixty-four times the same wood: each suffices or none does."""
    answer = kit_of(LIKELY | {"scenarios": [{"weight": 1}] * 64}, address=CONFIDENCE)
    assert answer["suffices_in"] == list(range(64))
    assert answer["probability"] == 1
    assert [step["probability"] for step in answer["steps"]] == [1]


def test_a_tool_that_a_bad_night_does_not_know_has_near_names() -> None:
    """The nearest ids stand in the problem, as for a check."""
    fault = faults_of(post({"trip": TRIP, "kit": ["folding-saw-24"]}, address=NIGHT))["#/kit/0"]
    assert "similar ids: folding-saw-240" in fault["detail"]


def test_a_bad_night_of_a_bare_trip_is_that_of_its_lightest_kit() -> None:
    """With `kit` null, left out, or with the trip alone in the body; `units=us` adds ounces."""
    alone = kit_of(TRIP, address=NIGHT)
    assert alone == kit_of({"trip": TRIP}, address=NIGHT) == kit_of({"trip": TRIP, "kit": None}, address=NIGHT)
    assert alone == kit_of({"trip": TRIP, "kit": alone["kit"]["ids"]}, address=NIGHT)
    assert [case["case"] for case in alone["cases"] if not case["applies"]] == ["hurt"]
    told = kit_of(TRIP, address=f"{NIGHT}?units=us")
    assert told["kit"]["mass_oz"] == pytest.approx(alone["kit"]["mass_g"] / 28.349523125, abs=0.01)  # NIST SP 811


def test_limits_of_nothing_are_answers() -> None:
    """No grams, no tools, no money: uncovered, with what is lacking."""
    front = kit_of({"trip": TRIP | {"limits": {"mass_g": 0}}}, address=FRONT)
    assert (front["status"], [gap["field"] for gap in front["gaps"]]) == ("uncovered", ["mass_g"])
    season = kit_of({"trips": [{"trip": TRIP}], "own_at_most": 0}, address=SEASON)
    assert [(gap["field"], gap["short_by"]) for gap in season["gaps"]] == [("own_at_most", 1)]
    check = kit_of({"trip": TRIP, "kit": []}, address=CHECK)
    assert (check["covered"], [gap["need"] for gap in check["gaps"]]) == (False, ["saw-60"])
    assert check["first_swap"]["out"] is None


def test_a_whole_number_may_be_written_with_a_point() -> None:
    """3.0 is an integer in JSON Schema (2020-12, 4.2.3), so it is taken wherever the contract says integer."""
    trip = TRIP | {"people": 2.0, "nights": 3.0, "alternatives": 1.0, "detail": "kit"}
    assert post(trip).status_code == 200
    wide = LIKELY | {"diameter_range": RANGE | {"parts": 2.0}}
    assert post(wide, address=CONFIDENCE).status_code == 200
    assert post({"trips": [{"trip": TRIP}], "own_at_most": 1.0}, address=SEASON).status_code == 200
    assert post(TRIP | {"alternatives": 1.5}).status_code == 422
