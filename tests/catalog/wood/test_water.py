"""Water: boiling points against a published table, heats against arithmetic."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import RangeError
from catalog.wood.water import boiling_kj, boiling_point_c, melting_kj, warming_kj

pytestmark = pytest.mark.quick


@pytest.mark.parametrize(
    ("elevation_m", "printed_c"),
    # Published table of boiling points by elevation.
    [(0, 100.0), (1524, 95.0), (2438, 91.9), (3048, 89.8), (4267, 85.5)],
)
def test_boiling_point_table_within_half_a_degree(elevation_m: float, printed_c: float) -> None:
    assert boiling_point_c(elevation_m=elevation_m) == pytest.approx(printed_c, abs=0.5)


def test_a_kilogram_of_snow_to_the_boil() -> None:
    # Derived: 10 x 2.1 + 334 + 100 x 4.186 = 774 kJ from -10 C at sea level.
    assert melting_kj(snow_kg=1, snow_c=-10, target_c=100) == pytest.approx(774, abs=0.5)


def test_a_litre_from_22_c_to_the_boil() -> None:
    # Derived: 78 x 4.186.
    assert boiling_kj(litres=1, start_c=22, elevation_m=0) == pytest.approx(326.5, abs=0.05)


@given(snow_c=st.floats(-60, 0), start_c=st.floats(0, 102), target_c=st.floats(0, 102))
def test_snow_never_takes_less_than_water(snow_c, start_c, target_c) -> None:
    water = warming_kj(litres=2, start_c=start_c, target_c=target_c)
    assert melting_kj(snow_kg=2, snow_c=snow_c, target_c=target_c) > water >= 0


@given(one=st.floats(-60, 0), other=st.floats(-60, 0))
def test_colder_snow_never_takes_less(one, other) -> None:
    cold, warm = sorted((one, other))
    assert melting_kj(snow_kg=1, snow_c=cold, target_c=5) >= melting_kj(snow_kg=1, snow_c=warm, target_c=5)


def test_feet_for_metres_and_warm_snow_are_refused() -> None:
    with pytest.raises(RangeError, match="elevation_m 9000 m"):
        boiling_point_c(elevation_m=9000)
    with pytest.raises(RangeError, match="snow_c 14 C"):
        melting_kj(snow_kg=1, snow_c=14, target_c=5)
