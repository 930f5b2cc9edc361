"""Sections against the closed forms of a handbook, and closed forms against integration.

Handbook: Young and Budynas, Roark's Formulas for Stress and Strain, 7th edition, table A.1 (from memory).
"""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from catalog.drawings.section import (
    Grind,
    Section,
    convex,
    ground,
    hollow,
    integrated,
    rectangle,
    stack,
    trapezoid,
    triangle,
)
from catalog.tables.errors import RangeError

pytestmark = pytest.mark.quick

widths = st.floats(5, 120)
spines = st.floats(1, 12)
shares = st.floats(0, 1)


def same(one: Section, other: Section, rel: float = 1e-9) -> None:
    for field in ("area_mm2", "centroid_mm", "flat_mm4", "edge_mm4"):
        assert getattr(one, field) == pytest.approx(getattr(other, field), rel=rel), field


def test_rectangle_has_the_handbook_moments() -> None:
    bar = rectangle(width_mm=36, thickness_mm=4)
    assert bar.area_mm2 == 144
    assert bar.flat_mm4 == pytest.approx(36 * 4**3 / 12)
    assert bar.flat_modulus_mm3 == pytest.approx(36 * 4**2 / 6)  # w t2 / 6
    assert bar.edge_modulus_mm3 == pytest.approx(4 * 36**2 / 6)


def test_full_flat_grind_has_the_handbook_moments_of_a_triangle() -> None:
    wedge = triangle(width_mm=36, spine_mm=4)
    assert wedge.area_mm2 == pytest.approx(72)  # w t / 2
    assert wedge.centroid_mm == pytest.approx(24)  # two thirds from the edge
    assert wedge.flat_mm4 == pytest.approx(36 * 4**3 / 48)
    assert wedge.flat_modulus_mm3 == pytest.approx(36 * 4**2 / 24)  # w t2 / 24
    assert wedge.edge_mm4 == pytest.approx(4 * 36**3 / 36)  # b h3 / 36
    assert wedge.edge_modulus_mm3 == pytest.approx(4 * 36**2 / 24)  # b h2 / 24, at the apex
    assert wedge.spine_modulus_mm3 == pytest.approx(4 * 36**2 / 12)


def test_trapezoid_has_the_handbook_centroid_and_moment() -> None:
    shape = trapezoid(width_mm=30, edge_mm=1, spine_mm=3)
    assert shape.area_mm2 == pytest.approx(60)
    assert shape.centroid_mm == pytest.approx(30 * (1 + 2 * 3) / (3 * 4))  # 17.5
    assert shape.edge_mm4 == pytest.approx(30**3 * (1 + 4 * 3 + 9) / (36 * 4))  # d3 (b2 + 4bc + c2)/36(b + c)
    assert shape.flat_mm4 == pytest.approx(30 * 4 * (1 + 9) / 48)


def test_convex_full_height_is_the_handbook_half_parabola() -> None:
    shape = convex(width_mm=30, edge_mm=0, spine_mm=4)
    assert shape.area_mm2 == pytest.approx(2 / 3 * 30 * 4)
    assert shape.centroid_mm == pytest.approx(5 / 8 * 30)  # 3/8 from the flat end
    assert shape.edge_mm4 == pytest.approx(19 / 480 * 4 * 30**3)
    assert shape.flat_mm4 == pytest.approx(4 / 105 * 30 * 4**3)  # 16/35 of w t3 / 12


@given(width=widths, spine=spines, share=shares)
def test_closed_trapezoid_equals_integration(width: float, spine: float, share: float) -> None:
    edge = share * spine
    shape = trapezoid(width_mm=width, edge_mm=edge, spine_mm=spine)
    same(shape, integrated(lambda y: edge + (spine - edge) * y / width, width_mm=width))


@given(width=widths, spine=spines, share=shares)
def test_closed_convex_equals_integration(width: float, spine: float, share: float) -> None:
    edge = share * spine

    def thickness(y: float) -> float:
        u = y / width
        return edge + (spine - edge) * (2 * u - u * u)

    same(convex(width_mm=width, edge_mm=edge, spine_mm=spine), integrated(thickness, width_mm=width), rel=1e-5)


@given(width=widths, spine=spines, share=st.floats(0.05, 0.95))
def test_saber_equals_independent_quadrature_of_wedge_and_bar(width: float, spine: float, share: float) -> None:
    height = share * width
    shape = ground("saber", width_mm=width, edge_mm=0, spine_mm=spine, grind_height_mm=height)

    def moment(power: int) -> float:
        wedge = float(quad(lambda y: y**power * spine * y / height, 0, height)[0])
        return wedge + float(quad(lambda y: y**power * spine, height, width)[0])

    area, first = moment(0), moment(1)
    assert shape.area_mm2 == pytest.approx(area)
    assert shape.centroid_mm == pytest.approx(first / area)
    assert shape.edge_mm4 == pytest.approx(moment(2) - first**2 / area, rel=1e-6)
    assert shape.flat_mm4 == pytest.approx(spine**3 / 12 * (height / 4 + width - height))


