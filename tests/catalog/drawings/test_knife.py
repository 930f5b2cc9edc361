import math

import pytest
from pydantic import ValidationError
from trade_knife import long_knife

from catalog.drawings.blade import BladeDrawing, blade_body
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import (
    FittingDrawing,
    KnifeDrawing,
    SheathDrawing,
    grip_body,
    knife_body,
    sheath_mass_g,
    steel_density,
    tang_body,
)
from catalog.drawings.tang import PinDrawing, TangDrawing
from catalog.tables.ledger import Ledger

pytestmark = pytest.mark.quick

SQUARE = HandleDrawing(length_mm=100, width_mm=25, thickness_mm=20, corner_radius_mm=0, material="canvas-phenolic")
BLADE = BladeDrawing(length_mm=150, width_mm=30, spine_mm=4, tip="square")


def knife(tang: TangDrawing, **more: object) -> KnifeDrawing:
    return from_parts({"tang": tang} | more)


def from_parts(more: dict[str, object]) -> KnifeDrawing:
    parts: dict[str, object] = {
        "blade": BLADE,
        "steel": "1095",
        "hardness_hrc": 58,
        "tang": FULL,
        "handle": SQUARE,
    }
    return KnifeDrawing.model_validate(parts | more)


FULL = TangDrawing(kind="full")
HIDDEN = TangDrawing(kind="hidden", width_mm=12, length_mm=60)
THROUGH = TangDrawing(kind="through", width_mm=12)


def test_full_tang_and_scales_fill_the_handle_block() -> None:
    drawn = knife(FULL)
    assert tang_body(drawn, density_kg_m3=7850).mass_g == pytest.approx(100 * 25 * 4 * 7.85e-3)
    assert grip_body(drawn).mass_g == pytest.approx(100 * 25 * (20 - 4) * 1.35e-3)
    whole = knife_body(drawn)
    blade_g = blade_body(BLADE, density_kg_m3=7850).mass_g
    assert whole.mass_g == pytest.approx(blade_g + 78.5 + 54)
    assert whole.centre_mm == pytest.approx((blade_g * 75 - (78.5 + 54) * 50) / whole.mass_g)


def test_hidden_tang_ends_inside_the_handle() -> None:
    drawn = knife(HIDDEN)
    assert tang_body(drawn, density_kg_m3=7850).mass_g == pytest.approx(60 * 12 * 4 * 7.85e-3)
    assert tang_body(drawn, density_kg_m3=7850).centre_mm == -30
    assert grip_body(drawn).mass_g == pytest.approx((100 * 25 * 20 - 60 * 12 * 4) * 1.35e-3)


def test_more_tang_is_more_mass_and_balance_nearer_the_hand() -> None:
    bodies = [knife_body(knife(tang)) for tang in (HIDDEN, THROUGH, FULL)]
    masses = [body.mass_g for body in bodies]
    centres = [body.centre_mm for body in bodies]
    assert masses == sorted(masses)
    assert centres == sorted(centres, reverse=True)


def test_cutout_takes_its_share_of_the_tang_only() -> None:
    light = knife(TangDrawing(kind="full", cutout_pct=40))
    assert tang_body(light, density_kg_m3=7850).mass_g == pytest.approx(0.6 * 78.5)
    assert grip_body(light).mass_g == pytest.approx(54)


@pytest.mark.parametrize(("cutout_pct", "left_mm", "width_mm"), [(20, -76.386, 10), (40, -94, 11.7177)])
def test_a_slot_of_the_area_drawn_by_hand(cutout_pct: float, left_mm: float, width_mm: float) -> None:
    """A bay from -94 to -8 mm: 500 mm2 are 50.77 mm of a slot of 10 mm, 1,000 mm2 all of it at 11.72 mm.

    (area + (4 - pi) 9) over the width, or over the 86 mm of the bay.
    """
    drawn = knife(TangDrawing(kind="full", cutout_pct=cutout_pct))
    (slot,) = drawn.slots
    assert (slot.left_mm, slot.right_mm) == pytest.approx((left_mm, -102 - left_mm), abs=1e-3)
    assert slot.width_mm == pytest.approx(width_mm, abs=1e-4)
    assert slot.area_mm2 == pytest.approx(25 * cutout_pct)
    assert drawn.rim_mm == pytest.approx((25 - width_mm) / 2, abs=1e-4)
    through, beside = drawn.section_at(-51), drawn.section_at(-7)
    assert through.area_mm2 == pytest.approx(4 * (25 - width_mm), abs=1e-3)
    assert through.flat_mm4 == pytest.approx((25 - width_mm) * 4**3 / 12, abs=1e-3)
    assert through.edge_mm4 == pytest.approx(4 * (25**3 - width_mm**3) / 12, rel=1e-4)
    assert beside.area_mm2 == 100
    steel = tang_body(drawn, density_kg_m3=7850)
    # the slot lies 1 mm behind the middle of the tang
    gone_g = cutout_pct * 25 * 4 * 7.85e-3
    assert steel.centre_mm * steel.mass_g == pytest.approx(-50 * 78.5 + 51 * gone_g)


def test_what_has_no_room_is_not_cut() -> None:
    """Twelve pins leave no bay for a slot; 60 % beside three pins asks for more than rims of 1 mm leave."""
    crowded, three = (
        knife(TangDrawing(kind="full", cutout_pct=60), pins=[PinDrawing(diameter_mm=8, count=count)])
        for count in (12, 3)
    )
    assert (crowded.cutout_fits, crowded.slots) == (0, ())
    assert tang_body(crowded, density_kg_m3=7850).mass_g == pytest.approx(78.5)
    assert three.rim_mm == pytest.approx(1)
    assert tang_body(three, density_kg_m3=7850).mass_g == pytest.approx(78.5 * (1 - 0.6 * three.cutout_fits))
    assert 0.5 < three.cutout_fits < 1


