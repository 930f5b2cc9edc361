"""A sweep over designs, against each design in turn as an extra tool, and against every kit of small trips."""

from copy import deepcopy
from functools import cache
from itertools import product
from random import Random
from typing import Any

import pytest
from every_kit import TRIES, Kit, covering_kits
from random_trips import one_knife, random_trip
from service import faults_of, kit_of, post

from api.examples.invented import design_examples, example_trips
from api.questions.registry import QUESTIONS

Row = dict[str, Any]
ADDRESS = "/v1/designs/sweep"
KNIFE = design_examples()["long-knife"]
MARGIN, GRAMS = "margin", "mass_g"


def swept(**changes: Any) -> Row:
    answer = post(QUESTIONS["sweep"].example | changes, address=ADDRESS)
    assert answer.status_code == 200, answer.text
    found: Row = answer.json()
    return found


def values_of(one: Row) -> list[Any]:
    """The values of a range, by its definition."""
    if "values" in one:
        return list(one["values"])
    return [one["low"] + (one["high"] - one["low"]) * i / (one["steps"] - 1) for i in range(one["steps"])]


def designs(vary: list[Row], base: Row = KNIFE) -> list[tuple[dict[str, Any], Row]]:
    """Every design of the ranges with its score, drawn one by one over HTTP; those that can't be are left out."""
    found = []
    for number, combination in enumerate(product(*map(values_of, vary))):
        design = deepcopy(base) | {"id": f"d-{number:03d}"}
        values = dict(zip((one["field"] for one in vary), combination, strict=True))
        for field, value in values.items():
            *steps, last = field.split(".")
            place = design
            for step in steps:
                place = place[step]
            place[last] = value
        answer = post(design, address="/v1/designs/score")
        if answer.status_code == 200:
            found.append((values, answer.json()))
    return found


def margin(score: Row) -> float:
    loads = score["strength"]["loads"]
    return min(float(load[name]) for load in loads for name in ("margin_low", "break_margin"))


def kit_with(score: Row, trip: Row) -> Row | None:
    """The lightest kit with one design, as an extra tool that must go."""
    tool = score["tool"]
    answer = kit_of(trip | {"extra_tools": [tool], "must_carry": [tool["id"]], "detail": "kit"})
    return None if answer["status"] == "uncovered" else answer["kit"]


def masses(vary: list[Row], trip: Row, slenderness: float | None) -> list[tuple[float, float, dict[str, Any]]]:
    """Grams of the kit, margin of the design, and its values, of every design within the limit."""
    found = []
    for values, score in designs(vary):
        if slenderness is not None and score["strength"]["slenderness"] > slenderness:
            continue
        kit = kit_with(score, trip)
        if kit is not None:
            found.append((kit["mass_g"], margin(score), values))
    return found


VARY = [
    {"field": "drawing.blade.length_mm", "low": 190, "high": 230, "steps": 3},
    {"field": "drawing.blade.spine_mm", "low": 4.5, "high": 5.5, "steps": 2},
]
TRIP = example_trips()["stream-survey"]


def test_the_best_and_the_front_are_those_of_each_design_in_turn() -> None:
    answer = swept(vary=VARY, limits={"slenderness": 60})
    rows = masses(VARY, TRIP, 60)
    assert answer["best"][GRAMS] == min(grams for grams, _, _ in rows)
    assert (answer["best"][GRAMS], answer["best"]["values"]) in [(grams, values) for grams, _, values in rows]
    front = {
        (grams, round(safety, 6))
        for grams, safety, _ in rows
        if not any((g < grams and s >= safety) or (g <= grams and s > safety) for g, s, _ in rows)
    }
    assert {(one[GRAMS], one[MARGIN]) for one in answer["front"]} == front
    assert [one[GRAMS] for one in answer["front"]] == sorted(one[GRAMS] for one in answer["front"])


def test_the_front_against_minutes_is_that_of_each_design_in_turn() -> None:
    vary = [VARY[0] | {"steps": 2}]
    answer = swept(vary=vary, limits={}, against="minutes")
    points = []
    for _, score in designs(vary):
        trip = TRIP | {"extra_tools": [score["tool"]], "must_carry": [score["tool"]["id"]]}
        points += post({"trip": trip, "against": "minutes"}, address="/v1/kits/front").json()["points"]
    pairs = {(one[GRAMS], round(one["work_min_per_day"], 3)) for one in points}
    front = {
        (grams, minutes)
        for grams, minutes in pairs
        if not any((g < grams and m <= minutes) or (g <= grams and m < minutes) for g, m in pairs)
    }
    assert {(one[GRAMS], round(one["work_min_per_day"], 3)) for one in answer["front"]} == front


