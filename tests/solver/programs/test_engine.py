"""What stands between the program and its solvers: fallback, reductions, and limits on the effort.

Optima of the Steiner triple covering of 9 and 27 points: 5 and 18, Fulkerson, Nemhauser, Trotter 1974, Mathematical
Programming Study 2, 72-81. On 45 points, built from Bose's 15, it is 30 (published later; only a lower limit here).
"""

import re
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from random import Random
from typing import Any

import numpy as np
import pytest
from oracle import Row
from pydantic import ValidationError
from random_trips import random_trip
from service import kit_of, post, small_app
from steiner import affine_plane_9, bose, incidence, steiner_trip, tripled
from tree import ROOT
from waiting import RUN_S

from api.cli.command import main
from api.cli.question_command import OK, UNCOVERED
from api.examples.invented import example_trips
from solver import Effort, Trip, Unfinished, lightest, plan
from solver.forms.effort import SolverName
from solver.forms.quantity import Objective
from solver.model.case import Case, mass_of
from solver.needs.probe import holds_for
from solver.needs.question import question_of
from solver.programs.engine import Engine, Outcome, Status
from solver.search.choice import Choice, choose
from solver.search.proof import Proven, Prover

SOLVERS: tuple[SolverName, ...] = ("highs", "cbc")
FALLBACK_TRIPS, REDUCED_TRIPS, STOPPED_TRIPS, PROVEN_TWICE = 40, 150, 12, 150
A27, BEST_27 = tripled(affine_plane_9()), 18
A45, BEST_45 = tripled(bose(15)), 30
TIGHT_TRIP = steiner_trip(A45) | {"limits": {"mass_g": 100 * BEST_45}}  # greed carries more


def seeded_trips(count: int, *, seed: int, most: int) -> list[Row]:
    """Random trips with every rule on and off, the same in every run."""
    return [random_trip(Random(f"{seed}-{number}"), fewest=6, most=most) for number in range(count)]


def case_of(form: Row) -> Case:
    """The case of a trip, before anything is done about needs that no tool meets."""
    trip = Trip.model_validate({"detail": "kit"} | form)
    return question_of(trip).case


def chosen(case: Case, choice: Choice) -> frozenset[int]:
    """The tools of a choice as indices of its case."""
    return frozenset(case.ids.index(name) for name in choice.ids or ())


def in_brief(answer: Row) -> Row:
    """What any two solvers must agree on: equally quick ways to share firewood out may differ in their parts."""
    kit = answer["kit"]
    return {
        "status": answer["status"],
        "ids": [tool["id"] for tool in kit["tools"]],
        "mass_g": kit["mass_g"],
        "minutes": round(kit["work_min_per_day"], 2),
        "bound_g": answer["proof"]["bound_g"],
        "gaps": [(gap["kind"], gap["need"], gap["field"]) for gap in answer["gaps"]],
    }


def answers_by(solver: SolverName, trips: list[Row]) -> list[Row]:
    """The answers of a solver, without its name."""
    asked = [Trip.model_validate({"detail": "kit"} | trip) for trip in trips]
    answers: list[Row] = [plan(trip, effort=Effort(solver=solver)).model_dump(mode="json") for trip in asked]
    assert {answer["proof"].pop("solver") for answer in answers} == {solver}
    return [in_brief(answer) for answer in answers]


def test_the_fallback_gives_the_same_answers() -> None:
    """CBC in its own process against HiGHS in this one: kits, minutes, gaps, bounds."""
    trips = [*seeded_trips(FALLBACK_TRIPS - 2, seed=8, most=16), *example_trips().values()]
    by_highs, by_cbc = (answers_by(solver, trips) for solver in SOLVERS)
    assert by_cbc == by_highs
    statuses = [answer["status"] for answer in by_highs]
    assert statuses.count("optimal") >= FALLBACK_TRIPS / 3
    assert statuses.count("uncovered") >= 3


def test_enumeration_and_integer_program_choose_the_same_kit() -> None:
    """Either may prove a kit: the same one, by all aims and ids, or none; and by any kit of its mass without ties."""
    outcomes = []
    for trip in seeded_trips(PROVEN_TWICE, seed=31, most=16):
        case = case_of(trip)
        met, solved = choose(case), choose(case, solver="highs")
        assert (met.status, met.ids, met.mass, met.bound) == (solved.status, solved.ids, solved.mass, solved.bound)
        assert (met.prover, solved.prover) == ("enumeration", "highs")
        light = choose(case, ties=False)
        assert (light.status, light.mass) == (met.status, met.mass)
        outcomes.append(met.status)
    assert outcomes.count(Status.OPTIMAL) >= PROVEN_TWICE / 3
    assert outcomes.count(Status.INFEASIBLE) >= 5


