"""Kits where the time ends before any search has met one: by greed, checked by the rules; trips and figures invented.

The clock runs out after so many looks, as in `test_answer_time`.
"""

from collections.abc import Iterable
from itertools import combinations
from random import Random
from typing import Literal

import pytest
from asked_questions import published_cover
from counted_clock import cut_after
from kit_space import Space
from oracle import CUTTING_TASKS, Row
from tree import DATA

from solver import Effort, Trip, Unfinished, front, plan
from solver.answers import kit
from solver.needs.question import question_of
from solver.programs.engine import Status
from solver.search.choice import choose, least_mass
from solver.siblings import kit_guess

pytestmark = pytest.mark.quick

FEW = 5


def worn_trip(seed: int, **more: object) -> Row:
    """Saws and axes of short lives, of which it takes several."""
    rng = Random(seed)
    tools = []
    for number in range(7):
        tool: Row = {"id": f"t{number}", "kind": "tool", "mass_g": rng.randint(100, 900)}
        for task in rng.sample(CUTTING_TASKS, 2):
            tool |= {f"{task}_score": rng.randint(3, 9), f"{task}_max_mm": 200, f"{task}_life": rng.randint(200, 500)}
        tools.append(tool)
    tasks = [{"task": task, "diameter_mm": 60, "per_day": 4} for task in CUTTING_TASKS]
    trip: Row = {"tools": tools, "tasks": tasks, "nights": 3, "people": 3, "field_methods": False, "knife": "none"}
    return trip | {"detail": "kit", "limits": {"work_min_per_day": 900}} | more


@pytest.mark.parametrize("robust", [None, {"needs": "all", "work_multiple": 2.0}])
def test_a_kit_by_greed_keeps_every_rule(robust: Row | None) -> None:
    """It is as good as the bound allows, no better than the best, and one of all that do."""
    told = 0
    for seed in (1, 2, 5):
        trip = worn_trip(seed, robust=robust)
        best = plan(trip, effort=Effort())
        working = {one.ids for one in Space(trip).working}
        for looks in (20, 40, 80, 160):
            try:
                found = plan(trip, effort=cut_after(looks))
            except Unfinished:
                continue
            if found.status != "feasible":
                assert found.kit.mass_g == best.kit.mass_g
                continue
            told += 1
            assert found.proof.bound_g is not None
            assert found.proof.bound_g <= best.kit.mass_g <= found.kit.mass_g
            assert tuple(sorted(tool.id for tool in found.kit.tools)) in working
    assert told >= 3


def test_what_must_go_is_not_tried_at_home(monkeypatch: pytest.MonkeyPatch) -> None:
    """A guess at the lightest kit leaves up to two tools home: of many that must go it would try every pair."""

    def few(tools: Iterable[int], fewer: int) -> Iterable[tuple[int, ...]]:
        left = list(tools)
        assert len(left) <= FEW
        return combinations(left, fewer)

    monkeypatch.setattr(kit_guess, "combinations", few)
    tools: list[Row] = [
        {"id": f"t{n}", "mass_g": 100 + n, "saw_score": 1 + n % 9, "saw_max_mm": 200} for n in range(40)
    ]
    trip = {"tools": tools, "must_carry": [tool["id"] for tool in tools], "tasks": [{"task": "saw", "diameter_mm": 60}]}
    answer = plan(trip | {"nights": 2, "knife": "none"}, effort=Effort())
    assert answer.kit.mass_g == sum(tool["mass_g"] for tool in tools)


def test_a_front_of_a_cover_comes_without_a_plan_before_it(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of a published cover with two costs (`test_published_front`) whose plan would not end."""

    def not_asked(*_: object, **__: object) -> None:
        raise AssertionError("no plan is needed")

    monkeypatch.setattr(kit, "choose", not_asked)
    asked = published_cover("2scp11D", (DATA / "2scp11D.txt").read_text("utf-8"))
    answer = front(asked.body["trip"], against="price")
    assert (answer.status, answer.checked) == ("optimal", True)
    assert [(point.mass_g, point.price) for point in answer.points]


@pytest.mark.parametrize("against", ["minutes", "price"])
def test_a_front_cut_short_has_a_kit(against: Literal["minutes", "price"]) -> None:
    """One that keeps every rule, where no point is proven by then; or those proven by then."""
    single = 0
    for seed in (1, 2, 5):
        trip = worn_trip(seed)
        whole = front(trip, against=against)
        working = {one.ids for one in Space(trip | {"limits": {"work_min_per_day": 4320}}).working}
        for looks in (2, 5, 10, 20, 40, 80):
            found = front(trip, against=against, effort=cut_after(looks))
            assert found.points
            assert found.points[0].mass_g >= whole.points[0].mass_g
            assert found.gaps or {tuple(point.ids) for point in found.points} <= working
            single += found.status == "feasible" and len(found.points) == 1
    assert single


def test_a_proof_that_its_time_ends_seeks_no_kit_by_greed() -> None:
    """Where only a proven mass is of use, all tools are not tried once more; where any kit is told, they are."""
    case = question_of(Trip.model_validate(worn_trip(1))).case
    tried: dict[bool, list[bool]] = {}
    for at_last in (True, False):
        with pytest.MonkeyPatch.context() as patch:
            asked = tried.setdefault(at_last, [])

            def noted(*_given: object, shrinking: bool = True, asked: list[bool] = asked, **_more: object) -> None:
                asked.append(shrinking)

            patch.setattr("solver.search.choice.kit_by_greed", noted)
            found = choose(case, effort=cut_after(1).begun(), at_last=at_last)
        assert found.status is Status.STOPPED
    assert tried == {True: [False, True], False: [False]}
    with pytest.raises(Unfinished):
        least_mass(case, effort=cut_after(1).begun())
