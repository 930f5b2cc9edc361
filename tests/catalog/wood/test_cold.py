"""Cold: Table 5-15 and the straight lines laid through it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog import RangeError
from catalog.tables.validity import validities
from catalog.wood.cold import change_pct, cold_share, printed_change_pct

pytestmark = pytest.mark.quick

CASES = st.sampled_from([("bending", 400), ("compression_par", 45)])


@pytest.mark.parametrize(
    ("name", "moisture_pct", "printed"),
    [
        # Wood Handbook FPL-GTR-190 Table 5-15, change at -50 C.
        ("bending", 0, 18),
        ("bending", 4, 18),
        ("bending", 11, 35),
        ("bending", 12, 35),
        ("bending", 15, 35),
        ("bending", 18, 60),
        ("bending", 20, 60),
        ("bending", 30, 110),
        ("bending", 120, 110),
        ("compression_par", 0, 20),
        ("compression_par", 12, 50),
        ("compression_par", 45, 50),
    ],
)
def test_at_minus_50_the_printed_change_stands(name, moisture_pct, printed) -> None:
    assert change_pct(name, wood_c=-50, moisture_pct=moisture_pct) == pytest.approx(printed)


def test_between_two_classes_the_change_lies_on_a_line() -> None:
    assert printed_change_pct("bending", moisture_pct=16.5) == pytest.approx((35 + 60) / 2)
    assert printed_change_pct("compression_par", moisture_pct=6) == pytest.approx((20 + 50) / 2)


def test_minus_20_derived_from_the_table() -> None:
    # Derived from Table 5-15: green about +63 %, air-dry about +20 % in bending.
    assert change_pct("bending", wood_c=-20, moisture_pct=80) == pytest.approx(63, abs=0.5)
    assert change_pct("bending", wood_c=-20, moisture_pct=12) == pytest.approx(20, abs=0.5)


@given(case=CASES, moisture=st.floats(0, 1), one=st.floats(-50, 20), other=st.floats(-50, 20))
def test_colder_wood_is_never_weaker(case, moisture, one, other) -> None:
    name, wettest = case
    cold, warm = sorted((one, other))
    at = {"moisture_pct": moisture * wettest}
    assert change_pct(name, wood_c=cold, **at) >= change_pct(name, wood_c=warm, **at) >= 0


@given(case=CASES, wood_c=st.floats(-50, 20), one=st.floats(0, 1), other=st.floats(0, 1))
def test_wetter_wood_never_gains_less_from_cold(case, wood_c, one, other) -> None:
    name, wettest = case
    low, high = sorted((one * wettest, other * wettest))
    drier = change_pct(name, wood_c=wood_c, moisture_pct=low)
    assert drier <= change_pct(name, wood_c=wood_c, moisture_pct=high) + 1e-9


def test_share_runs_from_20_c_to_minus_50() -> None:
    assert (cold_share(wood_c=20), cold_share(wood_c=-50)) == (0, 1)
    for outside in (-50.1, 20.1, float("nan")):
        with pytest.raises(RangeError):
            cold_share(wood_c=outside)


def test_crushing_of_green_wood_is_not_printed() -> None:
    with pytest.raises(RangeError, match="moisture_pct 60"):
        change_pct("compression_par", wood_c=-10, moisture_pct=60)


@pytest.mark.parametrize("name", ["hardness", "shear_par", "tension_perp"])
def test_no_cold_value_is_made_up_for_other_properties(name: str) -> None:
    assert f"wood.cold.printed_change_pct.{name}" not in validities()
    with pytest.raises(KeyError):
        change_pct(name, wood_c=-10, moisture_pct=12)  # type: ignore[arg-type]