def test_an_enumeration_that_ends_early_leaves_the_program_no_worse(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a few nodes only, it hands on a kit or none and a bound: the program's answer stays the same."""
    handed_on = 0
    for trip in seeded_trips(PROVEN_TWICE, seed=32, most=16):
        case = case_of(trip)
        whole = choose(case)
        with monkeypatch.context() as patch:
            patch.setattr("solver.search.choice.MOST_NODES", 6)
            cut = choose(case)
        assert (cut.status, cut.ids, cut.mass, cut.bound) == (whole.status, whole.ids, whole.mass, whole.bound)
        handed_on += cut.prover == "highs"
    assert handed_on >= PROVEN_TWICE / 5


def test_a_cover_of_very_many_columns_is_left_to_the_program() -> None:
    """A thousand rows, each with a column of its own: all have to go, and no call stack overflows."""
    cover = lightest(np.ones(1000), np.eye(1000, dtype=bool))
    assert (cover.status, cover.mass, len(cover.columns)) == ("optimal", 1000, 1000)


def test_the_fallback_can_be_asked_for_case_by_case() -> None:
    """And by the effort, where the case says nothing."""
    case = case_of(seeded_trips(1, seed=9, most=12)[0])
    assert choose(case, solver="cbc").ids == choose(case, solver="highs").ids
    assert [choose(case, effort=Effort(solver=solver)).prover for solver in SOLVERS] == list(SOLVERS)
    assert choose(case).prover == "enumeration"


def test_the_service_runs_on_the_fallback(monkeypatch: pytest.MonkeyPatch) -> None:
    """As its settings, which may stand in the environment, ask; and it says so in its proof."""
    expected = kit_of(example_trips()["stream-survey"])
    monkeypatch.setenv("KITWRIGHT_SOLVER", "cbc")
    found = post(example_trips()["stream-survey"], app=small_app()).json()
    assert kit_of(example_trips()["stream-survey"]) == expected, "an app goes by the settings that it was made with"
    assert found["proof"].pop("solver") == "cbc"
    assert expected["proof"].pop("solver") == "enumeration"
    assert found == expected


def test_an_unknown_solver_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    """Not taken for the default: as the effort or the service is made, not at the first solve."""
    with pytest.raises(ValueError, match="solver is 'abacus'; it can be highs or cbc"):
        Effort(solver="abacus")  # type: ignore[arg-type]  # what a caller without a type checker may write
    monkeypatch.setenv("KITWRIGHT_SOLVER", "abacus")
    with pytest.raises(ValidationError, match="'highs' or 'cbc'"):
        small_app()
    assert Effort().program_solver == "highs"


@pytest.mark.parametrize("wrong", [{"nodes": 0}, {"seconds": 0}, {"seconds": -1}, {"seconds": float("nan")}])
def test_no_effort_at_all_can_be_asked_for(wrong: Row) -> None:
    (name,) = wrong
    with pytest.raises(ValueError, match=f"{name} is .*; it can be"):
        Effort(**wrong)


@pytest.mark.parametrize("command", ["plan", "bad-night"])
def test_the_command_line_goes_by_the_solver_asked_for(command: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A plan and a further question hand the setting on: each solve sees it."""
    asked: list[str | None] = []
    whole = Engine.minimise

    def minimise(engine: Engine, cost: Objective) -> Outcome:
        asked.append(engine.solver)
        return whole(engine, cost)

    monkeypatch.setattr(Engine, "minimise", minimise)
    monkeypatch.setenv("KITWRIGHT_SOLVER", "cbc")
    assert main([command, "--example", *(["least"] if command == "plan" else []), "--json"]) in (OK, UNCOVERED)
    assert set(asked) == {"cbc"}


@pytest.mark.parametrize("package", ["solver", "catalog"])
def test_nothing_of_the_environment_is_read_below_the_service(package: str) -> None:
    """Only api knows that there is one."""
    sources = list((ROOT / package).rglob("*.py"))
    assert len(sources) > 30
    found = [one.name for one in sources if re.search(r"\benviron(b)?\b|getenv", one.read_text("utf-8"))]
    assert found == []


def test_reductions_never_change_the_kit() -> None:
    """The same tools, mass and outcome with and without them, and they do set tools aside."""
    set_aside = 0
    outcomes = []
    for trip in seeded_trips(REDUCED_TRIPS, seed=150, most=18):
        case = case_of(trip)
        small, whole = choose(case), choose(case, reduced=False)
        assert (small.status, small.ids, small.mass, small.bound) == (whole.status, whole.ids, whole.mass, whole.bound)
        assert whole.set_aside == 0
        if small.ids is not None:
            assert holds_for(case, chosen(case, small), effort=Effort())
            assert mass_of(case, chosen(case, small)) == small.mass == small.bound
        outcomes.append(small.status)
        set_aside += small.set_aside
    assert outcomes.count(Status.OPTIMAL) >= REDUCED_TRIPS / 3
    assert outcomes.count(Status.INFEASIBLE) >= 5
    assert set_aside >= 3 * REDUCED_TRIPS


@pytest.mark.parametrize("solver", SOLVERS)
@pytest.mark.parametrize(
    "effort",
    [
        Effort(nodes=1, seconds=RUN_S),
        Effort(nodes=20, seconds=RUN_S),
        Effort(seconds=0.2),
        Effort(seconds=0.01),
        Effort(seconds=1e-9),
    ],
    ids=lambda effort: f"{effort.nodes} nodes, {effort.seconds} s",
)
def test_a_cover_that_the_effort_cuts_short_is_never_called_optimal(solver: SolverName, effort: Effort) -> None:
    """Feasible with a bound below it, or no outcome at all; a stopped solve's zeros are no cover."""
    able = incidence(A45)
    try:
        cover = lightest(np.ones(able.shape[1]), able, effort=replace(effort, solver=solver))
    except Unfinished:
        return
    assert cover.status == "feasible"
    assert able[:, list(cover.columns)].any(axis=1).all()
    assert cover.mass == len(set(cover.columns)) >= BEST_45
    assert cover.bound is not None
    assert 0 <= cover.bound <= BEST_45


@pytest.mark.parametrize("solver", SOLVERS)
def test_no_effort_at_all_finds_no_more_than_greed_does_and_says_so(solver: SolverName) -> None:
    """Neither an empty cover nor that there is none: one of no known bound, and what it takes of a tight limit."""
    none_at_all = Effort(seconds=1e-9, solver=solver)
    cover = lightest(np.ones(45), incidence(A45), effort=none_at_all)
    assert incidence(A45)[:, list(cover.columns)].any(axis=1).all()
    assert (cover.status, cover.bound) == ("feasible", 0)
    answer = plan(Trip.model_validate({"detail": "kit"} | TIGHT_TRIP), effort=none_at_all)
    assert (answer.status, answer.not_settled[0], answer.proof.checked) == ("uncovered", "kit", False)
    (gap,) = answer.gaps
    assert gap.short_by == answer.kit.mass_g - 100 * BEST_45 > 0
    assert gap.text.startswith("No kit found within the allowed effort keeps the limit of 3000 g on packed mass")


def test_a_kit_that_the_effort_cuts_short_is_feasible_with_bound_and_gap() -> None:
    """A trip that holds the cover of 45 points: over HTTP, one node."""
    answer = post(steiner_trip(A45), app=small_app(solve_nodes=1)).json()
    kit, proof = answer["kit"], answer["proof"]
    assert answer["status"] == "feasible"
    assert kit["mass_g"] >= 100 * BEST_45
    assert 0 < proof["bound_g"] <= 100 * BEST_45
    assert proof["gap_g"] == kit["mass_g"] - proof["bound_g"] > 0
    points = {tool["id"] for tool in kit["tools"] if tool["mass_g"] > 0}
    assert all(points & {f"p{point:02d}" for point in triple} for triple in A45)
    assert len(points) * 100 == kit["mass_g"]


def test_the_same_trip_with_more_effort_is_proven() -> None:
    """The cover of 27 points as a kit: 18 points of 100 g, published."""
    answer = plan(Trip.model_validate({"detail": "kit"} | steiner_trip(A27)), effort=Effort(seconds=RUN_S))
    assert (answer.status, answer.kit.mass_g) == ("optimal", 100 * BEST_27)
    assert (answer.proof.bound_g, answer.proof.gap_g) == (100 * BEST_27, 0)


def test_no_effort_at_all_over_http_is_a_kit_that_is_not_settled() -> None:
    """It breaks a limit, by how much is told, and nobody says that no kit keeps it."""
    answer = post(TIGHT_TRIP, app=small_app(solve_seconds=1e-9))
    assert answer.status_code == 200
    assert (answer.json()["status"], answer.json()["not_settled"][0]) == ("uncovered", "kit")


@contextmanager
def stopped_at(solve: int, *, keep_point: bool, monkeypatch: pytest.MonkeyPatch) -> Iterator[list[int]]:
    """Proofs of which the so-many-th says that its limit stopped it, with or without the choice it had."""
    whole: Callable[..., Proven] = Prover.least
    count = [0]

    def least(prover: Prover, cost: Objective, **how: Any) -> Proven:
        proven = whole(prover, cost, **how)
        count[0] += 1
        if count[0] != solve or proven.status is Status.INFEASIBLE:
            return proven
        stopped = replace(proven, status=Status.STOPPED)
        return stopped if keep_point else replace(stopped, ones=None, value=None)

    with monkeypatch.context() as patch:
        patch.setattr(Prover, "least", least)
        yield count


@pytest.mark.parametrize("keep_point", [True, False])
def test_wherever_the_effort_ends_the_outcome_is_true(keep_point: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each solve of a choice in turn is cut short: least mass, whether it is the only one, minutes, number, ids.

    What is then called optimal is the best kit; what is called stopped keeps every rule, and its bound, however late
    the end, is one of mass.
    """
    by_program = Effort(solver="highs")
    stops = 0
    for trip in seeded_trips(3 * STOPPED_TRIPS, seed=77, most=14):
        case = case_of(trip)
        best = choose(case, effort=by_program)
        for solve in range(1, best.solves + 1):
            with stopped_at(solve, keep_point=keep_point, monkeypatch=monkeypatch) as count:
                found = choose(case, effort=by_program)
            assert count[0] >= 1
            if found.status is Status.OPTIMAL:
                assert (found.ids, found.mass, found.bound) == (best.ids, best.mass, best.bound)
                continue
            assert found.status is best.status or found.status is Status.STOPPED
            if found.ids is None:
                assert found.status is Status.INFEASIBLE or (solve == 1 and not keep_point)
                continue
            stops += 1
            assert holds_for(case, chosen(case, found), effort=Effort())
            assert found.bound is not None
            assert found.bound <= best.mass <= found.mass
            if solve > 1:
                assert found.bound == found.mass == best.mass, "the least mass was proven before the end"
    assert stops >= STOPPED_TRIPS


def test_a_limit_that_gives_way_unproven_is_not_called_the_least(monkeypatch: pytest.MonkeyPatch) -> None:
    """The cover of 9 points, best 5 (published as above), under a limit of 4: with and without the proof."""
    by_program = Effort(solver="highs")
    trip = steiner_trip(affine_plane_9()) | {"limits": {"mass_g": 400}}
    (proven,) = plan(Trip.model_validate({"detail": "kit"} | trip), effort=by_program).gaps
    assert (proven.field, proven.short_by) == ("mass_g", 100)
    assert "the least that works is 500" in proven.text
    with stopped_at(3, keep_point=True, monkeypatch=monkeypatch):  # whole; work limit off; the least mass
        (unproven,) = plan(Trip.model_validate({"detail": "kit"} | trip), effort=by_program).gaps
    assert "the least value found within the allowed effort is 500" in unproven.text


def test_answers_do_not_depend_on_the_process() -> None:
    """Another hash seed, another process: the same bytes."""
    code = (
        "from solver import Trip, plan\nfrom api.examples.invented import example_trips\n"
        "for trip in example_trips().values():\n"
        "    print(plan(Trip.model_validate({'detail': 'kit'} | trip)).model_dump_json())"
    )
    outputs = set()
    for seed in ("1", "2"):
        run = subprocess.run(
            [sys.executable, "-c", code], env={"PYTHONHASHSEED": seed}, capture_output=True, check=True, timeout=RUN_S
        )
        outputs.add(run.stdout)
    assert len(outputs) == 1
    assert outputs.pop().count(b'"status":"optimal","kit":') == len(example_trips())