def test_what_stops_it_is_what_saves_grams_when_left_out() -> None:
    """The limit on the design, the work limit, a need, and a range one step further, each tried by hand."""
    trip = TRIP | {"limits": {"work_min_per_day": 75}}
    vary = [{"field": "drawing.blade.spine_mm", "low": 4, "high": 5, "steps": 3}]
    answer = swept(vary=vary, trip=trip, limits={"slenderness": 40})
    stops = {one["field"]: one["saves_g"] for one in answer["stops"]}
    best = answer["best"][GRAMS]
    assert best == min(masses(vary, trip, 40))[0]
    assert stops["limits.slenderness"] == pytest.approx(best - min(masses(vary, trip, None))[0])
    rest = trip | {"tasks": trip["tasks"][1:]}
    assert stops["trip.tasks.0"] == pytest.approx(best - min(masses(vary, rest, 40))[0])
    free = trip | {"limits": {"work_min_per_day": 1440 * trip["people"]}}
    saved = best - min(masses(vary, free, 40))[0]
    assert stops.get("trip.limits.work_min_per_day", 0) == pytest.approx(saved)
    assert answer["stops"] == sorted(answer["stops"], key=lambda one: -one["saves_g"])
    told = {one["field"]: one["text"] for one in answer["stops"]}
    slender = stops["limits.slenderness"]
    assert told["limits.slenderness"] == (
        f"Without the limit of slenderness 40 on the design, the kit weighs {slender:g} g less."
    )
    assert told["trip.tasks.0"].startswith(f"Without the task {trip['tasks'][0]['task']} ")


def test_a_range_that_ends_at_the_best_is_tried_one_step_further() -> None:
    vary = [{"field": "drawing.blade.spine_mm", "low": 5.5, "high": 6.5, "steps": 3}]
    answer = swept(vary=vary, limits={})
    assert answer["best"]["values"] == {"drawing.blade.spine_mm": 5.5}
    (stop,) = [one for one in answer["stops"] if one["field"] == "vary.0.low"]
    thinner = masses([{"field": "drawing.blade.spine_mm", "values": [5]}], TRIP, None)
    assert (stop["value"], stop["tried"]) == (5.5, 5)
    assert stop["saves_g"] == pytest.approx(answer["best"][GRAMS] - thinner[0][0])


def test_the_best_design_tells_what_it_may_weigh_without_the_others() -> None:
    """As the allowance of its row on the same trip says; the draws are those of all drawn tools."""
    answer = swept(vary=[{"field": "drawing.blade.spine_mm", "values": [5, 6]}], limits={})
    asked = post({"tool": answer["tool"], "trip": TRIP}, address="/v1/designs/allowance").json()
    assert (answer["allowance_g"], answer["allowance_p20_g"]) == (asked["allowance_g"], asked["allowance_p20_g"])
    assert 0 < answer["allowance_p20_g"] <= answer["allowance_g"]
    assert answer["earns_its_place"] == (answer["best"]["design_g"] <= answer["allowance_g"])


def one_design(kits: list[Kit], ids: set[str]) -> list[Kit]:
    return [kit for kit in kits if len(ids & set(kit.ids)) == 1]


SMALL = [
    {"field": "drawing.blade.length_mm", "low": 120, "high": 260, "steps": 3},
    {"field": "drawing.blade.spine_mm", "values": [4, 6]},
]
LIGHT = {**KNIFE, "drawing": {**KNIFE["drawing"], "sheath": None}}


@cache
def small_designs() -> list[Row]:
    """The six designs as tools."""
    return [score["tool"] for _, score in designs(SMALL, LIGHT)]


@pytest.mark.parametrize("number", range(12))
def test_a_kit_holds_exactly_one_design_by_brute_force(number: int) -> None:
    """Small random trips with their rules: the lightest of all kits with one of six designs."""
    rng = Random(f"sweep {number}")
    rows = small_designs()
    ids = {row["id"] for row in rows}
    for _ in range(TRIES):
        trip = one_knife(random_trip(rng, fewest=2, most=5, needs_most=4))
        for rule in ("only", "leave_home", "must_carry"):
            trip.pop(rule, None)
        kits = one_design(covering_kits(trip | {"extra_tools": rows}), ids)
        if kits:
            break
    else:
        raise AssertionError(f"no such trip in {TRIES} draws")
    answer = swept(design=LIGHT, vary=SMALL, trip=trip, limits={})
    best = answer["best"]
    assert round(best[GRAMS] * 100) == kits[0].mass_cg
    plain = {f"{KNIFE['id']}-{int(one[2:]):04d}": one for one in ids}
    assert tuple(sorted(plain.get(one, one) for one in best["ids"])) in {
        tuple(sorted(kit.ids)) for kit in kits if kit.mass_cg == kits[0].mass_cg
    }


