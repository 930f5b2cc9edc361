import math

import pytest

from catalog.maths.quadrature import simpson

pytestmark = pytest.mark.quick


def test_cubics_are_exact() -> None:
    assert simpson(lambda x: x**3, low=1, high=3, panels=2) == pytest.approx((3**4 - 1) / 4)


def test_sine_converges() -> None:
    assert simpson(math.sin, low=0, high=math.pi) == pytest.approx(2, rel=1e-6)


def test_an_empty_range_is_zero() -> None:
    assert simpson(lambda x: 1 / (1 + x), low=2, high=2) == 0


@pytest.mark.parametrize(("low", "high", "panels"), [(0, 1, 3), (0, 1, 0), (1, 0, 2)])
def test_misuse_is_refused(low: float, high: float, panels: int) -> None:
    with pytest.raises(ValueError, match="panels"):
        simpson(lambda x: x, low=low, high=high, panels=panels)
