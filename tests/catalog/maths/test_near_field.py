"""A field over a plane: its correlation by scipy's Bessel functions, and a standard normal figure at each place."""

import math

import numpy as np
import pytest
from scipy.special import gamma, kv
from scipy.stats import kstest

from catalog.maths.near_field import NearField, likeness

pytestmark = pytest.mark.quick

ORDER = 5 / 2
COUNT = 4000


def matern(distance: float) -> float:
    """Rasmussen and Williams 2006, equation 4.14 (from memory), with a reach of 1."""
    far = math.sqrt(2 * ORDER) * distance
    return float(2 ** (1 - ORDER) / gamma(ORDER) * far**ORDER * kv(ORDER, far)) if far else 1.0


@pytest.mark.parametrize("distance", [0.0, 0.1, 0.5, 1.0, 2.0, 4.0])
def test_likeness_is_the_matern_function(distance: float) -> None:
    assert likeness((1.0, 2.0), (1.0 + 0.6 * distance, 2.0 - 0.8 * distance)) == pytest.approx(matern(distance))


@pytest.mark.parametrize("distance", [0.2, 0.6, 1.0, 2.0, 4.0])
@pytest.mark.parametrize("angle", [0.0, 0.7, 1.5, 2.4])
def test_places_are_as_alike_as_the_function_says(distance: float, angle: float) -> None:
    """Within four standard errors, and what so few waves miss: 0.03 up to a distance of 1, 0.1 beyond."""
    field = NearField(name="f", count=COUNT, seed=3, fresh=True)
    place = (2.0 + distance * math.cos(angle), 5.0 + distance * math.sin(angle))
    found = float(np.corrcoef(field.at((2.0, 5.0)), field.at(place))[0, 1])
    wanted = matern(distance)
    error = 4 * (1 - wanted**2) / math.sqrt(COUNT)
    assert found == pytest.approx(wanted, abs=error + (0.03 if distance <= 1 else 0.1))


def test_it_is_standard_normal_everywhere() -> None:
    field = NearField(name="f", count=COUNT, seed=4, fresh=False)
    for place in ((0.0, 0.0), (7.0, -3.0), (0.4, 9.0)):
        assert kstest(field.at(place), "norm").pvalue > 1e-3


def test_it_goes_by_its_name_and_its_seed_alone() -> None:
    drawn = [NearField(name=name, count=COUNT, seed=seed, fresh=fresh).at((1.0, 2.0))
             for name, seed, fresh in (("f", 1, False), ("f", 1, False), ("g", 1, False), ("f", 2, False),
                                       ("f", 1, True))]  # fmt: skip
    assert np.array_equal(drawn[0], drawn[1])
    for other in drawn[2:]:
        assert abs(np.corrcoef(drawn[0], other)[0, 1]) < 4 / math.sqrt(COUNT)
