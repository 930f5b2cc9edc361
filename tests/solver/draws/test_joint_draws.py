"""Joint draws of a trip: each is the trip asked by itself with the figures and scores of the draw."""

from random import Random
from typing import Any

import numpy as np
import pytest
from case_figures import figures_of
from random_trips import random_tool, random_trip
from random_wood_trips import random_wood_trip

from api.examples.invented import example_trips
from catalog.tables.assumption import never_drawn, spread_rows
from solver import Effort, Trip, sure
from solver.draws.joint_draws import JointDraws, draws_of
from solver.draws.kit_outcomes import outcomes_of
from solver.model.axis_reduction import outline_of
from solver.needs.question import question_of

pytestmark = pytest.mark.quick

TASKS = ("split", "saw", "carve", "chop")
COUNT = 5
WORK = {"work_min_per_day": 35}
NEXT = 3


def own_trips() -> list[dict[str, Any]]:
    """Random trips with tools of their own, without least scores, which go by the medians."""
    rng = Random(5)
    found = [random_trip(rng, fewest=3, most=6) for _ in range(3)]
    found += [random_wood_trip(rng, fewest=3, most=6) for _ in range(4)]
    for trip in found:
        trip.pop("robust", None)
        trip["tools"] = [
            row | {f"{t}_score": min(9.0, row.get(f"{t}_score") or 0) for t in TASKS} for row in trip["tools"]
        ]
        trip["tasks"] = [{k: v for k, v in task.items() if k != "min_score"} for task in trip.get("tasks", [])]
    return found


def drawn(form: dict[str, Any], count: int = COUNT, **more: Any) -> JointDraws:
    return draws_of(question_of(Trip.model_validate(form)), count=count, seed=1, effort=Effort(), **more)


@pytest.mark.parametrize("form", own_trips(), ids=lambda _: "trip")
@pytest.mark.parametrize("fresh", [False, True])
def test_each_draw_is_the_trip_asked_by_itself(form: dict[str, Any], fresh: bool) -> None:
    """Its figures as the trip's own, its scores in the rows."""
    draws = drawn(form, fresh=fresh)
    cases = draws.block(0, COUNT)
    places = draws.question.workers.candidates.place
    for place, case in enumerate(cases):
        rows = [
            row
            | {
                f"{task}_score": row[f"{task}_score"] * draws.factor(task, places[row["id"]])[place]
                for task in TASKS
                if row[f"{task}_score"] and row["id"] in places
            }
            for row in form["tools"]
        ]
        stated = {name: float(values[place]) for name, values in draws.figures.items()}
        alone = form | {"tools": rows, "assumptions": form.get("assumptions", {}) | stated}
        other = question_of(Trip.model_validate(alone)).case
        for mine, theirs in zip(figures_of(case), figures_of(other), strict=True):
            assert np.array_equal(mine, theirs), place


@pytest.mark.parametrize("name", sorted(example_trips()))
def test_what_the_trip_reads_is_drawn_unless_it_says_so_itself(name: str) -> None:
    form = example_trips()[name]
    draws = drawn(form)
    draws.axis(0, COUNT)
    read = question_of(Trip.model_validate(form)).ledger.used
    stated = form.get("assumptions", {})
    assert set(draws.figures) >= {one for one in read if one in spread_rows()} - set(stated)
    assert not set(draws.figures) & {*stated, *never_drawn()}
    assert {"pace"} <= set(draws.figures)
    own = drawn(form | {"assumptions": {**stated, "pace": 1.1, "frozen_below": -3}})
    assert not {"pace", "frozen_below"} & set(own.figures)
    for one, values in own.figures.items():
        assert np.array_equal(values, draws.figures[one])


def test_a_tool_more_changes_no_other_draw() -> None:
    """Nor does another trip; each stratum of a score is entered once."""
    rng = Random(2)
    form = random_trip(rng, fewest=5, most=5)
    more = form | {"tools": [*form["tools"], random_tool(rng, "added")]}
    before, after = drawn(form, 64), drawn(more, 64)
    assert set(before.figures) <= set(after.figures)
    for name, values in before.figures.items():
        assert np.array_equal(values, after.figures[name])
    ids, others = before.question.workers.candidates.place, after.question.workers.candidates.place
    for name, place in ids.items():
        for task in TASKS:
            each = before.factor(task, place)
            assert np.array_equal(each, after.factor(task, others[name]))
            assert len(set(each)) in {1, 64}


def test_blocks_are_parts_of_the_whole() -> None:
    """Also where cases are made anew for each block, and where only a later draw reads a figure."""
    form = next(one for one in own_trips() if one.get("fire"))
    whole, parts = drawn(form, 12), drawn(form, 12)
    parts.size = 5
    one_by_one = [parts.block(place, place + 1)[0] for place in range(12)]
    for case, other in zip(whole.block(0, 12), one_by_one, strict=True):
        assert all(np.array_equal(a, b) for a, b in zip(figures_of(case), figures_of(other), strict=True))


def test_what_kits_do_is_the_same_asked_in_parts_and_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Beside the outcomes of each kit in all draws at once; what is kept may be thrown away at any time."""
    monkeypatch.setattr("solver.draws.joint_draws._MOST_TOLD", 3 * 40)
    rng, seen = np.random.default_rng(8), set[bool]()
    for form in own_trips():
        draws = drawn(form, count=40)
        ids = draws.question.case.ids
        kits = [ids, ids[:1], ids[:2], ids[1:]]
        expected = {kit: outcomes_of(draws, draws.question.case.kit(kit)).suffices for kit in kits}
        for _ in range(12):
            kit = kits[int(rng.integers(len(kits)))]
            places = np.flatnonzero(rng.random(40) < 0.4)
            told = draws.within(Effort()).glance(tuple(kit), places, False)
            assert told.tolist() == expected[kit][places].tolist()
            seen |= set(told.tolist())
    assert seen == {False, True}


def test_of_hundreds_of_tools_those_without_work_stay_out() -> None:
    """Above 256 tools each is weighed alone; where only sawing is due few of 300 knives are left beside forty saws."""
    rng = Random(31)
    saws = [
        {
            "id": f"saw-{n}",
            "kind": "folding saw",
            "mass_g": rng.randint(90, 700),
            "saw_score": 1 + n % 8,
            "saw_max_mm": 150,
        }
        for n in range(40)
    ]
    knives = [
        {
            "id": f"knife-{n}",
            "kind": "fixed knife",
            "mass_g": rng.randint(40, 400),
            "carve_score": 5,
            "carve_max_mm": 40,
        }
        for n in range(300)
    ]
    trip = {"tasks": [{"task": "saw", "diameter_mm": 90, "per_day": 30}], "field_methods": False, "limits": WORK}
    form = trip | {"tools": saws + knives}
    draws = drawn(form, 64)
    kept = outline_of(draws, spare=NEXT, effort=Effort(), whole=True).kept
    assert len(kept) <= len(saws) + NEXT + 1
    asked = {"draws": 64, "confidence": 0.8}
    of_all, of_saws = sure(form | {"tools": saws + knives}, asked), sure(trip | {"tools": saws}, asked)
    assert of_all.at_confidence is not None
    told = ("at_confidence", "curve", "next_kits", "status", "not_settled")
    assert [getattr(of_all, one) for one in told] == [getattr(of_saws, one) for one in told]
