"""Sweeps, seasons, allowances and bad nights whose time ends: what they have is told, and what is not settled is named.

The clock runs out after so many looks, as in `test_answer_time`. No source: an answer cut short is held against the
same answer without a limit; the trips are invented.
"""

from random import Random
from typing import Any

import pytest
from counted_clock import LONG_S, cut_after
from oracle import CUTTING_TASKS, Row
from random_trips import random_tool
from random_wood_trips import random_wood_trip

from api.examples.invented import design_examples, example_trips
from catalog import Tool
from solver import Effort, Trip, TripError, Unfinished, allowance, bad_night, check, confidence, plan, season, sweep
from solver.answers import sweep as sweep_of_designs
from solver.needs.question import Question, question_of
from solver.reports import season_report

pytestmark = pytest.mark.quick

LOOKS = (1, 16, 64, 256, 1024)
WHOLE = Effort(seconds=LONG_S)
NEW = Tool(id="new", kind="hatchet", mass_g=500, split_score=6, split_max_mm=200, chop_score=5, chop_max_mm=150)


def trip_of(number: int) -> Row:
    """A trip with wear, fire and limits now and then; invented."""
    return random_wood_trip(Random(f"cut-{number}"), fewest=4, most=7) | {"detail": "kit", "robust": None}


@pytest.mark.parametrize("number", range(3))
def test_an_allowance_cut_short_lies_between_what_it_tells(number: int) -> None:
    """What is told is no more than the allowance, and that is no more than `at_most_g`."""
    trips = [trip_of(number), example_trips()["stream-survey"]]
    whole = allowance(NEW, trips, effort=WHOLE)
    assert (whole.status, whole.checked) == ("optimal", True)
    told = set()
    for looks in LOOKS:
        found = allowance(NEW, trips, effort=cut_after(looks))
        told.add(found.status)
        for mine, its in zip([found, *found.trips], [whole, *whole.trips], strict=True):
            if mine.status == "optimal":
                assert (mine.allowance_g, mine.reason) == (its.allowance_g, its.reason)
                continue
            assert not mine.checked
            least, most = mine.allowance_g, mine.at_most_g
            assert least is None or its.allowance_g is None or least <= its.allowance_g
            assert most is None or its.allowance_g is None or its.allowance_g <= most
            assert least is None or its.reason != "never"
        for trip in found.trips:
            assert (trip.status == "optimal") == ("allowance_g" not in trip.not_settled)
    assert "not_settled" in told


def test_a_sweep_cut_short_tells_a_kit_no_lighter_than_the_best() -> None:
    """By looks: nothing, a kit with one of the designs drawn by then, or all of it."""
    vary = [{"field": "drawing.blade.length_mm", "low": 180, "high": 240, "steps": 3}]
    asked = (design_examples()["long-knife"], vary, example_trips()["stream-survey"])
    whole = sweep(*asked, effort=WHOLE)
    assert whole.best is not None
    assert (whole.status, whole.checked, whole.not_settled) == ("optimal", True, [])
    assert whole.bound_g == whole.best.mass_g
    told = set()
    for looks in (*LOOKS, 2048, 4096, 20_000):
        found = sweep(*asked, effort=cut_after(looks))
        told.add(found.status)
        assert (found.status == "optimal") == (not {"best", "designs"} & set(found.not_settled))
        assert found.checked == (found.not_settled == [])
        if found.best is not None:
            assert found.best.mass_g >= whole.best.mass_g
        if found.bound_g is not None and "designs" not in found.not_settled:
            assert found.bound_g <= whole.best.mass_g
        if found.checked:
            assert found.model_dump() == whole.model_dump()
    assert "optimal" in told and len(told) > 1  # some were cut short


def test_a_sweep_whose_question_takes_most_of_the_time_still_searches(monkeypatch: pytest.MonkeyPatch) -> None:
    """The share of the search is of what the question leaves: by a clock that only the question moves."""
    vary = [{"field": "drawing.blade.length_mm", "low": 150, "high": 210, "steps": 2}]
    asked = (design_examples()["long-knife"], vary, example_trips()["stream-survey"])
    now = [0.0]

    def slow(*what: Any, **how: Any) -> Question:
        now[0] += 0.7
        return question_of(*what, **how)

    monkeypatch.setattr(sweep_of_designs, "question_of", slow)
    found = sweep(*asked, effort=Effort(answer_seconds=1.0, seconds=LONG_S, clock=lambda: now[0]))
    whole = sweep(*asked, effort=WHOLE)
    assert (found.best, found.kit_without, found.gaps) == (whole.best, whole.kit_without, whole.gaps)
    assert found.not_settled  # a question more for a limit left out is beyond the time


