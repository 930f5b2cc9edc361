"""What large cases must not cost: rows and columns that are made for nothing, copies, and days told beyond the time."""

from typing import Any

import pytest
from counted_clock import cut_after

from solver import Effort, Trip, Unfinished
from solver.answers import robust
from solver.answers.robust import AfterLoss
from solver.model import program
from solver.model.case import Case
from solver.model.day_work import workload
from solver.model.reduction import reduce
from solver.needs.question import question_of
from solver.programs.engine import Status
from solver.programs.linear_model import Model
from solver.search import choice
from solver.search.branching_data import BranchingData
from solver.search.relaxation import relieve

SAWS = 60


def saws_of(*, tasks: int, life: float = 1) -> Case:
    """Saws, alike but for their masses, at some tasks; invented."""
    saws = [
        {"id": f"s{n:02d}", "saw_score": 5, "saw_max_mm": 200, "mass_g": 900 - n, "saw_life": life, "kind": "bow saw"}
        for n in range(SAWS)
    ]
    trip = {"tools": saws, "tasks": [{"task": "saw", "diameter_mm": 50 + n} for n in range(tasks)], "knife": "none"}
    return question_of(Trip.model_validate(trip | {"field_methods": False})).case


def test_a_program_of_too_many_columns_is_refused_before_its_shares_are_made(monkeypatch: pytest.MonkeyPatch) -> None:
    """A column of work for each saw at each task would be more: none is added, and within the bound all are."""
    case = saws_of(tasks=10)
    monkeypatch.setattr(program, "_MOST_COLUMNS", 11 * SAWS - 1)
    with pytest.raises(Unfinished):
        program.build(case, with_minutes=True, model=(refused := Model()))
    assert len(refused.columns) == SAWS
    monkeypatch.setattr(program, "_MOST_COLUMNS", 11 * SAWS)
    program.build(case, with_minutes=True, model=(built := Model()))
    assert len(built.columns) == 11 * SAWS


def test_a_program_of_tools_that_wear_ends_with_the_time() -> None:
    """A look at the clock for each of them: no more rows are made than looks were left."""
    case = saws_of(tasks=1, life=1e-3)
    assert case.mortal.all()
    program.build(case, with_minutes=True, model=(whole := Model()))
    with pytest.raises(Unfinished):
        program.build(case, with_minutes=True, model=(cut := Model()), effort=cut_after(SAWS // 2).begun())
    assert SAWS < len(cut.rows) < len(whole.rows) - SAWS // 2 + 1


def test_what_gives_way_is_sought_without_the_tools_that_others_beat(monkeypatch: pytest.MonkeyPatch) -> None:
    """One saw is left of all that are alike but heavier: its day is what the limit has to give way to."""
    case, made, build = saws_of(tasks=2, life=1e6), list[int](), choice.build

    def noted(case: Case, **given: Any) -> program.Program:
        made.append(case.tools)
        return build(case, **given)

    monkeypatch.setattr(choice, "build", noted)
    loose, (relief,) = relieve(case.capped("work_min_per_day", 1), effort=Effort())
    assert made
    assert max(made) == 1
    day = workload(case, frozenset({0}), effort=Effort())
    assert day is not None
    assert (relief.needed, relief.proven, loose.work_cap) == (day.work, True, day.work)


def test_a_case_is_not_reduced_once_the_time_is_over() -> None:
    """Whatever the look at which it ends, the case is the whole one, or the one that all the time reduces it to."""
    case = saws_of(tasks=2, life=1e6)
    whole = reduce(case, by_effort=False)
    effort = cut_after(1).begun()
    assert reduce(case, by_effort=False, effort=effort) is case
    assert whole.tools < case.tools
    for looks in range(2, 12):
        found = reduce(case, by_effort=False, effort=cut_after(looks).begun())
        assert found.tools in (case.tools, whole.tools)


def test_losses_of_a_large_kit_end_with_the_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """No more days after a loss are told than looks at the clock were left."""
    case, days = saws_of(tasks=2), list[frozenset[int]]()

    def told(_: Case, kit: frozenset[int]) -> int:
        days.append(kit)
        return 0

    monkeypatch.setattr(robust, "unworn_ms", told)
    rest = AfterLoss(case, case.fixed, 1.0, effort=cut_after(8).begun())
    with pytest.raises(Unfinished):
        list(rest.fatal(frozenset(range(case.tools))))
    assert 0 < len(days) < 8


def test_a_case_that_takes_most_of_the_time_to_reduce_is_left_to_greed(monkeypatch: pytest.MonkeyPatch) -> None:
    """No tree is laid out for it: a kit by greed, not proven, with time to spare; by a clock that the step moves."""
    now = [0.0]

    def slow(case: Case, **_: object) -> Case:
        now[0] += 0.7
        return case

    def laid(*_: object) -> BranchingData:
        raise AssertionError("a tree was laid out")

    def stopped(*_: object, **__: object) -> program.Program:
        raise Unfinished

    monkeypatch.setattr(choice, "reduce", slow)
    monkeypatch.setattr(choice, "BranchingData", laid)
    monkeypatch.setattr(choice, "build", stopped)
    case = saws_of(tasks=2, life=1e6)
    effort = Effort(answer_seconds=1.0, clock=lambda: now[0]).begun()
    found = choice.choose(case, effort=effort)
    assert (found.status, found.ids) == (Status.STOPPED, (case.ids[-1],))
    assert not effort.over


def test_a_kit_that_bears_a_loss_is_left_to_greed_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two of the saws, one of which may be lost; not proven, since the case took too long to reduce."""
    now = [0.0]

    def slow(case: Case, **_: object) -> Case:
        now[0] += 0.7
        return case

    monkeypatch.setattr(robust, "reduce", slow)
    monkeypatch.setattr(robust, "Tree", None)  # nothing is searched by it
    monkeypatch.setattr(robust, "by_program", None)
    case = saws_of(tasks=2, life=1e6)
    effort = Effort(answer_seconds=1.0, clock=lambda: now[0]).begun()
    found = robust.robust_kit(case, jobs=case.fixed, multiple=1.0, effort=effort)
    assert (found.status, found.ids) == (Status.STOPPED, case.ids[-2:])
    assert [loss.load is not None for loss in found.losses] == [True, True]