def test_hollow_equals_independent_quadrature_of_its_arc() -> None:
    width, spine, radius = 18.0, 4.0, 125.0
    shape = hollow(width_mm=width, edge_mm=0, spine_mm=spine, wheel_diameter_mm=2 * radius)
    chord = math.hypot(width, spine / 2)
    sagitta = radius - math.sqrt(radius**2 - chord**2 / 4)
    # each face loses the segment between chord and arc: R2 asin(c / 2R) - c (R - s) / 2
    segment = radius**2 * math.asin(chord / 2 / radius) - chord * (radius - sagitta) / 2
    assert shape.area_mm2 == pytest.approx(width * spine / 2 - 2 * segment, rel=1e-6)
    assert shape.edge_mm == pytest.approx(0, abs=1e-9)
    assert shape.spine_mm == pytest.approx(spine)


def test_hollow_from_a_huge_wheel_is_a_flat_grind() -> None:
    flat = trapezoid(width_mm=25, edge_mm=0.5, spine_mm=4)
    same(hollow(width_mm=25, edge_mm=0.5, spine_mm=4, wheel_diameter_mm=1e6), flat, rel=1e-3)


def test_hollow_that_would_cut_through_is_refused_and_the_named_wheel_is_accepted() -> None:
    with pytest.raises(RangeError) as caught:
        hollow(width_mm=30, edge_mm=0, spine_mm=4, wheel_diameter_mm=200)
    smallest = caught.value.low
    kept = hollow(width_mm=30, edge_mm=0, spine_mm=4, wheel_diameter_mm=smallest * 1.001)
    assert 0 < kept.area_mm2 < 60


def test_grinds_order_by_the_steel_they_leave() -> None:
    size = {"width_mm": 30.0, "edge_mm": 0.0, "spine_mm": 4.0}
    leaves = [
        ground("hollow", **size, grind_height_mm=20, wheel_diameter_mm=250).area_mm2,
        ground("saber", **size, grind_height_mm=20).area_mm2,
        ground("convex", **size, grind_height_mm=20).area_mm2,
        ground("scandi", **size, grind_height_mm=8).area_mm2,
    ]
    assert leaves == sorted(leaves)
    assert ground("full flat", **size, grind_height_mm=30).area_mm2 == pytest.approx(60)


@given(spine=spines, lower=st.floats(3, 60), upper=st.floats(3, 60))
def test_stacking_two_bars_is_one_bar(spine: float, lower: float, upper: float) -> None:
    parts = stack(rectangle(width_mm=lower, thickness_mm=spine), rectangle(width_mm=upper, thickness_mm=spine))
    same(parts, rectangle(width_mm=lower + upper, thickness_mm=spine))


@given(
    grind=st.sampled_from(["saber", "scandi", "convex"]),
    flat=st.floats(0, 5e4),
    edge=st.floats(0, 5e4),
    height=st.floats(4, 30),
    behind=st.floats(0, 1),
)
def test_corner_stress_is_the_largest_on_the_outline(
    grind: Grind, flat: float, edge: float, height: float, behind: float
) -> None:
    width, spine = 30.0, 4.0
    shape = ground(grind, width_mm=width, edge_mm=behind, spine_mm=spine, grind_height_mm=height)

    def thickness(y: float) -> float:
        u = min(1.0, y / height)
        return behind + (spine - behind) * (2 * u - u * u if grind == "convex" else u)

    largest = max(
        flat * thickness(y) / 2 / shape.flat_mm4 + edge * abs(y - shape.centroid_mm) / shape.edge_mm4
        for y in (width * i / 400 for i in range(401))
    )
    assert shape.stress_mpa(flat_n_mm=flat, edge_n_mm=edge) >= largest * (1 - 1e-9)


@pytest.mark.parametrize(
    ("width", "edge", "spine", "quantity"),
    [(-1, 0, 4, "width_mm"), (10, 0, 0, "spine_mm"), (10, 5, 4, "edge_mm"), (math.nan, 0, 4, "width_mm")],
)
def test_impossible_sections_name_the_quantity(width: float, edge: float, spine: float, quantity: str) -> None:
    with pytest.raises(RangeError) as caught:
        trapezoid(width_mm=width, edge_mm=edge, spine_mm=spine)
    assert caught.value.quantity == quantity
    assert quantity in str(caught.value)


def test_a_hollow_grind_needs_its_wheel() -> None:
    with pytest.raises(ValueError, match="wheel"):
        ground("hollow", width_mm=30, edge_mm=0, spine_mm=4, grind_height_mm=20)
