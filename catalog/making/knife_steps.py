"""What a batch of drawn knives takes, step by step."""

from __future__ import annotations

import math

from catalog.drawings.knife import KnifeDrawing, sheath_mass_g
from catalog.drawings.material_table import material
from catalog.making.making import Making
from catalog.making.making_figure import FiguresInForce
from catalog.making.shared_steps import (
    MM2_PER_DM2,
    MM3_PER_LITRE,
    handle_material,
    handle_shaped,
    heat_treatment,
    material_price,
    of_batch,
    rejects,
    sharpened,
)
from catalog.making.step import Step, at_machine, bought, by_hand, consumed
from catalog.making.stock import Blank

# Unit factor: kg/m3 times mm3 as kg
_M3_PER_MM3 = 1e-9
# Unit factor: cm3
_MM3_PER_CM3 = 1000.0


def steps_of_knives(
    knife: KnifeDrawing, blank: Blank, making: Making, pieces: int, figure: FiguresInForce
) -> tuple[list[Step], float]:
    """Return the steps of a batch, and the share of blades lost in hardening.

    Blades that are lost take steel, cutting, soft grinding and a place in the furnace.
    """
    lost = rejects(blank.quench, slenderness=blank.slenderness, figure=figure)
    started = pieces / (1 - lost)
    steps = [
        *_steel(knife, blank, started, figure),
        *_ground(blank, making, started, pieces, figure),
        *heat_treatment(started, outline_mm2=blank.outline_mm2, figure=figure),
        *by_hand("straightened and checked", started * figure("straighten_min"), figure),
        *_finished(blank, making, pieces, figure),
        *_handle(knife, pieces, figure),
        *sharpened(knife.blade.edge_length_mm, pieces, figure),
        *_sheath(knife, pieces, figure),
        *of_batch(pieces, figure),
    ]
    return steps, lost


def _steel(knife: KnifeDrawing, blank: Blank, started: float, figure: FiguresInForce) -> list[Step]:
    """Return the bar, and its outline cut out, ground to the line and drilled."""
    round_mm = 2 * figure("stock_round_mm")
    bar_mm3 = (blank.length_mm + round_mm) * (blank.width_mm + round_mm) * blank.stock_mm
    kg = bar_mm3 * blank.density_kg_m3 * _M3_PER_MM3 * (1 + figure("stock_kerf_share"))
    price = "steel_other" if blank.family is None else f"steel_{blank.family.replace(' ', '_')}"
    face_mm2 = blank.round_mm * blank.stock_mm
    outline_min = face_mm2 / figure("cut_mm2_min") + face_mm2 / figure("outline_mm2_min")
    milled_min = blank.milled_cm3 / figure("drill_cm3_min")
    return [
        *bought(f"steel {knife.steel}, {blank.stock_mm:g} mm", started * kg, "kg", figure(price)),
        *at_machine("outline cut and ground to the line", started * outline_min, figure),
        *at_machine("tang lightened", started * milled_min, figure),
    ]


def _ground(blank: Blank, making: Making, started: float, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the bevels: before hardening, and the skin after it; or all of it after."""
    if making.grinding == "hard":
        hard_cm3, soft_cm3 = blank.ground_cm3, 0.0
    else:
        skin_cm3 = 2 * blank.face_mm2 * figure("scale_mm") / _MM3_PER_CM3
        hard_cm3 = min(skin_cm3, blank.ground_cm3)
        soft_cm3 = blank.ground_cm3 - hard_cm3
    belts = pieces * hard_cm3 / figure("belt_hard_cm3")
    steps = at_machine("bevels ground hard", pieces * hard_cm3 / figure("grind_hard_cm3_min"), figure)
    if soft_cm3 > 0:
        steps += at_machine("bevels ground soft", started * soft_cm3 / figure("grind_soft_cm3_min"), figure)
        belts += started * soft_cm3 / figure("belt_soft_cm3")
    return [*steps, *consumed("belts", belts, "belt", figure("belt"))]


def _finished(blank: Blank, making: Making, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the finish of both faces."""
    faces_dm2 = 2 * blank.face_mm2 / MM2_PER_DM2
    minutes = pieces * faces_dm2 * figure(f"finish_{making.finish}_min_dm2")
    return by_hand(f"faces finished, {making.finish}", minutes, figure)


def _handle(knife: KnifeDrawing, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return scales or block, pins and fittings."""
    handle = knife.handle
    steel_mm3 = knife.tang_length_mm * knife.tang_width_mm * knife.blade.spine_mm
    full = knife.tang.kind == "full"
    block_mm3 = handle.length_mm * handle.width_mm * handle.thickness_mm - (steel_mm3 if full else 0.0)
    fit = figure("fit_full_tang_min") if full else figure("fit_hidden_tang_min")
    steps = handle_material(handle, max(0.0, block_mm3), pieces, figure)
    for pin in knife.pins:
        # derived: area or girth of circles and rounded corners
        volume_mm3 = pin.count * math.pi / 4 * pin.diameter_mm**2 * handle.thickness_mm
        name = material(pin.material, used_for="pin").name
        price = figure(material_price(pin.material))
        steps += bought(f"pins, {name}", pieces * volume_mm3 / MM3_PER_LITRE, "l", price)
        steps += by_hand("pins set", pieces * pin.count * figure("pin_min"), figure)
    for one in knife.fittings:
        steps += bought(f"fitting: {one.name}", pieces * one.mass_g, "g", figure("fitting_price"))
        steps += by_hand("fittings fitted", pieces * figure("fitting_min"), figure)
    steps += by_hand("handle fitted", pieces * fit, figure)
    return [*steps, *handle_shaped(handle, pieces, figure)]


def _sheath(knife: KnifeDrawing, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the sheath, where one is drawn."""
    if knife.sheath is None:
        return []
    cover = material(knife.sheath.material, used_for="sheath")
    litres = sheath_mass_g(knife) / cover.density_kg_m3
    work = {"leather": "sheath_leather_min", "webbing": "sheath_webbing_min"}.get(cover.id, "sheath_sheet_min")
    return [
        *bought(f"sheath, {cover.name}", pieces * litres, "l", figure(material_price(cover.id))),
        *by_hand("sheath", pieces * figure(work), figure),
    ]
