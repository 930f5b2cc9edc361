"""A slice of `python tests sure_calibration`: kits chosen at a confidence do about as often as they are told to."""

from fractions import Fraction
from math import sqrt

import pytest
from sure_calibration import study

pytestmark = pytest.mark.quick

TRUE = 2_000


def test_kits_do_as_often_as_they_are_told_to() -> None:
    """By draws with other seeds; within three standard errors and what choosing the lightest gains (judged: 0.03)."""
    kept = study(first=0, count=20, draws=64, confidence=Fraction(9, 10), true=TRUE)
    assert len(kept.true) > 3
    assert kept.not_ended == 0
    for chosen, told, true in zip(kept.chosen, kept.told, kept.true, strict=True):
        assert chosen >= 0.9
        error = sqrt(max(true * (1 - true), 0.01) / 64)
        assert chosen - true <= 3 * error + 0.03
        assert abs(told - true) <= 3 * sqrt(max(true * (1 - true), 0.01) / TRUE) + 1e-3
