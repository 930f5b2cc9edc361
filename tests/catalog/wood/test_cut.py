"""The geometry of a cut."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import RangeError, assumptions
from catalog.wood.cut import (
    baton_share,
    baton_slowing,
    chop_rate_id,
    cleft_time_factor,
    clefts_per_round,
    face_area_cm2,
    later_cleft_mm,
    notch_volume_cm3,
    stroke_share,
)

pytestmark = pytest.mark.quick

DIAMETER = st.floats(1, 3000)


def test_a_100_mm_round() -> None:
    # Derived: 78.5 cm2 sawn; 333 cm3 chopped, so 800 cm3/min are 188 cm2/min there and 74 at 254 mm.
    assert face_area_cm2(diameter_mm=100) == pytest.approx(78.54, abs=0.005)
    assert notch_volume_cm3(diameter_mm=100) == pytest.approx(333.3, abs=0.05)
    for diameter_mm, cm2_min in ((100, 188), (254, 74)):
        minutes = notch_volume_cm3(diameter_mm=diameter_mm) / 800
        assert face_area_cm2(diameter_mm=diameter_mm) / minutes == pytest.approx(cm2_min, abs=0.6)


@given(st.floats(20, 600))
def test_the_notch_is_the_integral_over_the_chords(diameter_mm) -> None:
    radius_cm = diameter_mm / 20
    steps = 400
    # The two notches leave a rhomb of chips: at height y, as wide as the wood left on both sides of y = 0.
    heights = [radius_cm * (2 * (k + 0.5) / steps - 1) for k in range(steps)]
    slices = [2 * abs(y) * 2 * math.sqrt(radius_cm**2 - y**2) for y in heights]
    volume = sum(slices) * 2 * radius_cm / steps
    assert notch_volume_cm3(diameter_mm=diameter_mm) == pytest.approx(volume, rel=0.01)


@pytest.mark.parametrize(
    ("diameter_mm", "burnable_mm", "clefts"),
    [(60, 75, 1), (75, 75, 1), (100, 75, 1), (110, 75, 2), (150, 75, 3), (150, 50, 8), (300, 75, 15)],
)
def test_clefts(diameter_mm: float, burnable_mm: float, clefts: int) -> None:
    # Common practice, no source: max(1, ceil((d/b)^2) - 1).
    assert clefts_per_round(diameter_mm=diameter_mm, burnable_mm=burnable_mm) == clefts


@given(one=DIAMETER, other=DIAMETER, burnable_mm=st.floats(5, 300))
def test_thicker_rounds_never_take_fewer_clefts(one, other, burnable_mm) -> None:
    thin, thick = sorted((one, other))
    few = clefts_per_round(diameter_mm=thin, burnable_mm=burnable_mm)
    assert 1 <= few <= clefts_per_round(diameter_mm=thick, burnable_mm=burnable_mm)


def test_a_later_cleft_runs_along_the_radius() -> None:
    """From the heart to the bark (geometry)."""
    assert later_cleft_mm(diameter_mm=140) == 70


def test_cleft_time_grows_slower_than_the_diameter() -> None:
    """The root of it (judged from counted blows, second-hand); in proportion at an exponent of 1."""
    assert cleft_time_factor(diameter_mm=100, exponent=0.5) == 1
    assert cleft_time_factor(diameter_mm=400, exponent=0.5) == 2
    assert cleft_time_factor(diameter_mm=250, exponent=1.0) == 2.5


@pytest.mark.parametrize(("mm", "share"), [(100, 1.0), (40, 4.33), (200, 0.33)])
def test_under_a_baton_thin_wood_goes_fast_and_thick_wood_slowly(mm: float, share: float) -> None:
    """By (d/100)^2.1, where an axe goes by the root: (100/d)^1.6 (judged, from memory)."""
    assert baton_slowing() == pytest.approx(1.6)
    assert baton_share(diameter_mm=mm, slowing=1.6) == pytest.approx(share, abs=0.005)


def test_wood_below_150_mm_is_chopped_by_a_rate_of_its_own() -> None:
    """The timed chops are of 254 and 325 mm; the band below is wider (judged)."""
    thin, thick = (assumptions()[chop_rate_id(diameter_mm=mm)] for mm in (149.9, 150))
    assert (thin.id, thick.id) == ("chop_rate_thin", "chop_rate")
    assert thin.low < thick.low and thin.high > thick.high


@pytest.mark.parametrize(("diameter_mm", "share"), [(10, 1), (100, 1), (150, 0.75), (200, 0.5)])
def test_stroke_of_a_saw_for_200_mm(diameter_mm: float, share: float) -> None:
    assert stroke_share(diameter_mm=diameter_mm, largest_mm=np.array([200.0])) == pytest.approx([share])


@given(one=DIAMETER, other=DIAMETER, largest_mm=DIAMETER)
def test_the_stroke_never_gains_with_thickness_and_never_stops(one, other, largest_mm) -> None:
    thin, thick = sorted((min(one, largest_mm), min(other, largest_mm)))
    saw = np.array([largest_mm])
    (more,), (less,) = (stroke_share(diameter_mm=mm, largest_mm=saw) for mm in (thin, thick))
    assert 1 >= more >= less >= 0.5


def test_wood_thicker_than_the_saw_takes_is_refused() -> None:
    with pytest.raises(RangeError) as caught:
        stroke_share(diameter_mm=201, largest_mm=np.array([200.0, 300.0]))
    assert (caught.value.value, caught.value.high, caught.value.source) == (201, 200, "the saw")
