"""Chains of straight lines, powers and functions, of plain numbers and of arrays."""

import math

import numpy as np
import pytest

from catalog.tables.number import between, of_math, power

pytestmark = pytest.mark.quick

KNOTS = [(1.0, 10.0), (2.0, 20.0), (4.0, 0.0)]


@pytest.mark.parametrize(("at", "value"), [(-3, 10), (1, 10), (1.5, 15), (2, 20), (3, 10), (4, 0), (9, 0)])
def test_a_chain_of_lines_keeps_its_end_values_beyond_both_ends(at: float, value: float) -> None:
    assert between(KNOTS, at) == value
    assert np.array_equal(between(KNOTS, np.array([at, at])), [value, value])


@pytest.mark.parametrize("scale", [1e-9, 0.1, 1.0, 30.0, 690.0])
def test_functions_of_arrays_come_to_the_bits_of_plain_numbers(scale: float) -> None:
    """Source: Python's own operators and ``math``."""
    numbers = np.linspace(-scale, scale, 4001)
    assert of_math("exp", numbers).tolist() == [math.exp(one) for one in numbers.tolist()]
    bases, exponents = np.abs(numbers) + 1e-3, np.linspace(-3, 3, 4001)
    assert power(bases, exponents).tolist() == [
        one**other for one, other in zip(bases.tolist(), exponents.tolist(), strict=True)
    ]
    for exponent in (2, 3, 0.36, 1.96):
        assert power(bases, exponent).tolist() == [one**exponent for one in bases.tolist()]


def test_functions_of_arrays_refuse_what_plain_numbers_refuse() -> None:
    with pytest.raises(OverflowError):
        of_math("exp", np.array([1.0, 800.0]))
    with pytest.raises(OverflowError):
        power(np.array([2.0, 1e200]), 2)
    with pytest.raises(ZeroDivisionError):
        power(np.array([2.0, 0.0]), -1)
