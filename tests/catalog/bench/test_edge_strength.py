"""The edge as a wedge in a knot, against the beam that it is."""

import math

import pytest
from class_design import class_rows
from hypothesis import given
from hypothesis import strategies as st

from catalog.bench.edge_strength import EdgeStrength, axe_edge_strength, blade_edge_strength, wedge_stress_mpa
from catalog.drawings.blade import BladeDrawing
from catalog.drawings.class_drawing import class_knife
from catalog.tables.ledger import Ledger

pytestmark = pytest.mark.quick


def edge(*, hrc: float = 58, grade: str = "1095", **blade: float) -> EdgeStrength:
    size = {"length_mm": 120.0, "width_mm": 30.0, "spine_mm": 4.0} | blade
    return blade_edge_strength(BladeDrawing.model_validate(size), grade=grade, hrc=hrc, temper_c=None, ledger=Ledger())


@given(pressure=st.floats(5, 100), angle=st.floats(8, 90), depth=st.floats(0.1, 5))
def test_a_wedge_is_a_cantilever_of_any_depth(pressure: float, angle: float, depth: float) -> None:
    """Timoshenko, Strength of Materials: an even load p on a length c has the moment p c2 / 2, a strip t2 / 6."""
    thick = 2 * depth * math.tan(math.radians(angle / 2))
    expected = pressure * depth**2 / 2 / (thick**2 / 6)
    assert wedge_stress_mpa(pressure_mpa=pressure, angle_deg=angle) == pytest.approx(expected)


def test_behind_a_thin_bevel_the_blade_bends_as_a_strip() -> None:
    # a knot 1 mm deep; 0.1 mm behind a bevel of 40 degrees: its height is 0.137 mm, and the flat grind adds 4 mm in 30
    bevel = 0.1 / 2 / math.tan(math.radians(20))
    thick = 0.1 + (4 - 0.1) / 30 * (1 - bevel)
    found = edge(edge_mm=0.1, edge_angle_deg=40.0)
    assert found.stress_mpa == pytest.approx(60 / 2 / (thick**2 / 6), rel=1e-6)
    assert edge(edge_mm=1.0, edge_angle_deg=40.0).stress_mpa == pytest.approx(
        wedge_stress_mpa(pressure_mpa=60, angle_deg=40)
    )


@given(angle=st.floats(8, 80), more=st.floats(0.5, 10), thick=st.floats(0, 1))
def test_a_more_acute_edge_never_stands_more(angle: float, more: float, thick: float) -> None:
    acute, obtuse = (edge(edge_angle_deg=one, edge_mm=thick) for one in (angle, angle + more))
    assert acute.stress_mpa >= obtuse.stress_mpa * (1 - 1e-9)
    assert acute.margin <= obtuse.margin + 1e-9


@given(thick=st.floats(0.05, 1), more=st.floats(0.01, 0.5))
def test_more_behind_the_bevel_never_stands_less(thick: float, more: float) -> None:
    assert edge(edge_mm=thick).margin <= edge(edge_mm=thick + more).margin + 1e-9


def test_a_soft_edge_rolls_and_a_hard_one_chips() -> None:
    """A razor's angle in a knot: soft steel rolls, file-hard steel chips (common practice, no source)."""
    soft, hard = edge(edge_angle_deg=14.0, hrc=50), edge(edge_angle_deg=14.0, hrc=66, grade="W1")
    assert (soft.fails_by, soft.margin < 0) == ("roll", True)
    assert (hard.fails_by, hard.margin < 0) == ("chip", True)
    assert hard.chip_low < hard.chip_margin < hard.chip_high


def test_edges_of_the_trade_stand_and_a_razor_does_not() -> None:
    # common practice: 20 to 30 degrees on a knife for wood, 25 to 35 on an axe
    for row in class_rows("class_knives.csv"):
        drawn = class_knife(row)
        assert blade_edge_strength(drawn.blade, grade="1095", hrc=57, temper_c=None, ledger=Ledger()).margin > 0
    assert axe_edge_strength(25, Ledger()).margin > 0
    assert edge(edge_angle_deg=15.0).margin < 0
    assert axe_edge_strength(15, Ledger()).margin < 0
