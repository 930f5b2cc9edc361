"""Carving: how near the hand the edge works, how keen its angle is, how much mass must be steered.

Four ratios to the reference knife, multiplied, and a fifth for an edge shorter than its own:
hand to the working part of the edge, half the strokes on a long edge being made on its nearest part;
force of a wedge, sin(b/2) + f cos(b/2) for the included angle b and friction f; moment of inertia of
forearm and tool about the elbow; how well the girth of the handle lets the hand hold it.
"""

from __future__ import annotations

from catalog.drawings.axe_drawing import AxeDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.reference_design import reference
from catalog.drawings.rigid_body import RigidBody
from catalog.scores.arm import KG_M2_PER_G_MM2, forearm
from catalog.scores.chop_model import held_share
from catalog.scores.derived_figure import Derivation
from catalog.scores.plate import lesser
from catalog.scores.wedge import wedge_force
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, minimum, of_math, power

_DERIVATION = "10 x nearness of the edge x ease of the wedge x ease of steering x length of the stroke x grip"


def steered_kg_m2(body: RigidBody[N], *, grip_mm: N, ledger: Ledger[N]) -> N:
    """Moment of inertia of forearm and tool about the elbow, the tool square to the forearm [kg m2]."""
    arm = forearm(ledger)
    tool = body.about(grip_mm) * KG_M2_PER_G_MM2 + body.mass_g / 1000 * power(arm.reach_m, 2)
    return arm.inertia_kg_m2 + tool


def _carve(
    *,
    body: RigidBody[N],
    grip_mm: N,
    reach_mm: N,
    edge_mm: float,
    edge_angle_deg: float,
    held_mm: float,
    ledger: Ledger[N],
) -> N:
    standard = reference("knife")
    hand_mm = ledger("hand_breadth_mm") / 2
    standard_reach = hand_mm + standard["edge_length_mm"] / 2
    standard_body: RigidBody[N] = RigidBody(
        mass_g=standard["mass_g"], centre_mm=0, inertia_g_mm2=standard["inertia_g_mm2"]
    )
    friction = ledger("wood_friction")
    near = standard_reach / reach_mm
    keen = wedge_force(edge_angle_deg=standard["edge_angle_deg"], friction=friction) / wedge_force(
        edge_angle_deg=edge_angle_deg, friction=friction
    )
    steer = steered_kg_m2(standard_body, grip_mm=0, ledger=ledger) / steered_kg_m2(body, grip_mm=grip_mm, ledger=ledger)
    stroke = lesser(edge_mm, standard["edge_length_mm"]) / lesser(
        standard["edge_length_mm"], standard["edge_length_mm"]
    )
    grip = held_share(held_mm, ledger) / held_share(standard["grip_diameter_mm"], ledger)
    return 10 * near * keen * steer * stroke * grip * ledger("carve_model_ratio")  # 10 = reference knife


def knife_score(knife: KnifeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Carving score of a knife, before the hold to the range of scores."""
    blade = knife.blade
    nearest_mm = min(blade.edge_length_mm, reference("knife")["edge_length_mm"])
    middle_mm = (nearest_mm / 2 + blade.edge_length_mm / 2) / 2
    return _carve(
        body=body,
        grip_mm=knife.hand_mm,
        reach_mm=ledger("hand_breadth_mm") / 2 + blade.ricasso_mm + middle_mm,
        edge_mm=blade.edge_length_mm,
        edge_angle_deg=blade.edge_angle_deg,
        held_mm=knife.handle.grip_diameter_mm,
        ledger=ledger,
    )


def axe_score(axe: AxeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Carving score of an axe held close under the head, before the hold to the range of scores."""
    below_mm = axe.head_height_mm / 2 + ledger("hand_breadth_mm") / 2
    return _carve(
        body=body,
        grip_mm=axe.strike_mm - below_mm,
        reach_mm=of_math("hypot", below_mm, axe.bit_reach_mm),
        edge_mm=axe.bit_width_mm,
        edge_angle_deg=axe.edge_angle_deg,
        held_mm=axe.handle.grip_diameter_mm,
        ledger=ledger,
    )


def largest_piece_mm(knife: KnifeDrawing, ledger: Ledger[N]) -> N:
    """Largest piece to carve with a knife [mm]."""
    return minimum(ledger("carve_edge_share") * knife.blade.edge_length_mm, ledger("carve_held_mm"))


def largest_hewn_mm(axe: AxeDrawing, ledger: Ledger[N]) -> N:
    """Largest piece to hew with an axe [mm]."""
    return ledger("hew_bit_share") * axe.bit_width_mm


def knife_carving(knife: KnifeDrawing, body: RigidBody) -> list[Derivation]:
    """Carving score and largest piece of a knife."""
    inputs = {
        "edge_mm": knife.blade.edge_length_mm,
        "edge_angle_deg": knife.blade.edge_angle_deg,
        "mass_g": body.mass_g,
        "balance_mm": body.centre_mm,
    }
    score = Derivation("carve_score", lambda a: knife_score(knife, body, a), words=_DERIVATION, inputs=inputs)
    largest = Derivation(
        "carve_max_mm",
        lambda a: largest_piece_mm(knife, a),
        words="stated share of the edge, at most what a hand can hold",
        inputs={"edge_mm": knife.blade.edge_length_mm},
        unit="mm",
    )
    return [score, largest]


def axe_carving(axe: AxeDrawing, body: RigidBody) -> list[Derivation]:
    """Carving score and largest piece of an axe."""
    inputs = {"edge_mm": axe.bit_width_mm, "edge_angle_deg": axe.edge_angle_deg, "mass_g": body.mass_g}
    score = Derivation("carve_score", lambda a: axe_score(axe, body, a), words=_DERIVATION, inputs=inputs)
    largest = Derivation(
        "carve_max_mm",
        lambda a: largest_hewn_mm(axe, a),
        words="stated multiple of the bit width; the bit need not span the piece",
        inputs={"edge_mm": axe.bit_width_mm},
        unit="mm",
    )
    return [score, largest]
