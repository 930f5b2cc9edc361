import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from catalog.drawings.blade import BladeDrawing, blade_body, strikable_mm, tips
from catalog.drawings.section import Grind

pytestmark = pytest.mark.quick


def test_full_flat_blade_of_the_reference_weighs_135_6_g() -> None:
    blade = BladeDrawing(length_mm=240, width_mm=36, spine_mm=4, tip="square")
    body = blade_body(blade, density_kg_m3=7850)
    assert blade.section_at(100).area_mm2 == pytest.approx(72)  # w t / 2
    assert body.mass_g == pytest.approx(135.648)  # 17.28 cm3 at 7.85 g/cm3
    assert body.centre_mm == pytest.approx(120)


def test_blade_that_is_all_ricasso_is_a_prism() -> None:
    blade = BladeDrawing(length_mm=80, width_mm=20, spine_mm=3, ricasso_mm=80, tip="square")
    body = blade_body(blade, density_kg_m3=7850)
    assert body.mass_g == pytest.approx(80 * 20 * 3 * 7.85e-3)
    assert body.inertia_g_mm2 == pytest.approx(body.mass_g * (80**2 + 20**2) / 12)  # rectangular prism


def test_linear_distal_taper_has_the_frustum_mass_and_centre() -> None:
    blade = BladeDrawing(length_mm=200, width_mm=30, spine_mm=5, tip_spine_mm=2, tip="square")
    body = blade_body(blade, density_kg_m3=7850)
    assert body.mass_g == pytest.approx(200 * 30 / 2 * (5 + 2) / 2 * 7.85e-3)
    assert body.centre_mm == pytest.approx(200 / 3 * (5 + 2 * 2) / (5 + 2))  # trapezoid from its base


def test_angled_tip_over_the_whole_blade_is_a_triangular_plate() -> None:
    blade = BladeDrawing(length_mm=200, width_mm=30, spine_mm=4, tip="angled", tip_length_mm=200)
    body = blade_body(blade, density_kg_m3=7850)
    assert body.mass_g == pytest.approx(200 * 30 / 2 * 4 / 2 * 7.85e-3)
    assert body.centre_mm == pytest.approx(200 / 3)
    own = body.inertia_g_mm2 / body.mass_g
    # triangle: L2/18 along; across, the wedge's own w2/18 averaged over width with its weight: w2/36
    assert own == pytest.approx(200**2 / 18 + 30**2 / 36)


def test_parabolic_tip_keeps_two_thirds_of_its_length() -> None:
    whole = blade_body(BladeDrawing(length_mm=200, width_mm=30, spine_mm=4, tip="square"), density_kg_m3=7850)
    tipped = blade_body(
        BladeDrawing(length_mm=200, width_mm=30, spine_mm=4, tip="drop point", tip_length_mm=60),
        density_kg_m3=7850,
    )
    assert tipped.mass_g / whole.mass_g == pytest.approx((140 + 60 * 2 / 3) / 200)


def test_wheel_must_suit_the_thin_end_of_a_tapered_spine() -> None:
    size: dict[str, object] = {
        "length_mm": 180.0,
        "width_mm": 32.0,
        "spine_mm": 4.0,
        "grind": "hollow",
        "grind_height_mm": 16.0,
        "wheel_diameter_mm": 140.0,
    }
    assert BladeDrawing.model_validate(size).grind == "hollow"
    with pytest.raises(ValidationError, match="wheel_diameter_mm 140"):
        BladeDrawing.model_validate(size | {"tip_spine_mm": 2.0})


def test_ricasso_adds_what_grinding_would_have_taken() -> None:
    ground = BladeDrawing(length_mm=150, width_mm=30, spine_mm=4, tip="square")
    kept = BladeDrawing(length_mm=150, width_mm=30, spine_mm=4, ricasso_mm=20, tip="square")
    added = blade_body(kept, density_kg_m3=7850).mass_g - blade_body(ground, density_kg_m3=7850).mass_g
    assert added == pytest.approx(20 * 30 * 4 / 2 * 7.85e-3)
    assert kept.edge_length_mm == 130


GRINDS: list[tuple[Grind, float | None, float | None]] = [
    ("full flat", None, None),
    ("saber", 18, None),
    ("scandi", 8, None),
    ("convex", None, None),
    ("hollow", 16, 250),
]


@pytest.mark.parametrize(("grind", "height", "wheel"), GRINDS)
@pytest.mark.parametrize("tip", ["drop point", "clip point", "sheepsfoot"])
def test_twice_the_panels_move_no_figure_by_a_hundredth_of_a_percent(
    grind: Grind, height: float | None, wheel: float | None, tip: str
) -> None:
    blade = BladeDrawing.model_validate(
        {
            "length_mm": 180.0,
            "width_mm": 32.0,
            "spine_mm": 4.0,
            "tip_spine_mm": 2.5,
            "grind": grind,
            "grind_height_mm": height,
            "wheel_diameter_mm": wheel,
            "edge_mm": 0.3,
            "tip": tip,
        }
    )
    coarse, fine = (blade_body(blade, density_kg_m3=7850, panels=n) for n in (32, 64))
    assert coarse.mass_g == pytest.approx(fine.mass_g, rel=1e-4)
    assert coarse.centre_mm == pytest.approx(fine.centre_mm, rel=1e-4)
    assert coarse.inertia_g_mm2 == pytest.approx(fine.inertia_g_mm2, rel=1e-4)


