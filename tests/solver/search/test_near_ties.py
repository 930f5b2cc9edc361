"""Kits that are nearly alike: the smallest difference that counts decides, whoever settles the trip.

By the stated rules a round of 140 mm takes 2.1 minutes at score 5; times go by one over the score.
"""

import pytest
from service import kit_of
from stated_trips import Row, ids, own

SAWN = {"saw_score": 5, "saw_max_mm": 200}
BOTH_TASKS = [{"task": "split", "diameter_mm": 140}, {"task": "saw", "diameter_mm": 100}]


def splitter(name: str, mass_g: float, score: float = 5) -> Row:
    """A tool that splits."""
    return {"id": name, "kind": "axe", "mass_g": mass_g, "split_score": score, "split_max_mm": 200}


@pytest.fixture(params=["", "highs", "cbc"])
def _solver(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """The enumeration, or one of the integer solvers by itself."""
    if request.param:
        monkeypatch.setenv("KITWRIGHT_SOLVER", request.param)


@pytest.mark.usefixtures("_solver")
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
def test_the_second_is_better_by_the_least_that_counts(aim: str, first: Row, second: Row) -> None:
    """Were they equal, the first id would go."""
    assert ids(kit_of(own(first, second, aim=aim))) == ["b"]


@pytest.mark.usefixtures("_solver")
@pytest.mark.parametrize("aim", ["mass", "work_time", "effort"])
def test_of_kits_alike_in_grams_and_time_the_one_of_fewer_tools_goes(aim: str) -> None:
    """One tool of 200 g, or two of 100 g that work as fast and stand before it."""
    one = splitter("z", 200) | SAWN
    two = (splitter("a", 100), {"id": "b", "kind": "folding saw", "mass_g": 100, **SAWN})
    assert ids(kit_of(own(one, *two, aim=aim) | {"tasks": BOTH_TASKS})) == ["z"]


@pytest.mark.usefixtures("_solver")
@pytest.mark.parametrize(
    ("aim", "mass_g", "score"),
    [
        ("mass", 200, 4),  # equal in grams, and slower
        ("work_time", 201, 5),  # equal in time, and a gram heavier
        ("effort", 201, 5),
    ],
)
def test_time_and_grams_come_before_the_number_of_tools(aim: str, mass_g: float, score: float) -> None:
    """One tool, worse by what comes next in its aim, against two of 100 g."""
    one = splitter("0", mass_g, score) | SAWN | {"saw_score": score}
    two = (splitter("a", 100), {"id": "b", "kind": "folding saw", "mass_g": 100, **SAWN})
    assert ids(kit_of(own(one, *two, aim=aim) | {"tasks": BOTH_TASKS})) == ["a", "b"]


@pytest.mark.usefixtures("_solver")
def test_where_no_one_walks_equal_effort_goes_by_grams() -> None:
    """Carrying costs nothing on a day in camp."""
    camp = {"route": {"km_per_day": 0, "climb_m_per_day": 0}}
    assert ids(kit_of(own(splitter("a", 900), splitter("b", 100), aim="effort", **camp))) == ["b"]


@pytest.mark.usefixtures("_solver")
@pytest.mark.parametrize(("price", "kit"), [(30.02, []), (30.03, ["b"]), (30.04, ["b"]), (30.05, ["a"])])
def test_prices_count_to_the_hundredth(price: float, kit: list[str]) -> None:
    """The lighter tool is dearer by two hundredths."""
    tools = (splitter("a", 100) | {"price": 30.05}, splitter("b", 200) | {"price": 30.03})
    answer = kit_of(own(*tools, limits={"price": price}))
    assert (answer["status"], ids(answer) if kit else []) == ("optimal" if kit else "uncovered", kit)
