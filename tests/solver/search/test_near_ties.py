"""Kits that are nearly alike: the smallest difference that counts decides, whoever settles the trip.

By the stated rules a round of 140 mm takes 2.1 minutes at score 5; times go by one over the score.
"""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from fastapi import FastAPI
from service import post, small_app
from stated_trips import Row, ids, own

from solver import Trip
from solver.forms.effort import SolverName
from solver.model.case import EDGE, FIXED, NEVER, Case
from solver.model.firewood import Firewood
from solver.needs.question import question_of
from solver.search.choice import choose

SAWN = {"saw_score": 5, "saw_max_mm": 200}
BOTH_TASKS = [{"task": "split", "diameter_mm": 140}, {"task": "saw", "diameter_mm": 100}]


def splitter(name: str, mass_g: float, score: float = 5) -> Row:
    """A tool that splits."""
    return {"id": name, "kind": "axe", "mass_g": mass_g, "split_score": score, "split_max_mm": 200}


@pytest.fixture(params=[None, "highs", "cbc"])
def app(request: pytest.FixtureRequest) -> FastAPI:
    """A service that settles trips by the enumeration, or by one of the integer solvers alone."""
    return small_app(solver=request.param, memory_bytes=0)


def answer_of(app: FastAPI, trip: Row) -> Row:
    """The service's answer to a trip."""
    answer: Row = post(trip, app=app).json()
    return answer


@pytest.mark.parametrize(
    ("aim", "first", "second"),
    [
        ("mass", splitter("a", 100.01, 9), splitter("b", 100, 2)),  # a hundredth of a gram before any time
        ("mass", splitter("a", 100, 5), splitter("b", 100, 5.001)),  # 25 ms
        ("work_time", splitter("a", 100, 5), splitter("b", 900, 5.001)),  # 25 ms before any grams
        ("work_time", splitter("a", 100.01), splitter("b", 100)),
        ("effort", splitter("a", 100.01), splitter("b", 100)),
        ("effort", splitter("a", 100, 5), splitter("b", 100, 5.001)),
    ],
)
def test_the_second_is_better_by_the_least_that_counts(app: FastAPI, aim: str, first: Row, second: Row) -> None:
    """Were they equal, the first id would go."""
    assert ids(answer_of(app, own(first, second, aim=aim))) == ["b"]


@pytest.mark.parametrize("aim", ["mass", "work_time", "effort"])
def test_of_kits_alike_in_grams_and_time_the_one_of_fewer_tools_goes(app: FastAPI, aim: str) -> None:
    """One tool of 200 g, or two of 100 g that work as fast and stand before it."""
    one = splitter("z", 200) | SAWN
    two = (splitter("a", 100), {"id": "b", "kind": "folding saw", "mass_g": 100, **SAWN})
    assert ids(answer_of(app, own(one, *two, aim=aim) | {"tasks": BOTH_TASKS})) == ["z"]


@pytest.mark.parametrize(
    ("aim", "mass_g", "score"),
    [
        ("mass", 200, 4),  # equal in grams, and slower
        ("work_time", 201, 5),  # equal in time, and a gram heavier
        ("effort", 201, 5),
    ],
)
def test_time_and_grams_come_before_the_number_of_tools(app: FastAPI, aim: str, mass_g: float, score: float) -> None:
    """One tool, worse by what comes next in its aim, against two of 100 g."""
    one = splitter("0", mass_g, score) | SAWN | {"saw_score": score}
    two = (splitter("a", 100), {"id": "b", "kind": "folding saw", "mass_g": 100, **SAWN})
    assert ids(answer_of(app, own(one, *two, aim=aim) | {"tasks": BOTH_TASKS})) == ["a", "b"]


def test_where_no_one_walks_equal_effort_goes_by_grams(app: FastAPI) -> None:
    """Carrying costs nothing on a day in camp."""
    camp = {"route": {"km_per_day": 0, "climb_m_per_day": 0}}
    assert ids(answer_of(app, own(splitter("a", 900), splitter("b", 100), aim="effort", **camp))) == ["b"]


