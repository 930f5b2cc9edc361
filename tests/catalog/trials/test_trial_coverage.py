import math

import pytest
from trial_coverage import study

pytestmark = pytest.mark.quick

RATE = 0.9  # stated confidence
ROUNDS = 900
# three standard errors of a simulated share: a right rule fails once in several hundred seeds
SLACK = 3 * math.sqrt(RATE * (1 - RATE) / ROUNDS)


@pytest.mark.parametrize("records", [5, 8, 12])
def test_own_records_hold_the_true_score_at_the_stated_rate(records: int) -> None:
    found = study(records=records, tools=1, spoilt_share=0, repeats=ROUNDS, seed=records)
    assert found.measured == ROUNDS
    assert RATE - SLACK <= found.coverage <= 0.94 + SLACK  # exact confidences: 0.938, 0.922, 0.908


@pytest.mark.parametrize("records", [3, 4])
def test_few_records_pooled_by_class_hold_it_too(records: int) -> None:
    found = study(records=records, tools=5, spoilt_share=0, repeats=ROUNDS // 5, seed=records)
    assert found.measured == ROUNDS
    assert RATE - SLACK <= found.coverage <= 0.97


@pytest.mark.parametrize(("records", "tools", "least"), [(3, 5, 0.87), (8, 1, 0.86), (12, 1, 0.84)])
def test_one_spoilt_record_in_ten_costs_little(records: int, tools: int, least: float) -> None:
    found = study(records=records, tools=tools, spoilt_share=0.1, repeats=ROUNDS // tools, seed=4)
    assert found.coverage >= least


def test_more_records_narrow_the_interval() -> None:
    few = study(records=6, tools=1, spoilt_share=0, repeats=200, seed=1)
    many = study(records=24, tools=1, spoilt_share=0, repeats=200, seed=1)
    assert many.ratio < few.ratio


def test_an_interval_that_ignored_scatter_would_be_caught() -> None:
    # the study must be able to fail: half the stated confidence covers far less
    assert study(records=8, tools=1, spoilt_share=0, repeats=300, seed=2, confidence=0.5).coverage < 0.75
