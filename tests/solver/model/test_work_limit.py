"""The work limit to the millisecond: a kit that takes one more is over it, whoever settles the trip."""

import pytest
from fastapi import FastAPI
from service import kit_of, post, small_app
from stated_trips import AXE, HANDLING_MIN, KNIFE, OPEN_AT_TEN, PIECES_AT_TEN, Row, ids, own

MS_PER_MIN = 60_000
ROUNDS = 700  # a day of 1,430 minutes: there the slack of a limit grows with the limit
FREE_MIN, REST_SHARE = 30, 0.2  # judged: beyond half an hour of one person a fifth of the work is rest


def told(rounds: int, tool: Row) -> float:
    """The minutes of a day with its rest; opening and splitting the pieces are whole milliseconds each."""
    share = tool["split_score"] / 10
    parts = (OPEN_AT_TEN / share + HANDLING_MIN, PIECES_AT_TEN / share)
    work_min = sum(round(rounds * each * MS_PER_MIN) for each in parts) / MS_PER_MIN
    return work_min + REST_SHARE * max(0.0, work_min - FREE_MIN)


def limited(rounds: int, minutes: float, **rules: object) -> Row:
    """So many rounds a day within so many minutes; the axe too heavy to be worth it by any aim."""
    trip = own(KNIFE, AXE | {"mass_g": 3000}, limits={"work_min_per_day": minutes}, **rules)
    return trip | {"tasks": [trip["tasks"][0] | {"per_day": rounds}]}


@pytest.fixture(params=[None, "highs", "cbc"])
def app(request: pytest.FixtureRequest) -> FastAPI:
    """A service that settles trips by the enumeration, or by one of the integer solvers alone."""
    return small_app(solver=request.param, memory_bytes=0)


@pytest.mark.parametrize(("rounds", "aim"), [(1, "mass"), (ROUNDS, "mass"), (1, "effort")])
def test_a_millisecond_over_the_limit_is_over(app: FastAPI, rounds: int, aim: str) -> None:
    """1.7 minutes a round by knife, by the stated rules; a millisecond (two on a long day) less leaves the axe."""
    exact = told(rounds, KNIFE)
    less = exact - (2 if rounds > 1 else 1) / MS_PER_MIN
    assert ids(post(limited(rounds, exact, aim=aim), app=app).json()) == ["knife"]
    assert ids(post(limited(rounds, less, aim=aim), app=app).json()) == ["axe"]


@pytest.mark.parametrize("rounds", [1, ROUNDS])
def test_a_kit_of_ones_own_is_over_the_limit_by_a_millisecond(rounds: int) -> None:
    """The same through the check, which says by how much."""
    over = 2 / MS_PER_MIN
    exact = {"trip": limited(rounds, told(rounds, KNIFE)), "kit": ["knife"]}
    assert kit_of(exact, address="/v1/kits/check")["covered"]
    short = kit_of(exact | {"trip": limited(rounds, told(rounds, KNIFE) - over)}, address="/v1/kits/check")
    assert [gap["field"] for gap in short["gaps"]] == ["work_min_per_day"]
    assert short["gaps"][0]["short_by"] == pytest.approx(over, abs=1 / MS_PER_MIN)


def test_the_least_limit_that_works_is_the_day_of_the_quickest_kit() -> None:
    """No kit does 700 rounds in 60 minutes: the axe's 454 with their rest are the least."""
    answer = kit_of(limited(ROUNDS, 60))
    assert (answer["status"], ids(answer)) == ("uncovered", ["axe"])
    assert answer["gaps"][0]["short_by"] == pytest.approx(told(ROUNDS, AXE) - 60, abs=2 / MS_PER_MIN)
