"""Tempering: printed hardness, and the ranges that embrittle."""

import pytest
from pydantic import ValidationError
from trade_knife import long_knife

from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.steel import steels
from catalog.drawings.tempering import energy_left, tempered_hrc, tempering_tables
from catalog.tables.table import read_rows

pytestmark = pytest.mark.quick


@pytest.mark.parametrize(
    ("grade", "temper_c", "hrc"),
    [("S7", 205, 57), ("A2", 260, 60), ("L6", 315, 57), ("O1", 204, 62), ("440C", 204, 59)],  # steel data sheets
)
def test_printed_hardness_comes_back(grade: str, temper_c: float, hrc: float) -> None:
    assert tempered_hrc(grade, temper_c=temper_c) == hrc


def test_half_way_is_half_way_and_the_table_has_ends() -> None:
    assert tempered_hrc("O1", temper_c=(204 + 260) / 2) == 61
    with pytest.raises(ValueError, match="temper_c 100 C is outside 150 to 595 C"):
        tempered_hrc("S7", temper_c=100)
    with pytest.raises(ValueError, match="no tempering table for the grade 'M2'"):
        tempered_hrc("M2", temper_c=560)


def test_tempering_never_hardens_but_the_secondary_hardening_grade() -> None:
    assert set(tempering_tables()) <= set(steels())
    for grade, points in tempering_tables().items():
        hardness = [hrc for _, hrc in points]
        assert grade == "D2" or hardness == sorted(hardness, reverse=True)


def test_tempering_table_is_pinned() -> None:
    rows = read_rows("drawings/tempering.csv")
    assert (len(rows), sum(float(row["hrc"]) for row in rows)) == (74, 4267)


def test_a_grade_of_its_own_curve_is_embrittled_where_softer_is_no_tougher() -> None:
    # S7 data sheet: 169 J at 205 and 260 C, 141 J at 370 and 425 C, 203 J at 540 C
    assert energy_left("S7", temper_c=205) == 1
    assert energy_left("S7", temper_c=425) == pytest.approx(141 / 169)
    assert energy_left("S7", temper_c=540) == 1
    assert energy_left("A2", temper_c=480) == pytest.approx(39 / 56)  # A2 data sheet


def test_low_alloy_steel_has_its_trough_at_300_c() -> None:
    # abstract of tempered martensite embrittlement in 4140: least at 300 C
    dip = {temper: energy_left("5160", temper_c=temper) for temper in (200, 250, 300, 350, 400)}
    assert min(dip, key=lambda temper: dip[temper]) == 300
    assert dip[200] == dip[400] == 1
    assert energy_left("no such grade", temper_c=300) == 1


def test_a_drawing_takes_its_hardness_from_its_temper() -> None:
    form = long_knife(38).model_dump(exclude={"hardness_hrc"}) | {"steel": "O1", "temper_c": 204.0}
    knife = KnifeDrawing.model_validate(form)
    assert (knife.edge_hrc, knife.spine_hrc) == (62, 62)
    softer = KnifeDrawing.model_validate(form | {"spine_hardness_hrc": 45.0})
    assert (softer.edge_hrc, softer.spine_hrc) == (62, 45)
    stated = KnifeDrawing.model_validate(form | {"hardness_hrc": 59.0})
    assert stated.edge_hrc == 59


def test_a_hardness_is_asked_for_where_nothing_gives_one() -> None:
    form = long_knife(38).model_dump(exclude={"hardness_hrc"})
    with pytest.raises(ValidationError, match="give hardness_hrc, or temper_c, or edge_hardness_hrc"):
        KnifeDrawing.model_validate(form)
    with pytest.raises(ValidationError, match="no tempering table for the grade 'M2'"):
        KnifeDrawing.model_validate(form | {"steel": "M2", "temper_c": 560.0})
    both = KnifeDrawing.model_validate(form | {"edge_hardness_hrc": 60.0, "spine_hardness_hrc": 48.0})
    assert (both.edge_hrc, both.spine_hrc) == (60, 48)
