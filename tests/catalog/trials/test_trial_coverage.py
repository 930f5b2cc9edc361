"""A slice of the calibration study: `python tests trial_coverage` runs 2,000 truths of each plan."""

import math

import pytest
from trial_coverage import study

pytestmark = pytest.mark.quick

RATE = 0.9  # stated confidence
ROUNDS = 100


def slack(count: int) -> float:
    """Three standard errors of a simulated share; scores of one world are counted as one, since they share figures."""
    return 3 * math.sqrt(RATE * (1 - RATE) / count)


@pytest.mark.parametrize(("plan", "records"), [("one saw", 3), ("three saws, two people", 2)])
def test_intervals_hold_the_truth_at_the_stated_rate(plan: str, records: int) -> None:
    found = study(plan=plan, records=records, spoilt_share=0, repeats=ROUNDS, seed=records)
    for figure in ("score", "saw_rate", "pace"):
        assert abs(found.coverage(figure) - RATE) <= slack(ROUNDS), figure


def test_one_spoilt_record_in_ten_costs_little() -> None:
    found = study(plan="three saws, two people", records=3, spoilt_share=0.1, repeats=ROUNDS, seed=4)
    assert found.coverage("score") >= 0.8
    assert found.named > 0.3 * found.spoilt


def test_two_records_narrow_a_score_and_more_narrow_it_further() -> None:
    """Beside a reference saw. Before: a factor of 1.3 either way."""
    two, six = (study(plan="three saws, two people", records=n, spoilt_share=0, repeats=20, seed=1) for n in (2, 6))
    before = 2 * math.log(1.3)
    first, second = (one.width["score"] / one.count["score"] for one in (two, six))
    assert second < first < 0.75 * before


def test_an_interval_that_is_too_narrow_would_be_caught() -> None:
    found = study(plan="one saw", records=3, spoilt_share=0, repeats=ROUNDS, seed=2, confidence=0.5)
    assert found.coverage("score") < RATE - slack(ROUNDS)
