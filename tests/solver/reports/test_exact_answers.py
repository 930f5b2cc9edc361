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


@pytest.mark.parametrize(
    ("kind", "seed"),
    [("full", "frost 28"), ("full", "rime 125"), ("allowance", "nov30 16"), ("allowance", "rime 28")],
)
def test_answers_that_were_wrong_once(kind: str, seed: str) -> None:
    """A need of several parts, a fire that asks for no work, a tool that goes alone, a knife of which each has one."""
    assert told_wrongly(kind, seed, ask_library) == []
