"""The kit by greed that stands where an answer's effort ended first: it keeps every rule, and is never called proven.

No source: it is held against the same plan with effort enough.
"""

from random import Random

import numpy as np
import pytest
from oracle import CUTTING_TASKS, Row
from random_wood_trips import random_wood_trip

from solver import Answer, Effort, Trip, check, plan
from solver.model.case import NEVER
from solver.model.greedy_kit import kit_by_greed, promising_tools
from solver.needs.question import question_of
from solver.search.choice import Search

pytestmark = pytest.mark.quick

TRIPS = 40
LONG_S = 36_000.0


def out_of_time() -> Effort:
    """An effort whose time is over with the second look at its clock."""
    times = iter([0.0])
    return Effort(answer_seconds=LONG_S, clock=lambda: next(times, 2 * LONG_S))


def test_without_any_time_a_plan_is_a_kit_that_keeps_every_rule() -> None:
    """As heavy as the lightest at least, of no known bound; where it breaks limits, it keeps them raised so far."""
    kits = raised = 0
    for number in range(TRIPS):
        trip = random_wood_trip(Random(f"greed-{number}"), fewest=4, most=9) | {"detail": "kit", "aim": "mass"}
        whole = plan(trip, effort=Effort(seconds=LONG_S))
        found = plan(trip, effort=out_of_time())
        assert found.status != "optimal"
        assert not found.proof.checked
        if "kit" in found.not_settled:
            assert found.status == "uncovered"
            raised += keeps_what_is_raised(trip, found)
        elif whole.status == "optimal":
            kits += 1
            assert found.status == "feasible"
            assert found.kit.mass_g >= whole.kit.mass_g
            assert found.kit.work_min_per_day <= trip["limits"]["work_min_per_day"]
    assert kits >= TRIPS // 4
    assert raised >= TRIPS // 10


def keeps_what_is_raised(trip: Row, found: Answer) -> bool:
    """Hold the kit of an answer against the trip with its limits raised by what is told; whether it could be."""
    limits = dict(trip["limits"])
    for gap in found.gaps:
        if gap.field not in limits or gap.short_by is None:
            return False  # a need that nobody meets, or wear
        limits[gap.field] += gap.short_by
        assert gap.text.startswith("No kit found within the allowed effort")
    kit = [tool.id for tool in found.kit.tools for _ in range(tool.count)]
    judged = check(trip | {"limits": limits, "nights": trip.get("nights", 1)}, kit, effort=Effort(seconds=LONG_S))
    assert judged.covered, judged.gaps
    return True


def test_few_tools_stand_out_among_many(monkeypatch: pytest.MonkeyPatch) -> None:
    """The lightest and the quickest of each job are among them, what they need, and what must go."""
    monkeypatch.setattr("solver.model.greedy_kit._MANY", 0)
    rng = Random(5)
    rows = [{"id": f"t{n:05d}", "kind": "tool", "mass_g": rng.randint(50, 9_000)} for n in range(400)]
    for row in rows:
        row |= {f"{rng.choice(CUTTING_TASKS)}_score": rng.randint(1, 10)}
        row |= {f"{task}_max_mm": 100 for task in CUTTING_TASKS if f"{task}_score" in row}
    rows[7]["needs"] = rows[9]["id"]
    tasks = [{"task": task, "diameter_mm": 50} for task in CUTTING_TASKS]
    trip = {"tools": rows, "tasks": tasks, "must_carry": [rows[7]["id"]], "knife": "none", "field_methods": False}
    case = question_of(Trip.model_validate(trip)).case
    few = promising_tools(case)
    assert len(few) <= 15 * len(CUTTING_TASKS) + 2
    assert {case.place[rows[7]["id"]], case.place[rows[9]["id"]]} <= set(few.tolist())
    for work in case.work[:, : case.tools]:
        able = np.flatnonzero(work < NEVER)
        assert case.mass[able].min() in case.mass[few[work[few] < NEVER]]
        assert work.min() == work[few].min()


def test_a_kit_sought_among_the_few_that_stand_out_is_told_as_one_of_all(monkeypatch: pytest.MonkeyPatch) -> None:
    """Its limits give way; the tool that does the work is that of the kit, though others before it were left out."""
    monkeypatch.setattr("solver.model.greedy_kit._MANY", 0)
    monkeypatch.setattr("solver.model.greedy_kit._FEW_EACH", 1)
    saws = [{"id": f"s{n:02d}", "kind": "saw", "saw_score": 5 + n / 10, "saw_max_mm": 100} for n in range(30)]
    saws = [saw | {"mass_g": 500 + abs(n - 20)} for n, saw in enumerate(saws)]
    trip = {"tools": saws, "tasks": [{"task": "saw", "diameter_mm": 60}], "field_methods": False, "knife": "none"}
    trip |= {"limits": {"mass_g": 100}, "ask_about": [saw["id"] for saw in saws]}
    found = plan(trip, effort=out_of_time())
    assert (found.status, found.proof.checked) == ("uncovered", False)
    assert [tool.id for tool in found.kit.tools] == ["s20"]
    assert [one.id for one in found.needs[0].done_with] == ["s20"]
    assert {"kit", "why_not"} <= set(found.not_settled)
    assert found.proof.tools_considered == len(saws)


def test_where_tools_wear_out_greed_adds_what_takes_over_from_them() -> None:
    """A long chain of cuts for three saws that each last a third of it: two saws are too few, and all are many.

    By hand: 30 cuts of 79 cm2 a trip, and 950 cm2 are 12 of them, so that three go; the day has time enough.
    """
    saws = [
        {"id": f"s{n:02d}", "kind": "folding saw", "mass_g": 100 + 10 * n, "saw_score": 5, "saw_max_mm": 200}
        | {"saw_life": 950}
        for n in range(20)
    ]
    task = {"task": "saw", "diameter_mm": 100, "per_day": 10}
    trip = {"tools": saws, "tasks": [task], "nights": 3, "knife": "none", "field_methods": False}
    case = question_of(Trip.model_validate(trip | {"limits": {"work_min_per_day": 600}})).case
    search = Search(case, effort=Effort(), solver=None)
    kit = kit_by_greed(case, search.counts, effort=Effort(), shrinking=False)
    assert kit is not None
    assert {case.ids[tool] for tool in kit} == {"s00", "s01", "s02"}
