"""The best design: against a grid, against plans with it, and the laws that its answer keeps."""

from functools import cache
from typing import Any
from xml.etree import ElementTree

import pytest
from counted_clock import cut_after
from service import faults_of, kit_of, post

from api.examples.invented import design_examples, example_trips, population_examples
from catalog import Design
from catalog.bench.design_measure import tied, usual_measures
from solver import BestDesignAnswer, Effort, Population, best_design, sweep
from solver.answers.sweep import DesignLimits
from solver.forms.trip import Trip
from solver.makers.kit_room import KitRoom
from solver.makers.weighed_design import bare_trip, weighed
from solver.populations.drawn_trip import drawn_trips

LONG = design_examples()["long-knife"]["drawing"]
# invented: narrow, on a slim handle, so that it earns its place on the trip
DRAWING = LONG | {
    "blade": LONG["blade"] | {"width_mm": 28, "spine_mm": 4.5},
    "handle": LONG["handle"] | {"width_mm": 27, "thickness_mm": 18},
    "tang": {"kind": "full", "cutout_pct": 30},
    "sheath": None,
}
KNIFE = {"id": "slim-knife", "drawing": DRAWING, "making": {}}
SURVEY = example_trips()["stream-survey"]
SPINE, LENGTH = "drawing.blade.spine_mm", "drawing.blade.length_mm"
MEASURES = [{"field": SPINE, "low": 4, "high": 5}, {"field": LENGTH, "low": 160, "high": 220}]
ADDRESS = "/v1/designs/best"


def asked(**changes: Any) -> BestDesignAnswer:
    given = {"trips": [{"trip": SURVEY}], "measures": MEASURES, "tries": 50, "effort": Effort()} | changes
    return best_design(KNIFE, **given)


@cache
def found() -> BestDesignAnswer:
    return asked()


@cache
def along_a_line() -> BestDesignAnswer:
    return asked(measures=[MEASURES[1]])


def with_knife(design: dict[str, Any]) -> tuple[float, float]:
    """Packed grams of a design, and of the lightest kit with it, by its score and by a plan."""
    tool = post(design, address="/v1/designs/score").json()["tool"]
    kit = kit_of(SURVEY | {"extra_tools": [tool], "must_carry": [tool["id"]], "detail": "kit"})["kit"]
    return tool["mass_g"] + tool["cover_g"], kit["mass_g"]


def test_it_is_no_worse_than_a_grid() -> None:
    vary = [one | {"steps": steps} for one, steps in zip(MEASURES, (2, 5), strict=True)]
    grid = sweep(KNIFE, vary, SURVEY, effort=Effort())
    assert grid.best is not None and grid.kit_without is not None
    answer = found()
    assert answer.trips[0].without_g == grid.kit_without.mass_g
    assert answer.trips[0].with_g is not None
    assert answer.trips[0].with_g <= grid.best.mass_g


@pytest.mark.parametrize("seed", [1, 2])
def test_it_finds_the_corner_where_an_axe_spares_a_tool(seed: int) -> None:
    """The kits of deep winter fall in steps: of a grid of 36 one corner spares a tool, beyond dearer designs."""
    ends = [("drawing.head_mass_g", 280, 440), ("drawing.handle.length_mm", 400, 600)]
    measures = [{"field": field, "low": low, "high": high} for field, low, high in ends]
    trip, axe = example_trips()["deep-winter"], design_examples()["belt-axe"]
    grid = sweep(axe, [one | {"steps": 6} for one in measures], trip, against="minutes", effort=Effort())
    assert grid.best is not None
    answer = best_design(axe, [{"trip": trip}], measures=measures, tries=100, seed=seed, effort=Effort())
    assert answer.trips[0].with_g is not None
    assert answer.trips[0].with_g <= grid.best.mass_g


def test_a_plan_with_the_told_design_weighs_what_is_told() -> None:
    answer = found()
    assert answer.best is not None and answer.design is not None
    packed, kit = with_knife(answer.design.model_dump(exclude_unset=True, mode="json"))
    assert packed == pytest.approx(answer.best.design_g)
    assert kit == answer.trips[0].with_g
    assert answer.saved_g == pytest.approx(kit_of(SURVEY | {"detail": "kit"})["kit"]["mass_g"] - kit)
    assert answer.share == 1


def test_the_ends_of_a_plateau_lose_no_more_than_told() -> None:
    answer = found()
    assert answer.design is not None and answer.saved_g is not None
    assert {one.field for one in answer.plateau} == {SPINE, LENGTH}
    for one in answer.plateau:
        assert one.low <= one.value <= one.high
        for end in (one.low, one.high):
            moved = answer.design.varied({one.field: end}).model_dump(exclude_unset=True, mode="json")
            _, kit = with_knife(moved)
            saved = kit_of(SURVEY | {"detail": "kit"})["kit"]["mass_g"] - kit
            # two decimals of the end, and half a gram for what they move
            assert saved >= answer.saved_g - answer.plateau_g - 0.5


def test_each_thickness_sold_has_its_own_best() -> None:
    answer = found()
    assert [one.thickness_mm for one in answer.stock] == [4, 4.5, 5]
    for one in answer.stock:
        assert one.found is not None and one.found.values[SPINE] == one.thickness_mm
        assert answer.best is not None and one.found.saved_g <= answer.best.saved_g


