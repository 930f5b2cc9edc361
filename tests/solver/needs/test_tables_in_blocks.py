"""Tables of tools at jobs are the same however few of their times are told at once."""

from random import Random

import numpy as np
import pytest
from random_wood_trips import random_wood_trip

from solver import Trip
from solver.model import case as case_of
from solver.model.case import Case
from solver.needs import ability
from solver.needs.question import Question, question_of

TRIES = 12


def _put(number: int) -> Question:
    """A question of tools that wear, of a random trip with a fire; the aim takes turns, as kcal ask for more ways."""
    body = random_wood_trip(Random(f"blocks {number}"), fewest=4, most=9) | {"aim": ("mass", "effort")[number % 2]}
    return question_of(Trip.model_validate(body))


def _figures(case: Case) -> list[np.ndarray]:
    """All that a table says."""
    ways = case.slower
    mine = [ways.job, ways.worker, ways.work, ways.wear, ways.kcal, ways.part]
    return [case.work, case.able, case.wear, case.kcal, case.part, case.mortal_parts, *mine]


@pytest.mark.parametrize("most", [1, 50])
def test_tables_are_the_same_in_blocks(monkeypatch: pytest.MonkeyPatch, most: int) -> None:
    """Each trip put at once, and a few times at once: every figure is equal."""
    whole = [_put(number) for number in range(TRIES)]
    monkeypatch.setattr(ability, "_MOST_CELLS", most)
    told = [_figures(question.case) for question in whole]
    assert any(figures[5].any() for figures in told)  # some tools can wear out
    assert any(len(figures[6]) for figures in told)  # and have further ways
    monkeypatch.setattr(case_of, "_MOST_CELLS", most)
    for number, figures in enumerate(told):
        again = _figures(_put(number).case)
        for one, other in zip(figures, again, strict=True):
            np.testing.assert_array_equal(one, other)
