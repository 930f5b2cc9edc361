"""The landing of a descent, against the least sum of two figures whose product is given."""

import math

import numpy as np
import pytest

from catalog.tables.number import Floats
from solver.makers.descent import Descent
from solver.makers.landing import landed

Found = tuple[float, list[float]] | None


def sized(shares: Floats) -> tuple[float, float]:
    first, second = (1 + 9 * float(share) for share in shares[:2])
    return first, second


def product(shares: Floats) -> Found:
    """Two figures of 1 to 10 whose product must be 16: their sum is 8 at least (means of two figures)."""
    first, second = sized(shares)
    return first + second, [math.log(first * second / 16)]


def bent(shares: Floats) -> Found:
    """The same with a third measure without mass, which helps little by a straight line and harms far by a bend."""
    mass, (room,) = product(shares) or (0.0, [0.0])
    aside = float(shares[2]) - 0.5
    return mass, [room + 0.05 * aside - 40 * aside**2]


def test_it_lands_where_the_sum_is_least() -> None:
    place = landed(product, np.array([1 / 9, 7 / 9]))
    assert sized(place) == pytest.approx((4, 4), abs=0.02)
    mass, rooms = product(place) or (0.0, [0.0])
    assert mass == pytest.approx(8, abs=1e-4)
    assert rooms[0] >= -1e-6


def test_it_goes_on_where_straight_lines_stop() -> None:
    """The third measure is best at 0.5 + 0.05 / 80, whatever the others; the sum is then 2 sqrt(16 / e^gain)."""
    gain = 0.05**2 / 160
    descent = Descent(bent, np.array([1 / 9, 7 / 9, 0.5]))
    descent.run()
    least = 2 * math.sqrt(16 * math.exp(-gain))
    found = bent(landed(bent, descent.place))
    assert found is not None
    assert found[1][0] >= -1e-6
    assert found[0] == pytest.approx(least, abs=1e-3)


def test_it_stays_where_no_neighbour_can_be_drawn() -> None:
    start = np.array([0.2, 0.7])
    assert list(landed(lambda shares: product(shares) if np.array_equal(shares, start) else None, start)) == list(start)
    assert list(landed(lambda _: None, start)) == list(start)