def test_the_best_row_goes_back_into_the_trip() -> None:
    answer = swept()
    again = kit_of(TRIP | {"extra_tools": [answer["tool"]], "must_carry": [answer["tool"]["id"]], "detail": "kit"})
    assert again["kit"]["mass_g"] == answer["best"][GRAMS]
    assert answer["kit_without"]["mass_g"] == kit_of(TRIP | {"detail": "kit"})["kit"]["mass_g"]
    assert answer["earns_its_place"] == (answer["best"][GRAMS] <= answer["kit_without"]["mass_g"])
    assert {"heat-treating", "grinding-dust", "untested-blade"} <= {one["id"] for one in answer["cautions"]}


def test_toughness_is_ordered_within_one_kind_of_test_alone() -> None:
    answer = swept(vary=[{"field": "drawing.steel", "values": ["D2", "S7", "1095"]}], limits={})
    orders = {order["test"]: order for order in answer["toughness"]}
    assert set(orders) == {"charpy c-notch", "charpy unnotched"}
    notched = orders["charpy c-notch"]
    # steel data sheets: S7 115 J at the least, D2 28 J
    assert [one["grade"] for one in notched["measured"]] == ["S7"] * 9 + ["D2"]
    assert {one["specimen"] for one in notched["measured"]} == {"10 mm square bar, C-notch"}
    assert notched["unmeasured"] == ["1095"]
    assert {one["grade"] for one in orders["charpy unnotched"]["measured"]} == {"S7"}


def test_a_limit_that_no_design_keeps_is_an_answer_that_says_so() -> None:
    answer = swept(limits={"margin": 50})
    assert (answer["status"], answer["best"], answer["front"]) == ("uncovered", None, [])
    assert answer["outside_limits"] == answer["designs"]
    assert "limits.margin" in [one["field"] for one in answer["stops"]]


def test_designs_that_cannot_be_drawn_are_counted_with_a_reason() -> None:
    vary = [{"field": "drawing.blade.tip_spine_mm", "values": [3, 9]}]
    answer = swept(vary=vary)
    assert (answer["designs"], answer["not_drawable"]) == (1, 1)
    assert "tip_spine_mm 9 mm is outside 0 to 5" in answer["not_drawable_because"]


@pytest.mark.parametrize(
    ("changes", "pointer"),
    [
        ({"vary": [{"field": "drawing.blade.length_mm", "low": 100, "high": 200, "steps": 21}] * 2}, "#/vary/1/field"),
        (
            {
                "vary": [
                    {"field": f"drawing.blade.{name}", "low": 1, "high": 2, "steps": 21}
                    for name in ("spine_mm", "tip_spine_mm")
                ]
            },
            "#/vary",
        ),
        ({"vary": [{"field": "drawing.blade.colour", "values": ["red"]}]}, "#/vary"),
        ({"vary": [{"field": "drawing.pins.x", "values": [1]}]}, "#/vary"),
        ({"vary": [{"field": "trip.people", "values": [1]}]}, "#/vary/0/field"),
        ({"vary": [{"field": "drawing.steel", "low": 3}]}, "#/vary/0"),
        ({"vary": []}, "#/vary"),
        ({"trip": TRIP | {"robust": {}}}, "#/trip/robust"),
        (
            {"design": design_examples()["belt-axe"], "vary": [{"field": "drawing.head_mass_g", "values": [300]}]},
            "#/against",
        ),
    ],
)
def test_what_cannot_be_swept_is_refused_at_its_field(changes: Row, pointer: str) -> None:
    assert pointer in faults_of(post(QUESTIONS["sweep"].example | changes, address=ADDRESS))


def test_axes_and_saws_are_swept_against_minutes() -> None:
    answer = swept(
        design=design_examples()["belt-axe"],
        vary=[{"field": "drawing.head_mass_g", "low": 300, "high": 600, "steps": 4}],
        against="minutes",
        limits={},
    )
    assert answer["designs"] == 4 and answer["best"] is not None
    assert all(one["margin"] is None for one in answer["front"])
