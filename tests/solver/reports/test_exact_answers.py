"""Answers near the limits against every kit in whole numbers: a slice of `python tests exact_answers`."""

import pytest
from asked_library import ask_library
from exact_questions import QUESTIONS, told_wrongly

SLICE = 25  # questions of each kind


@pytest.mark.parametrize("kind", QUESTIONS)
def test_answers_near_the_limits_are_those_of_every_kit(kind: str) -> None:
    """Kits, days, prices, gaps, allowances: exact, limits within one unit of some kit's own figures."""
    wrong = {}
    for number in range(SLICE):
        differing = told_wrongly(kind, f"slice {number}", ask_library)
        if differing:
            wrong[number] = differing
    assert wrong == {}
