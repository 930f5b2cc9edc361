"""Blades drawn by points: their area by the shoelace formula, their mass by that of a plain bar, what cannot be."""

from typing import Any

import pytest
from pydantic import ValidationError

from catalog.drawings.blade import BladeDrawing, blade_body, strikable_mm
from catalog.drawings.outline import BladeOutline

pytestmark = pytest.mark.quick

SPINE = [[0.0, 24.0], [60.0, 24.0], [85.0, 12.0]]
EDGE = [[0.0, 0.0], [70.0, 0.0], [85.0, 12.0]]


def outline(**changes: Any) -> BladeOutline:
    """The outline of a blade of straight lines."""
    return BladeOutline.model_validate({"spine": SPINE, "edge": EDGE} | changes)


def blade(**changes: Any) -> BladeDrawing:
    """A blade of that outline, of even thickness."""
    form = {"length_mm": 85.0, "width_mm": 24.0, "spine_mm": 4.0, "ricasso_mm": 80.0, "tip_length_mm": 1.0}
    return BladeDrawing.model_validate(form | {"outline": {"spine": SPINE, "edge": EDGE}} | changes)


def shoelace(points: list[list[float]]) -> float:
    """The area of a polygon [mm2]: Gauss's shoelace formula."""
    pairs = zip(points, points[1:] + points[:1], strict=True)
    return abs(sum(x * high - right * y for (x, y), (right, high) in pairs)) / 2


def test_the_area_is_that_of_the_polygon() -> None:
    area_mm2 = shoelace(EDGE + SPINE[::-1])
    assert outline().area_mm2 == pytest.approx(area_mm2)
    assert blade().face_mm2 == pytest.approx(area_mm2)
    assert blade(length_mm=170.0, width_mm=12.0, ricasso_mm=0.0).face_mm2 == pytest.approx(area_mm2)


def test_a_bar_of_that_outline_weighs_area_times_thickness() -> None:
    """Not ground at all but for the last 5 mm, whose wedge is half a bar of what is left there."""
    found = blade_body(blade(), density_kg_m3=7850).mass_g
    bar_g = 7850e-6 * 4 * shoelace(EDGE + SPINE[::-1])
    lost_g = 7850e-6 * 2 * shoelace([[80.0, 8.0], [85.0, 12.0], [80.0, 14.4]])
    assert found == pytest.approx(bar_g - lost_g, rel=1e-6)


def test_a_drawn_tip_by_points_is_the_same_blade() -> None:
    """The points of a drop point give its mass, balance and inertia."""
    usual = BladeDrawing(length_mm=120, width_mm=30, spine_mm=4, ricasso_mm=5)
    stations = [0.0, 5.0, *(75 + 45 * i / 60 for i in range(61))]
    points = {
        "spine": [[x, usual.edge_at(x) + usual.width_at(x)] for x in stations],
        "edge": [[x, usual.edge_at(x)] for x in stations],
    }
    drawn = BladeDrawing.model_validate(usual.model_dump() | {"outline": points})
    one, other = (blade_body(each, density_kg_m3=7850) for each in (usual, drawn))
    assert other.mass_g == pytest.approx(one.mass_g, rel=1e-3)
    assert other.centre_mm == pytest.approx(one.centre_mm, rel=1e-3)
    assert other.inertia_g_mm2 == pytest.approx(one.inertia_g_mm2, rel=2e-3)
    assert strikable_mm(drawn, slip=0.3) == pytest.approx(strikable_mm(usual, slip=0.3), rel=0.01)


WRONG: dict[str, tuple[dict[str, Any], str]] = {
    "not from the handle": ({"spine": [[1.0, 24.0], [85.0, 12.0]]}, "spine.0.x 1 mm is outside 0 to 0 mm"),
    "turning back": ({"spine": [[0.0, 24.0], [80.0, 24.0], [70.0, 20.0], [85.0, 12.0]]}, "spine.2.x 70 mm"),
    "two ends": ({"edge": [[0.0, 0.0], [84.0, 12.0]]}, "edge.1.x 84 mm is outside 85 to 85 mm"),
    "crossing": ({"edge": [[0.0, 0.0], [50.0, 30.0], [85.0, 12.0]]}, "at x 50 mm the edge lies on or above the spine"),
    "crossing at the tip": ({"edge": [[0.0, 0.0], [85.0, 13.0]]}, "at the tip, x 85 mm"),
    "one point": ({"edge": [[0.0, 0.0]]}, "at least 2"),
    "three figures": ({"edge": [[0.0, 0.0, 0.0], [85.0, 12.0]]}, "at most 2"),
}


@pytest.mark.parametrize("case", WRONG)
def test_an_outline_that_cannot_be_is_told_with_its_place(case: str) -> None:
    changes, told = WRONG[case]
    with pytest.raises(ValidationError, match=told):
        outline(**changes)
