"""Hardness to strength: an ASTM E140-type table and the measured S7."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.bench.hardness import highest_tabulated_hrc, strength, tabulated_tensile_mpa, vickers
from catalog.tables.errors import RangeError
from catalog.tables.table import read_rows

pytestmark = pytest.mark.quick

# ASTM E140-type table: HRC, HV, tensile strength MPa
PRINTED = [
    (59, 674, 2420),
    (58, 653, 2330),
    (57, 633, 2241),
    (56, 613, 2158),
    (55, 595, 2075),
    (52, 544, 1882),
    (50, 513, 1758),
    (45, 446, 1482),
    (44, 434, 1430),  # ASTM A370 (2003), as on a technical sheet; so is the next
    (40, 392, 1250),
]


@pytest.mark.parametrize(("hrc", "hv", "tensile"), PRINTED)
def test_printed_rows_come_back(hrc: float, hv: float, tensile: float) -> None:
    assert vickers(hrc) == hv
    assert tabulated_tensile_mpa(hrc) == tensile


def test_sixty_hrc_has_hardness_but_no_tabulated_strength() -> None:
    assert vickers(60) == 697  # ASTM E140-type table
    assert highest_tabulated_hrc() == 59
    with pytest.raises(RangeError) as caught:
        tabulated_tensile_mpa(60)
    assert (caught.value.low, caught.value.high, caught.value.unit) == (40, 59, "HRC")


def test_half_way_between_rows_is_half_way() -> None:
    assert tabulated_tensile_mpa(57.5) == pytest.approx((2241 + 2330) / 2)


@given(st.floats(40, 59), st.floats(40, 59))
def test_harder_is_never_weaker_within_the_table(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert strength(grade="1095", hrc=low).yield_low_mpa <= strength(grade="1095", hrc=high).yield_low_mpa


def test_measured_s7_comes_back_at_58_hrc() -> None:
    found = strength(grade="S7", hrc=58)
    assert found.tensile_mpa == pytest.approx(2170)  # steel data sheet, measured
    assert found.yield_mpa == pytest.approx(1450)  # steel data sheet, measured
    assert "S7" in found.note


def test_yield_band_is_the_measured_share_of_tensile() -> None:
    found = strength(grade="1095", hrc=57)
    assert found.yield_high_mpa == pytest.approx(0.83 * 2241)  # measured band 0.67-0.83
    assert found.yield_low_mpa == pytest.approx(0.67 * 2241 * 2170 / 2330)  # less the shortfall of S7
    assert found.yield_low_mpa < found.yield_mpa < found.yield_high_mpa
    assert not found.extrapolated


def test_above_the_table_is_extrapolated_flagged_and_errs_low() -> None:
    found = strength(grade="D2", hrc=60)
    assert found.extrapolated
    assert "3.3 x HV" in found.note
    assert found.tensile_mpa == pytest.approx(3.3 * 697)  # 2,300
    assert found.tensile_mpa < tabulated_tensile_mpa(59)


@pytest.mark.parametrize("hrc", [39.9, 68.1])
def test_outside_the_table_is_refused(hrc: float) -> None:
    with pytest.raises(RangeError, match="HRC"):
        strength(grade="1095", hrc=hrc)


def test_table_is_pinned() -> None:
    rows = read_rows("bench/hardness.csv")
    assert [int(row["hrc"]) for row in rows] == list(range(40, 69))
    assert sum(int(row["hv"]) for row in rows) == 17582
    assert sum(int(row["tensile_mpa"]) for row in rows if row["tensile_mpa"]) == 35281