@pytest.mark.parametrize("limits", [{}, {"own_at_most": 4}])
def test_a_season_cut_short_tells_kits_of_what_is_owned(limits: dict[str, int]) -> None:
    """No lighter than the best, no bound above it, and no more owned than may be."""
    trips = [(3.0, example_trips()["stream-survey"]), (1.0, example_trips()["least"])]
    whole = season(trips, **limits, effort=WHOLE)
    cut = 0
    for looks in LOOKS:  # the first ends before both trips are read
        found = season(trips, **limits, effort=cut_after(looks))
        cut += "own" in found.not_settled
        assert (found.status == "optimal") <= (found.weighted_g == whole.weighted_g)
        assert found.bound_g is not None
        assert found.bound_g <= whole.weighted_g
        assert found.checked == (found.not_settled == [])
        assert found.found == (found.status != "not_settled")
        if found.status == "not_settled":
            assert (found.own, found.gap_g) == ([], None)
            continue
        assert found.weighted_g >= whole.weighted_g
        assert len(found.own) <= limits.get("own_at_most", 100)
        assert all(set(trip.ids) <= set(found.own) for trip in found.trips)
        weighted = sum(trip.weight * trip.mass_g for trip in found.trips)
        assert weighted == pytest.approx(found.weighted_g)
    assert cut


def test_a_bad_night_cut_short_tells_the_kit_and_names_the_rest() -> None:
    """A kit of one's own is told of whatever the time; kits that bear something are no lighter than the lightest."""
    trip, kit = example_trips()["stream-survey"], ["folding-saw-240", "hatchet-600", "long-knife-180"]
    whole = bad_night(trip, kit, effort=WHOLE)
    assert whole.not_settled == []
    for looks in LOOKS[1:]:
        found = bad_night(trip, kit, effort=cut_after(looks))
        assert (found.kit, found.planned) == (whole.kit, whole.planned)
        for mine, its in zip(found.cases, whole.cases, strict=True):
            assert mine.outcome == its.outcome
            if mine.case in found.not_settled:
                assert (mine.lightest, mine.no_kit, mine.closest) == (None, None, None)
            elif mine.lightest is not None and its.lightest is not None:
                assert mine.lightest.bound_g <= its.lightest.mass_g <= mine.lightest.mass_g
        assert (found.bears_all.status == "not_settled") <= ("bears_all" in found.not_settled)
        assert found.checked <= (not found.not_settled)


def test_a_confidence_without_any_kit_in_time_says_not_settled() -> None:
    """Too little time for a kit within a limit that leaves few: no kit is told, and none is said not to be."""
    trip = trip_of(1) | {"alternatives": 0}
    scenarios = [{"weight": 1, "wood": {"species": name}} for name in ("white-spruce", "paper-birch")]
    whole = confidence(trip, scenarios, confidence=0.9, effort=WHOLE)
    for looks in (4, *LOOKS):
        try:
            found = confidence(trip, scenarios, confidence=0.9, effort=cut_after(looks))
        except Unfinished:  # before both scenarios were read
            continue
        assert (found.status == "optimal") <= (whole.status == "optimal")
        assert (found.status == "uncovered") <= (whole.status == "uncovered")
        assert (found.kit is None) == (found.status in ("uncovered", "not_settled"))
        assert found.checked <= (not found.not_settled)


@pytest.mark.parametrize("looks", range(10, 60, 5))
def test_a_plan_cut_short_while_nothing_lasts_is_answered(looks: int) -> None:
    """Of tools that all wear out too soon a plan cut short says so, or that it knows nothing; invented."""
    for seed in range(4):
        rng = Random(seed)
        tools = [random_tool(rng, f"t{i:02d}") for i in range(30)]
        tools = [
            t | {f"{k}_life": rng.choice((40, 100, 300)) for k in CUTTING_TASKS if f"{k}_score" in t} for t in tools
        ]
        tasks = [{"task": task, "diameter_mm": 60, "per_day": 5} for task in CUTTING_TASKS]
        trip = {"tools": tools, "tasks": tasks, "nights": 60, "people": 4, "field_methods": False, "detail": "kit"}
        try:
            answer = plan(trip | {"limits": {"work_min_per_day": 2000}}, effort=cut_after(looks))
        except Unfinished:
            continue
        assert answer.status == "uncovered"


@pytest.mark.parametrize("looks", [1, 3, 10])
def test_a_kit_of_ones_own_is_told_whatever_the_time(looks: int) -> None:
    """What a kit does by itself is the same as with all the time; only the lightest kit and the swap may be open."""
    for number in range(6):
        trip = random_wood_trip(Random(f"own kit {number}"), fewest=4, most=9)
        kit = [tool["id"] for tool in trip["tools"][:3]]
        whole = check(trip, kit).model_dump()
        told = check(trip, kit, effort=cut_after(looks)).model_dump()
        for name in ("covered", "kit", "needs", "workings", "gaps", "cautions"):
            assert told[name] == whole[name]
        assert set(told["not_settled"]) <= {"lightest", "first_swap"}
        assert looks > 1 or "lightest" in told["not_settled"]
        assert told["checked"] == (not told["not_settled"])


def test_a_season_of_too_much_work_is_refused_before_it_is_put(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of trips that are too many together, those beyond the bound are counted and not put."""
    trip = {"tasks": [{"task": "saw", "diameter_mm": mm} for mm in (40, 50, 60)]}
    put = []
    monkeypatch.setattr(season_report, "question_of", lambda trip, **how: put.append(0) or question_of(trip, **how))
    monkeypatch.setattr(season_report, "_MOST_TIMES", int(2.5 * question_of(Trip.model_validate(trip)).case.work.size))
    with pytest.raises(TripError, match="can be told on 2 trips at once, not on 5"):
        season([trip] * 5)
    assert len(put) == 2
