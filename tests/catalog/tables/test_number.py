"""Chains of straight lines, of plain numbers and of arrays."""

import numpy as np
import pytest

from catalog.tables.number import between

pytestmark = pytest.mark.quick

KNOTS = [(1.0, 10.0), (2.0, 20.0), (4.0, 0.0)]


@pytest.mark.parametrize(("at", "value"), [(-3, 10), (1, 10), (1.5, 15), (2, 20), (3, 10), (4, 0), (9, 0)])
def test_a_chain_of_lines_keeps_its_end_values_beyond_both_ends(at: float, value: float) -> None:
    assert between(KNOTS, at) == value
    assert np.array_equal(between(KNOTS, np.array([at, at])), [value, value])
