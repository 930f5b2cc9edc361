"""Draws that are kept are those that are drawn anew; the trip is invented."""

import pytest

from api.examples.invented import example_trips
from catalog.maths.draws_memory import DrawsMemory
from catalog.scores import score_spread
from solver import Effort, Trip
from solver.draws import joint_draws
from solver.needs.question import question_of

pytestmark = pytest.mark.quick


def test_draws_that_are_kept_are_those_that_are_drawn_anew(monkeypatch: pytest.MonkeyPatch) -> None:
    """Scores and figures by seed, number of draws, stream and what the trip says of them; each told from the others."""
    question = question_of(Trip.model_validate(example_trips()["stream-survey"]))
    asked = [(count, seed, fresh) for count in (16, 17) for seed in (1, 2) for fresh in (False, True)]
    places = range(6)

    def all_of() -> list[list[float]]:
        found = []
        for count, seed, fresh in asked:
            draws = joint_draws.draws_of(question, count=count, seed=seed, effort=Effort(), fresh=fresh)
            figures = [draws.figure(name) for name in ("pace", "saw_rate")]
            scores = [draws.factor(task, place) for place in places for task in ("saw", "split")]
            found.append([float(value) for each in (*figures, *scores) for value in each])
        return found

    first = all_of()
    assert all_of() == first
    for module in (score_spread, joint_draws):
        monkeypatch.setattr(module, "DRAWS_MEMORY", DrawsMemory())
    assert all_of() == first
    assert len({tuple(each) for each in first}) == len(asked)