def test_pins_stand_evenly_along_the_tang() -> None:
    drawn = knife(FULL, pins=[PinDrawing(diameter_mm=6, count=2), PinDrawing(diameter_mm=4, count=2)])
    assert drawn.pins_mm == ((-12.5, 6), (-37.5, 6), (-62.5, 4), (-87.5, 4))


def test_pins_add_what_they_weigh_more_than_what_they_replace() -> None:
    drawn = knife(FULL, pins=[PinDrawing(diameter_mm=6, count=2, material="brass")])
    area = math.pi * 9
    added = 2 * area * (20 * 8.53e-3 - 4 * 7.85e-3 - 16 * 1.35e-3)
    assert knife_body(drawn).mass_g - knife_body(knife(FULL)).mass_g == pytest.approx(added)


def test_a_fitting_moves_mass_and_balance() -> None:
    pommel = knife(FULL, fittings=[FittingDrawing(name="pommel", mass_g=50, x_mm=-100)])
    plain = knife_body(knife(FULL))
    moved = knife_body(pommel)
    assert moved.mass_g == pytest.approx(plain.mass_g + 50)
    assert moved.mass_g * moved.centre_mm == pytest.approx(plain.mass_g * plain.centre_mm - 50 * 100)


def test_sheath_is_two_leaves_and_a_loop() -> None:
    drawn = knife(FULL, sheath=SheathDrawing(thickness_mm=3, welt_mm=12, over_mm=15, loop_mm2=4000))
    assert sheath_mass_g(drawn) == pytest.approx((2 * 165 * 42 + 4000) * 3 * 0.93e-3)
    assert sheath_mass_g(knife(FULL)) == 0


def test_long_light_batoning_knife_weighs_what_the_trade_says() -> None:
    # common practice, no source: with a 3.6 oz saw 14.4 oz, so 10.8 oz = 306 g with its handle
    said_g = 10.8 * 28.349523
    masses = [knife_body(long_knife(width)).mass_g for width in (36, 38, 40, 42)]
    assert min(abs(m / said_g - 1) for m in masses) < 0.15
    assert max(abs(m / said_g - 1) for m in masses) < 0.25


def test_long_knife_drawing_is_fifteen_inches_overall() -> None:
    assert long_knife(38).overall_mm == pytest.approx(15 * 25.4)


@pytest.mark.parametrize(
    ("said", "grade"),
    [("o1", "O1"), ("AISI O1", "O1"), ("sae 5160", "5160"), ("440c", "440C"), ("A-2", "A2"), ("mystery", "mystery")],
)
def test_a_grade_is_known_however_it_is_written(said: str, grade: str) -> None:
    """Its list, its case and a hyphen tell no grades apart (common practice, no source)."""
    assert from_parts({"steel": said}).steel == grade


def test_a_grade_without_data_takes_the_drawn_density_or_the_default() -> None:
    assert steel_density(knife(FULL, steel="no such grade"), Ledger()) == 7850
    assert steel_density(knife(FULL, steel="no such grade", steel_density_kg_m3=8000), Ledger()) == 8000
    assert steel_density(knife(FULL, steel="S7"), Ledger()) == 7760  # steel data sheet


@pytest.mark.parametrize(
    ("tang", "message"),
    [
        ({"kind": "full", "width_mm": 10.0}, "a full tang does not take it"),
        ({"kind": "hidden", "width_mm": 10.0}, "a hidden tang needs length_mm"),
        ({"kind": "through", "width_mm": 10.0, "length_mm": 50.0}, "other tangs do not take it"),
        ({"kind": "hidden", "width_mm": 10.0, "length_mm": 50.0, "cutout_pct": 10.0}, "cutout_pct"),
        ({"kind": "full", "cutout_pct": 61.0}, "less than or equal to 60"),
        ({"kind": "welded"}, "'full', 'hidden' or 'through'"),
    ],
)
def test_tangs_that_cannot_be_are_refused(tang: dict[str, object], message: str) -> None:
    with pytest.raises(ValidationError, match=message):
        TangDrawing.model_validate(tang)


@pytest.mark.parametrize(
    ("more", "message"),
    [
        ({"tang": TangDrawing(kind="hidden", width_mm=12, length_mm=101)}, "tang.length_mm 101"),
        ({"tang": TangDrawing(kind="through", width_mm=26)}, "tang.width_mm 26"),
        ({"handle": SQUARE.model_copy(update={"thickness_mm": 3.9})}, "blade.spine_mm"),
        (
            {"handle": SQUARE.model_copy(update={"material": "leather"}), "pins": [], "steel": ""},
            "at least 1",
        ),
        ({"handle": SQUARE.model_dump() | {"material": "butter"}}, "no handle material"),
        ({"pins": [{"diameter_mm": 3, "count": 1, "material": "hickory"}]}, "no pin material"),
        ({"sheath": {"material": "g10"}}, "no sheath material"),
        ({"hardness_hrc": 71.0}, "less than or equal to 70"),
    ],
)
def test_knives_that_cannot_be_are_refused(more: dict[str, object], message: str) -> None:
    with pytest.raises(ValidationError, match=message):
        from_parts(more)


def test_a_knife_without_an_edge_is_refused() -> None:
    bar = BLADE.model_copy(update={"length_mm": 60.0, "ricasso_mm": 60.0})
    with pytest.raises(ValidationError, match=r"blade\.ricasso_mm 60 mm is outside 0 to 55"):
        KnifeDrawing.model_validate(knife(FULL).model_dump() | {"blade": bar.model_dump(exclude_none=True)})