@given(
    length=st.floats(80, 400),
    width=st.floats(15, 50),
    spine=st.floats(1.5, 8),
    more=st.floats(1.01, 1.5),
)
def test_mass_grows_with_every_dimension(length: float, width: float, spine: float, more: float) -> None:
    def mass(**changes: float) -> float:
        size = {"length_mm": length, "width_mm": width, "spine_mm": spine} | changes
        return blade_body(BladeDrawing.model_validate(size), density_kg_m3=7850).mass_g

    base = mass()
    assert mass(length_mm=length * more) > base
    assert mass(width_mm=width * more) > base
    assert mass(spine_mm=spine * more) > base


@pytest.mark.parametrize("tip", ["drop point", "spear point", "clip point", "sheepsfoot", "angled"])
def test_outline_is_as_wide_as_the_drawing(tip: str) -> None:
    blade = BladeDrawing.model_validate({"length_mm": 200.0, "width_mm": 30.0, "spine_mm": 4.0, "tip": tip})
    outline = blade.outline_mm(points=9)
    half = len(outline) // 2
    for (x, edge), (back, spine) in zip(outline[:half], outline[half:][::-1], strict=True):
        assert x == back
        assert spine - edge == pytest.approx(blade.width_at(x), abs=1e-9)
    assert max(x for x, _ in outline) == pytest.approx(200)
    assert 0 <= tips()[tip].spine_share <= 1


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"grind": "saber"}, "needs grind_height_mm"),
        ({"grind": "hollow"}, "wheel_diameter_mm"),
        ({"wheel_diameter_mm": 200.0}, "wheel_diameter_mm"),
        ({"grind_height_mm": 10.0}, "full flat"),
        ({"grind": "saber", "grind_height_mm": 31.0}, "grind_height_mm 31 mm is outside 0 to 30"),
        ({"tip_spine_mm": 5.0}, "tip_spine_mm"),
        ({"tip_length_mm": 190.0, "ricasso_mm": 20.0}, "ricasso_mm"),
        ({"edge_mm": 1.0, "tip_spine_mm": 0.5}, "edge_mm"),
        ({"length_mm": 10.0}, "greater than or equal to 20"),
        ({"length_mm": math.inf}, "finite"),
        ({"length_mm": "200"}, "valid number"),
        ({"colour": "red"}, "Extra inputs"),
        ({"grind": "hollow", "wheel_diameter_mm": 60.0}, "wheel_diameter_mm 60"),
    ],
)
def test_drawings_that_cannot_be_are_refused(change: dict[str, object], message: str) -> None:
    drawing: dict[str, object] = {"length_mm": 200.0, "width_mm": 30.0, "spine_mm": 4.0} | change
    with pytest.raises(ValidationError, match=message):
        BladeDrawing.model_validate(drawing)


@pytest.mark.parametrize(
    "grind",
    [
        {"grind": "full flat"},
        {"grind": "saber", "grind_height_mm": 18.0},
        {"grind": "convex"},
        {"grind": "hollow", "wheel_diameter_mm": 900.0},
    ],
    ids=lambda one: one["grind"],
)
@pytest.mark.parametrize("x_mm", [5.0, 100.0, 180.0])
def test_the_profile_that_is_drawn_encloses_the_area_that_is_weighed(grind: dict[str, object], x_mm: float) -> None:
    # trapezoid rule over the drawn points against the closed section
    size = {"length_mm": 200.0, "width_mm": 36.0, "spine_mm": 4.0, "edge_mm": 0.4, "ricasso_mm": 10.0}
    blade = BladeDrawing.model_validate(size | grind)
    points = blade.profile_mm(x_mm, points=401)
    area = sum((b[0] - a[0]) * (a[1] + b[1]) / 2 for a, b in pairwise(points))
    assert area == pytest.approx(blade.section_at(x_mm).area_mm2, rel=1e-4)
    assert points[-1] == pytest.approx((blade.width_at(x_mm), blade.spine_at(x_mm)))


def test_a_ricasso_longer_than_the_blade_is_refused() -> None:
    with pytest.raises(ValidationError, match="ricasso_mm 80 mm is outside 0 to 56"):
        BladeDrawing(length_mm=56, width_mm=20, spine_mm=3, ricasso_mm=80)


def test_spine_to_strike_ends_where_the_tip_sheds_a_baton() -> None:
    """Half of a station counts where the spine falls as steeply as a baton slips (judged 0.3)."""
    size = {"length_mm": 200.0, "width_mm": 40.0, "spine_mm": 4.0, "tip_length_mm": 60.0}

    def strikable(tip: str, **more: float) -> float:
        return strikable_mm(BladeDrawing.model_validate(size | {"tip": tip} | more), slip=0.3)

    assert strikable("straight back") == strikable("trailing point") == 200
    assert strikable("square", tip_length_mm=None) == 200
    # a drop point falls by 0.4 x 40 (1 - u2): slope 32 u / 60, 0.3 at u = 0.5625
    steps = 4000
    counted = sum(1 / (1 + (32 * (i + 0.5) / steps / 60 / 0.3) ** 4) for i in range(steps)) / steps
    assert strikable("drop point") == pytest.approx(140 + 60 * counted, abs=0.1)
    assert strikable("clip point") < strikable("spear point") < strikable("drop point")


def test_a_trailing_point_rises_above_the_spine_and_the_edge_climbs_to_it() -> None:
    blade = BladeDrawing(length_mm=200, width_mm=40, spine_mm=4, tip="trailing point", tip_length_mm=60)
    assert blade.edge_at(200) == pytest.approx(1.2 * 40)
    straight = blade.model_copy(update={"tip": "straight back"})
    assert straight.edge_at(200) == pytest.approx(40)