def test_no_design_of_the_front_beats_another() -> None:
    front = found().front
    assert front
    keys = [(one.design_g, -one.saved_g, -(one.margin or 0), one.price or 0) for one in front]
    for one in keys:
        assert not any(other != one and all(a <= b for a, b in zip(other, one, strict=True)) for other in keys)


def test_one_seed_one_answer() -> None:
    assert asked(measures=[MEASURES[1]]) == along_a_line()


def test_designs_keep_the_limits() -> None:
    answer = asked(limits={"margin": 0.3}, measures=[MEASURES[1]])
    assert answer.best is not None and answer.best.margin is not None
    assert answer.best.margin >= 0.3
    assert all(one.margin is not None and one.margin >= 0.3 for one in answer.front)


def test_one_measure_is_searched_along_its_line() -> None:
    answer = along_a_line()
    assert answer.best is not None and answer.best.values.keys() == {LENGTH}
    lone = sweep(KNIFE, [MEASURES[1] | {"steps": 5}], SURVEY, effort=Effort())
    assert lone.best is not None and answer.trips[0].with_g is not None
    assert answer.trips[0].with_g <= lone.best.mass_g


def test_usual_measures_are_those_that_the_drawing_has_and_stay_tied() -> None:
    design = Design.model_validate(KNIFE)
    fields = [one.field for one in usual_measures(design)]
    assert "drawing.tang.cutout_pct" in fields
    assert "drawing.blade.grind_height_mm" not in fields
    values = tied({"drawing.blade.width_mm": 20.0, "drawing.blade.tip_spine_mm": 6.0, SPINE: 5.0}, design.model_dump())
    assert values == {"drawing.blade.width_mm": 25, "drawing.blade.tip_spine_mm": 5, SPINE: 5}


@pytest.mark.parametrize("looks", [1, 200])
def test_where_time_ends_the_best_so_far_is_told(looks: int) -> None:
    answer = asked(tries=20_000, effort=cut_after(looks))
    assert answer.not_settled[0] == "search"
    assert answer.tried < 200


def test_wrong_fields_are_named() -> None:
    body = {"design": KNIFE, "trips": [{"trip": SURVEY}]}
    wrong = [MEASURES[0] | {"field": "drawing.blade.weight_mm"}, MEASURES[1], MEASURES[1]]
    answer = post(body | {"measures": wrong}, address=ADDRESS)
    assert set(faults_of(answer)) == {"#/measures/0/field", "#/measures/2/field"}
    robust = [{"trip": SURVEY | {"robust": {"needs": "all"}}}]
    assert set(faults_of(post(body | {"trips": robust}, address=ADDRESS))) == {"#/trips/0/trip/robust"}
    assert set(faults_of(post(body | {"tries": 49}, address=ADDRESS))) == {"#/tries"}


def test_trips_of_a_population_are_those_that_it_draws() -> None:
    """The search over three drawn trips is the search over the same three, listed."""
    people = Population.model_validate(population_examples()["winter-stove"])
    listed = [{"trip": one.trip} for one in drawn_trips(people, count=3, seed=1)]
    measures = [MEASURES[1]]
    assert asked(trips=None, population=people, count=3, measures=measures) == asked(trips=listed, measures=measures)


def test_trips_and_a_population_do_not_go_together() -> None:
    body = {"design": KNIFE, "trips": [{"trip": SURVEY}], "population": population_examples()["winter-stove"]}
    assert set(faults_of(post(body, address=ADDRESS))) == {"#/trips"}


def test_the_picture_of_the_front_tells_its_designs() -> None:
    """An SVG with as many dots as the front has designs; it was looked at."""
    body = {"design": KNIFE, "trips": [{"trip": SURVEY}], "measures": [MEASURES[1]], "tries": 50}
    told = kit_of(body, address=ADDRESS)
    picture = post(body, address=f"{ADDRESS}.svg").text
    assert ElementTree.fromstring(picture).tag == "{http://www.w3.org/2000/svg}svg"
    assert f"Of {told['tried']} designs tried {len(told['front'])} stand on the front" in picture
    assert "Ringed: the one that saves most" in picture


def test_room_beside_a_kit_tells_what_exact_kits_tell() -> None:
    """All are 0 or more just where a design keeps its limits and the other tools of the kit do with it."""
    effort, design = Effort(), Design.model_validate(design_examples()["belt-axe"])
    trip = Trip.model_validate(example_trips()["deep-winter"])
    trips = [bare_trip(trip, 1, effort=effort)]
    heads = [{"drawing.head_mass_g": head, "drawing.handle.length_mm": 400.0} for head in (250.0, 320.0, 380.0, 600.0)]
    tried = weighed(design, heads, trips, {}, DesignLimits(), prefix="axe", effort=effort, go_on=lambda: None)
    best = min((one for one in tried if one.others), key=lambda one: one.others_g(trips))
    assert best.candidate is not None and best.others is not None
    room = KitRoom(design, {}, DesignLimits(), effort, lambda: None)
    beside = room.beside(best.candidate, [trip], best.others, farther=False)
    assert beside is not None
    found = [beside.at(one) for one in heads]
    assert [one is not None and min(one[1]) >= 0 for one in found] == [
        one.allowed and one.others_g(trips) <= best.others_g(trips) for one in tried
    ]
    masses = [one.packed_g for one in tried]
    assert [one[0] for one in found if one is not None] == pytest.approx(masses, abs=0.1)
    assert room.beside(best.candidate, [trip], [[]], farther=False) is None
