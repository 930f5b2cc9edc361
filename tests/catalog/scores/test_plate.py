"""Closed forms of columns, strips and springs."""

import math

import numpy as np
import pytest
from scipy.linalg import eigh

from catalog.scores.plate import SHEAR_SHARE, borne_share, cantilever_mm_per_n, euler_n, lesser, sideways_n

pytestmark = pytest.mark.quick


def test_euler_column() -> None:
    # Timoshenko and Gere, Theory of Elastic Stability (from memory): pi2 E I / L2, 40 x 1.3 mm of steel over 240 mm
    second = 40 * 1.3**3 / 12
    assert euler_n(flat_mm4=second, length_mm=240, modulus_mpa=205e3) == pytest.approx(257, rel=0.01)


def test_strip_leans_over_at_the_load_of_timoshenko() -> None:
    """The eigenvalue of the strip's own equation, by finite differences: beta'' + (P x)2 beta / (E I G J) = 0.

    x from the free end, beta' = 0 there and beta = 0 at the clamp (Timoshenko and Gere, art. 6.3, from memory).
    """
    steps, length, modulus, second = 400, 240.0, 205e3, 40 * 1.3**3 / 12
    h = length / steps
    x = np.arange(steps) * h
    stiff = (np.diag(np.full(steps, 2.0)) - np.diag(np.ones(steps - 1), 1) - np.diag(np.ones(steps - 1), -1)) / h**2
    stiff[0, 0] /= 2  # no twist gradient at the free end; half a cell
    most = eigh(np.diag(x**2), stiff, eigvals_only=True, subset_by_index=(steps - 1, steps - 1))[0]
    shear = SHEAR_SHARE * modulus
    load = math.sqrt(modulus * second * shear * 4 * second / most)
    assert sideways_n(flat_mm4=second, length_mm=length, modulus_mpa=modulus) == pytest.approx(load, rel=0.01)


def test_cantilever_gives_as_in_roark() -> None:
    assert cantilever_mm_per_n(second_mm4=100, length_mm=50, modulus_mpa=205e3) == pytest.approx(
        50**3 / (3 * 205e3 * 100)
    )


def test_share_and_lesser_have_no_corner() -> None:
    assert borne_share(load_n=10, limit_n=10) == 0.5
    assert borne_share(load_n=1, limit_n=100) == pytest.approx(1, abs=1e-3)
    assert lesser(1.0, 100.0) == pytest.approx(1)
    assert lesser(5.0, 5.0) == pytest.approx(5 / 2**0.25)
    assert lesser(0.0, 5.0) == 0
