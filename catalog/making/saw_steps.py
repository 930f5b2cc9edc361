"""What a batch of drawn saws takes, step by step."""

from __future__ import annotations

from catalog.drawings.material_table import material
from catalog.drawings.rigid_body import G_PER_MM3
from catalog.drawings.saw_drawing import BowSawDrawing, FoldingSawDrawing, SawBlade, frame_length_mm
from catalog.making.making_figure import FiguresInForce
from catalog.making.shared_steps import (
    MM2_PER_DM2,
    MM3_PER_LITRE,
    handle_material,
    handle_shaped,
    mask,
    material_price,
    of_batch,
)
from catalog.making.step import Step, at_machine, bought, by_hand

# Unit factor: kg
_G_PER_KG = 1000.0
# what teeth of a kind take
_WORK = {
    "pull, triple ground": "tooth_ground_min",
    "push and pull, peg": "tooth_peg_min",
    "push and pull, raker": "tooth_raker_min",
}


def steps_of_folding_saws(saw: FoldingSawDrawing, pieces: int, figure: FiguresInForce) -> tuple[list[Step], float]:
    """Return the steps of a batch of folding saws, their blades of hardened strip, of which none is lost."""
    handle = saw.handle
    block_mm3 = handle.length_mm * handle.width_mm * handle.thickness_mm
    steps = [
        *_blade(saw.blade, pieces, figure),
        *handle_material(handle, block_mm3, pieces, figure),
        *handle_shaped(handle, pieces, figure),
        *bought("pivot, lock and screws", pieces * saw.hardware_g, "g", figure("hardware_price")),
        *by_hand("slot, pivot and lock fitted", pieces * figure("fit_saw_handle_min"), figure),
        *of_batch(pieces, figure),
    ]
    return steps, 0.0


def steps_of_bow_saws(saw: BowSawDrawing, pieces: int, figure: FiguresInForce) -> tuple[list[Step], float]:
    """Return the steps of a batch of bow saws or bucksaws, their blades of hardened strip, of which none is lost."""
    frame = saw.frame
    length_mm = frame_length_mm(saw)
    wooden = frame.wall_mm is None and "wood" in material(frame.material, used_for="frame").used_for
    waste = figure("handle_waste") if wooden else 1 + figure("stock_kerf_share")
    litres = frame.area_mm2 * length_mm / MM3_PER_LITRE * waste
    name = material(frame.material, used_for="frame").name
    # derived: four sides of a square bar
    shaped_dm2 = 4 * frame.outer_mm * length_mm / MM2_PER_DM2 if wooden else 0.0
    steps = [
        *_blade(saw.blade, pieces, figure),
        *bought(f"frame, {name}", pieces * litres, "l", figure(material_price(frame.material))),
        *by_hand("frame planed", pieces * shaped_dm2 * figure("plane_min_dm2"), figure),
        *bought("lever, cord and pins", pieces * frame.hardware_g, "g", figure("hardware_price")),
        *by_hand("frame fitted", pieces * figure("fit_frame_min"), figure),
        *mask(saw.mask_mass_g, pieces, figure),
        *of_batch(pieces, figure),
    ]
    return steps, 0.0


def _blade(blade: SawBlade, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return strip cut to length and width, and its teeth."""
    long_mm = blade.length_mm + figure("saw_tang_mm")
    kg = long_mm * blade.width_mm * blade.thickness_mm * blade.density_kg_m3 * G_PER_MM3 / _G_PER_KG
    cut_mm2 = 2 * (long_mm + blade.width_mm) * blade.thickness_mm
    teeth = blade.length_mm / blade.tooth_pitch_mm
    return [
        *bought("hardened strip", pieces * kg * (1 + figure("stock_kerf_share")), "kg", figure("saw_strip")),
        *at_machine("strip cut", pieces * cut_mm2 / figure("cut_mm2_min"), figure),
        *at_machine(f"teeth, {blade.teeth}", pieces * teeth * figure(_WORK[blade.teeth]), figure),
    ]
