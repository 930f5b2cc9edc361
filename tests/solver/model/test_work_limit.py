"""The work limit to the millisecond: a kit that takes one more is over it, whoever settles the trip."""

import pytest
from fastapi import FastAPI
from service import kit_of, post, small_app
from stated_trips import AXE, HANDLING_MIN, KNIFE, MINUTES_AT_TEN, Row, ids, own

MS_PER_MIN = 60_000
ROUNDS = 500  # a day of 1,250 minutes: there the slack of a limit grows with the limit
KNIFE_MIN, AXE_MIN = (MINUTES_AT_TEN * 10 / tool["split_score"] + HANDLING_MIN for tool in (KNIFE, AXE))
FREE_MIN, REST_SHARE = 30, 0.2  # judged: beyond half an hour of one person a fifth of the work is rest


def told(rounds: int, each_min: float) -> float:
    """The minutes of a day with its rest, its work in whole milliseconds."""
    work_min = round(rounds * each_min * MS_PER_MIN) / MS_PER_MIN
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
    """2.1 minutes a round by knife, by the stated rules; a millisecond (two on a long day) less leaves the axe."""
    exact = told(rounds, KNIFE_MIN)
    less = exact - (2 if rounds > 1 else 1) / MS_PER_MIN
    assert ids(post(limited(rounds, exact, aim=aim), app=app).json()) == ["knife"]
    assert ids(post(limited(rounds, less, aim=aim), app=app).json()) == ["axe"]


@pytest.mark.parametrize("rounds", [1, ROUNDS])
def test_a_kit_of_ones_own_is_over_the_limit_by_a_millisecond(rounds: int) -> None:
    """The same through the check, which says by how much."""
    over = 2 / MS_PER_MIN
    exact = {"trip": limited(rounds, told(rounds, KNIFE_MIN)), "kit": ["knife"]}
    assert kit_of(exact, address="/v1/kits/check")["covered"]
    short = kit_of(exact | {"trip": limited(rounds, told(rounds, KNIFE_MIN) - over)}, address="/v1/kits/check")
    assert [gap["field"] for gap in short["gaps"]] == ["work_min_per_day"]
    assert short["gaps"][0]["short_by"] == pytest.approx(over, abs=1 / MS_PER_MIN)


def test_the_least_limit_that_works_is_the_day_of_the_quickest_kit() -> None:
    """No kit does 500 rounds in 60 minutes: the axe's 461 with their rest are the least."""
    answer = kit_of(limited(ROUNDS, 60))
    assert (answer["status"], ids(answer)) == ("uncovered", ["axe"])
    assert answer["gaps"][0]["short_by"] == pytest.approx(told(ROUNDS, AXE_MIN) - 60, abs=2 / MS_PER_MIN)
