"""Steps that tools of several shapes share: heat treatment, handles, covers, and what a batch takes at all."""

from __future__ import annotations

import math

from catalog.drawings.handle import HandleDrawing
from catalog.drawings.material_table import material
from catalog.making.making_figure import FiguresInForce
from catalog.making.step import Step, bought, by_hand, consumed
from catalog.making.stock import Quench

# Unit factor: l
MM3_PER_LITRE = 1e6
# Unit factor: dm2
MM2_PER_DM2 = 1e4
# Unit factor: kg
_G_PER_KG = 1000.0
# Unit factor: h
_MIN_PER_H = 60.0
# judged: a share of rejects beyond which nobody would go on
_MOST_REJECTS = 0.9


def rejects(quench: Quench, *, slenderness: float, figure: FiguresInForce) -> float:
    """Return the share of pieces lost in quench and to warp [-].

    Args:
        quench: what they are hardened in.
        slenderness: length over thickness; 0 for a head.
        figure: the figures in force.
    """
    # judged: warp grows as the square of the slenderness, over that of a common blade
    warp = figure("warp_share") * (slenderness / 40) ** 2 if slenderness else 0.0
    return min(_MOST_REJECTS, figure(f"reject_{quench}") + warp)


def heat_treatment(started: float, *, outline_mm2: float, figure: FiguresInForce) -> list[Step]:
    """Return hardening and tempering of as many pieces as are started, in whole batches of a furnace."""
    room = max(1.0, figure("furnace_pieces") / max(1.0, outline_mm2 / MM2_PER_DM2))
    batches = math.ceil(started / room)
    return [
        Step(
            "hardening and tempering, furnace", "machine hours", batches * figure("furnace_h"), "h", figure("furnace")
        ),
        *by_hand("hardening and tempering", batches * figure("furnace_care_h") * _MIN_PER_H, figure, learnt=False),
        *consumed("quench, foil and gas", batches, "batch", figure("quench")),
    ]


def handle_material(handle: HandleDrawing, solid_mm3: float, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the material of handles whose block holds a volume [mm3], with its waste, and their glue and finish."""
    litres = pieces * solid_mm3 / MM3_PER_LITRE * figure("handle_waste")
    name = material(handle.material, used_for="handle").name
    return [
        *bought(f"handle, {name}", litres, "l", figure(material_price(handle.material))),
        *consumed("glue, oil and paper", pieces, "piece", figure("glue_and_finish")),
    ]


def handle_shaped(handle: HandleDrawing, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the shaping of handles by their surface."""
    surface_dm2 = handle.girth_mm * handle.length_mm / MM2_PER_DM2
    return by_hand("handle shaped", pieces * surface_dm2 * figure("shape_min_dm2"), figure)


def mask(mass_g: float, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return a leather mask of a mass [g]; none where it weighs nothing."""
    if mass_g <= 0:
        return []
    litres = mass_g / _G_PER_KG / (material("leather", used_for="sheath").density_kg_m3 / _G_PER_KG)
    return [
        *bought("mask, leather", pieces * litres, "l", figure("material_leather")),
        *by_hand("mask", pieces * figure("mask_min"), figure),
    ]


def sharpened(edge_mm: float, pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return the final bevel of an edge [mm]."""
    # Unit factor: a hundred millimetres, as the figure has it
    return by_hand("sharpened", pieces * edge_mm / 100 * figure("sharpen_min_100mm"), figure)


def of_batch(pieces: int, figure: FiguresInForce) -> list[Step]:
    """Return what a batch takes before its first piece, and each piece between the steps."""
    return [
        *by_hand("set-up of the batch", figure("setup_h") * _MIN_PER_H, figure, learnt=False),
        *by_hand("between the steps", pieces * figure("handling_min"), figure),
    ]


def material_price(material_id: str) -> str:
    """Return the id of the price of a material."""
    return f"material_{material_id.replace('-', '_')}"
