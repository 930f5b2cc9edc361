"""What a batch of drawn axes takes, step by step."""

from __future__ import annotations

import math

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.making.making import Making
from catalog.making.making_figure import FiguresInForce
from catalog.making.shared_steps import (
    MM2_PER_DM2,
    handle_material,
    handle_shaped,
    heat_treatment,
    mask,
    of_batch,
    rejects,
    sharpened,
)
from catalog.making.step import Step, at_machine, bought, by_hand, consumed
from catalog.making.stock import quench_of

# Unit factor: kg
_G_PER_KG = 1000.0
# Unit factor: cm3
_MM3_PER_CM3 = 1000.0
# of a forged head, which a drawing does not name: medium carbon steel
_HEAD_FAMILY = "plain carbon"


def steps_of_axes(axe: AxeDrawing, making: Making, pieces: int, figure: FiguresInForce) -> tuple[list[Step], float]:
    """Return the steps of a batch, heads forged from bar, and the share of heads lost in hardening."""
    lost = rejects(quench_of(_HEAD_FAMILY), slenderness=0.0, figure=figure)
    started = pieces / (1 - lost)
    kg = axe.head_mass_g / _G_PER_KG
    # derived: a trapezoid from eye to bit
    side_mm2 = (axe.bit_width_mm + axe.head_height_mm) / 2 * axe.bit_reach_mm
    steps = [
        *bought("steel for the head", started * kg * (1 + figure("forge_loss")), "kg", figure("steel_plain_carbon")),
        *at_machine("head forged", started * kg * figure("forge_min_kg"), figure),
        *consumed("gas or coal of the forge", started * kg, "kg", figure("forge_heat")),
        *_bit(axe, making, started, pieces, figure),
        *heat_treatment(started, outline_mm2=side_mm2, figure=figure),
        *by_hand(
            f"cheeks finished, {making.finish}",
            pieces * 2 * side_mm2 / MM2_PER_DM2 * figure(f"finish_{making.finish}_min_dm2"),
            figure,
        ),
        *_haft(axe, pieces, figure),
        *sharpened(axe.bit_width_mm, pieces, figure),
        *mask(axe.mask_mass_g, pieces, figure),
        *of_batch(pieces, figure),
    ]
    return steps, lost


def _bit(axe: AxeDrawing, making: Making, started: float, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the bevels of the bit: two wedges as deep as the figure says, ground before hardening or after."""
    # derived: half of the included angle
    slope = math.tan(math.radians(axe.edge_angle_deg) / 2)
    ground_cm3 = axe.bit_width_mm * figure("axe_bevel_mm") ** 2 * slope / _MM3_PER_CM3
    state, count = ("hard", float(pieces)) if making.grinding == "hard" else ("soft", started)
    return [
        *at_machine(f"bit ground {state}", count * ground_cm3 / figure(f"grind_{state}_cm3_min"), figure),
        *consumed("belts", count * ground_cm3 / figure(f"belt_{state}_cm3"), "belt", figure("belt")),
    ]


def _haft(axe: AxeDrawing, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the haft, shaped and hung."""
    handle = axe.handle
    block_mm3 = handle.length_mm * handle.width_mm * handle.thickness_mm
    return [
        *handle_material(handle, block_mm3, pieces, figure),
        *handle_shaped(handle, pieces, figure),
        *by_hand("head hung and wedged", pieces * figure("fit_haft_min"), figure),
    ]