@pytest.mark.parametrize(("price", "kit"), [(30.02, []), (30.03, ["b"]), (30.04, ["b"]), (30.05, ["a"])])
def test_prices_count_to_the_hundredth(app: FastAPI, price: float, kit: list[str]) -> None:
    """The lighter tool is dearer by two hundredths."""
    tools = (splitter("a", 100) | {"price": 30.05}, splitter("b", 200) | {"price": 30.03})
    answer = answer_of(app, own(*tools, limits={"price": price}))
    assert (answer["status"], ids(answer) if kit else []) == ("optimal" if kit else "uncovered", kit)


SOLVERS: tuple[SolverName | None, ...] = (None, "highs", "cbc")


def case_of(tools: dict[str, tuple[int, float, int]], **more: Any) -> Case:
    """Tools that do one job in so many milliseconds for so many kcal, and weigh so much [0.01 g]; no one walks."""
    walked = question_of(Trip.model_validate(own(splitter("a", 100)))).case
    ms, kcal, mass = zip(*tools.values(), strict=True)
    figures: dict[str, Any] = {
        "ids": tuple(tools),
        "mass": np.array(mass, dtype=np.int64),
        "price": np.zeros(len(tools), dtype=np.int64),
        "work": np.array([ms], dtype=np.int64),
        "able": np.ones((1, len(tools)), dtype=bool),
        "backup": np.array([0]),
        "wood_class": np.array([FIXED]),
        "wear": np.zeros((1, len(tools)), dtype=np.int64),
        "kcal": np.rint(1e6 * np.array([kcal])).astype(np.int64),
        "part": np.full((1, len(tools)), EDGE),
        "carry": 0.0,
    }
    return replace(walked, **figures | more)


@pytest.mark.parametrize("solver", SOLVERS)
@pytest.mark.parametrize(("grams", "kit"), [(1, ("b",)), (400, ("b",)), (999, ("b",)), (1000, ("b",))])
def test_days_are_told_apart_by_the_ms_that_they_are_rounded_up_to(
    grams: int, kit: tuple[str], solver: SolverName | None
) -> None:
    """b takes a millisecond less a kilogram of firewood: of equally long days the first id goes."""
    firewood = Firewood(grams, np.array([9000]), np.array([0]), np.array([0]))
    tools = {"a": (60_001, 1.0, 100), "b": (60_000, 1.0, 100)}
    case = case_of(tools, firewood=firewood, wood_class=np.array([0]))
    for aim in ("mass", "work_time"):
        assert choose(case, aim=aim, solver=solver).ids == kit


@pytest.mark.parametrize("solver", SOLVERS)
@pytest.mark.parametrize(("kcal", "kit"), [(1 + 4e-7, ("b",)), (1 + 1e-6, ("a",)), (1 + 5e-4, ("a",))])
def test_energy_counts_in_millionths_of_a_kcal(kcal: float, kit: tuple[str], solver: SolverName | None) -> None:
    """b weighs less: of days of equal effort the lightest kit goes."""
    case = case_of({"a": (60_000, 1.0, 200), "b": (60_000, kcal, 100)})
    assert choose(case, aim="effort", solver=solver).ids == kit


@pytest.mark.parametrize("solver", SOLVERS)
def test_of_kits_of_equal_effort_grams_come_before_time_and_time_before_the_number(solver: SolverName | None) -> None:
    """The lighter is slower; of two tools that weigh what one does, together they are quicker."""
    lighter = case_of({"a": (50_000, 1.0, 200), "b": (60_000, 1.0, 100)})
    assert choose(lighter, aim="effort", solver=solver).ids == ("b",)
    both = case_of(
        {"a": (50_000, 1.0, 100), "b": (50_000, 1.0, 100), "z": (60_000, 1.0, 200)},
        work=np.array([[50_000, int(NEVER), 60_000], [int(NEVER), 50_000, 60_000]]),
        able=np.array([[True, False, True], [False, True, True]]),
        backup=np.array([0, 0]),
        wood_class=np.array([FIXED, FIXED]),
        wear=np.zeros((2, 3), dtype=np.int64),
        kcal=np.array([[1, 0, 1], [0, 1, 1]]),
        part=np.full((2, 3), EDGE),
    )
    for aim in ("effort", "mass"):
        assert choose(both, aim=aim, solver=solver).ids == ("a", "b")
