"""Pace: the three rules at their published points."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import RangeError
from catalog.walking.pace import langmuir_s, naismith_h, tobler_km_h

pytestmark = pytest.mark.quick


def test_naismith() -> None:
    # Naismith's rule, common practice: 5 km an hour, an hour for 600 m.
    assert naismith_h(distance_km=5, climb_m=0) == 1
    assert naismith_h(distance_km=10, climb_m=600) == 3


@pytest.mark.parametrize(("grade", "km_h"), [(0, 5.037), (0.10, 3.549), (-0.05, 6)])
def test_tobler(grade: float, km_h: float) -> None:
    # Tobler 1993, NCGIA TR 93-1.
    assert tobler_km_h(grade=grade) == pytest.approx(km_h, abs=5e-4)


@given(one=st.floats(-0.05, 0.6), other=st.floats(-0.05, 0.6))
def test_tobler_never_speeds_up_with_the_climb(one, other) -> None:
    gentle, steep = sorted((one, other))
    assert tobler_km_h(grade=gentle) >= tobler_km_h(grade=steep) > 0


@pytest.mark.parametrize(
    ("rise_m", "seconds"),
    [
        # r.walk manual: 0.72 s/m, +6.0 s a metre up, -1.9998 s a metre down at 5-12 degrees, + steeper.
        (0, 720),
        (0.5, 723),
        (-0.5, 720),
        (100, 1320),
        (-50, 720),
        (-100, 720 - 199.98),
        (-212, 720 - 423.9576),  # 11.97 degrees
        (-220, 720 + 439.956),  # 12.4 degrees
        (-300, 720 + 599.94),
    ],
)
def test_langmuir(rise_m: float, seconds: float) -> None:
    assert langmuir_s(distance_m=1000, rise_m=rise_m) == pytest.approx(seconds)


def exact_drop_m(down_deg: float) -> float:
    """The drop on 1,000 m whose angle comes to a whole number of degrees, to the last digit."""
    near = 1000 * math.tan(math.radians(down_deg))
    tried = (near, math.nextafter(near, 0), math.nextafter(near, math.inf))
    return next(drop for drop in tried if math.degrees(math.atan2(drop, 1000)) == down_deg)


@pytest.mark.parametrize("down_deg", [5, 12])
def test_langmuir_s_middle_slopes_hold_both_their_ends(down_deg: float) -> None:
    """r.walk manual: 1.9998 s less a metre of drop between 5 and 12 degrees."""
    drop_m = exact_drop_m(down_deg)
    assert langmuir_s(distance_m=1000, rise_m=-drop_m) == pytest.approx(720 - 1.9998 * drop_m)


def test_langmuir_is_naismith_on_the_level_and_uphill() -> None:
    # 0.72 s/m is 5 km/h and 6 s/m is 600 m/h: two sources, one rule.
    assert langmuir_s(distance_m=8000, rise_m=500) / 3600 == pytest.approx(naismith_h(distance_km=8, climb_m=500))


def test_a_grade_in_percent_is_refused() -> None:
    with pytest.raises(RangeError, match="grade 10 is outside"):
        tobler_km_h(grade=10)
