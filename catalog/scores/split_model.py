"""Splitting: an axe by its own blow, a knife under a baton.

The clefts in a minute are taken in proportion to the power that reaches the wood. A baton's blow is
shared between baton and knife as two free bodies with a stated rebound, and a thicker spine drives the
crack further ahead: for a wedge in a split beam that length grows with the square root of the opening.
The more blade stands out of the wood, the fuller the swing at it.
"""

from __future__ import annotations

from catalog.drawings.axe_drawing import AxeDrawing, hands_on
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.rigid_body import RigidBody
from catalog.scores.arm import blow
from catalog.scores.chop_model import axe_blow, largest_chopped_mm, reference_blow
from catalog.scores.derived_figure import Figure, figure, score_figure
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, maximum, minimum, of_math, power, somewhere, where
from catalog.wood.cut import REFERENCE_MM


def axe_splitting(axe: AxeDrawing, body: RigidBody) -> list[Figure]:
    """Splitting score and largest diameter of an axe."""
    inputs = {
        "mass_g": body.mass_g,
        "struck_mass_g": body.struck_mass_g(axe.strike_mm),
        "hands": int(hands_on(axe, Ledger())),
    }
    return [
        score_figure(
            "split_score",
            lambda a: 10 * axe_blow(axe, body, a) / reference_blow(a) * a("split_model_ratio"),  # 10 = reference
            derivation="10 x energy of a blow / energy of the reference axe's blow, same arm model",
            inputs=inputs,
        ),
        figure(
            "split_max_mm",
            lambda a: largest_chopped_mm(axe_blow(axe, body, a), a),
            derivation="hatchet's limit x energy of a blow / energy of the reference hatchet's blow",
            inputs=inputs,
            unit="mm",
        ),
    ]


def can_be_batoned(knife: KnifeDrawing) -> bool:
    """Only a full tang is batoned; a through tang counts as the stick that it is."""
    return knife.tang.kind == "full"


def largest_round_mm(knife: KnifeDrawing, ledger: Ledger[N]) -> N:
    """Largest diameter to baton [mm]: the edge less the tip that must stay out to be struck."""
    if not can_be_batoned(knife):
        return 0.0
    return maximum(0.0, knife.blade.edge_length_mm - ledger("baton_overhang_mm"))


def _stick(ledger: Ledger[N]) -> RigidBody[N]:
    mass_g, length_mm = ledger("baton_mass_g"), ledger("baton_length_mm")
    # derived: second moment or inertia of a rectangle, prism or thin rod, from its integral
    return RigidBody(mass_g=mass_g, centre_mm=length_mm / 2, inertia_g_mm2=mass_g * power(length_mm, 2) / 12)


def passed_on(*, striker_g: N, struck_g: N, rebound: N) -> N:
    """Share of a striker's energy that a free body takes from it.

    m1 m2 (1 + e)2 / (m1 + m2)2 for masses m1, m2 and coefficient of restitution e.

    Source: impact of two free bodies, one of them at rest (standard mechanics).
    """
    return striker_g * struck_g * power(1 + rebound, 2) / power(striker_g + struck_g, 2)


def baton_score(knife: KnifeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Splitting score of a knife under a baton, before the hold to the range of scores."""
    able = largest_round_mm(knife, ledger) > 0
    if not somewhere(able):
        return 0.0
    stick = _stick(ledger)
    grip_mm = ledger("hand_breadth_mm") / 2
    strike_mm = ledger("baton_strike_share") * ledger("baton_length_mm")
    energy = blow(stick, grip_mm=grip_mm, strike_mm=strike_mm, hands=1, ledger=ledger)
    energy *= passed_on(striker_g=stick.struck_mass_g(strike_mm), struck_g=body.mass_g, rebound=ledger("baton_rebound"))
    pace = ledger("baton_blows_per_min") / ledger("axe_blows_per_min")
    wedge = of_math("sqrt", knife.blade.spine_mm / ledger("baton_spine_mm"))
    effect = energy * pace * wedge * _swing_share(knife, ledger) / reference_blow(ledger)
    score = 10 * effect * ledger("baton_model_ratio")  # 10 = reference axe
    return where(able, lambda: score, lambda: 0.0)


def _swing_share(knife: KnifeDrawing, ledger: Ledger[N]) -> N:
    """Share of a full swing that the blade outside the wood allows, at the diameter of the score."""
    diameter_mm = minimum(REFERENCE_MM, largest_round_mm(knife, ledger) / 2)
    out_mm = knife.blade.edge_length_mm - diameter_mm
    return out_mm / (out_mm + ledger("baton_target_mm"))


def knife_splitting(knife: KnifeDrawing, body: RigidBody) -> list[Figure]:
    """Splitting score and largest diameter of a knife."""
    full = can_be_batoned(knife)
    why = "" if full else f": 0, a {knife.tang.kind} tang is not batoned"
    return [
        score_figure(
            "split_score",
            lambda a: baton_score(knife, body, a),
            derivation="10 x power of baton blows passed to the knife, by root of spine / power of the axe" + why,
            inputs={
                "mass_g": body.mass_g,
                "spine_mm": knife.blade.spine_mm,
                "edge_mm": knife.blade.edge_length_mm,
            },
        ),
        figure(
            "split_max_mm",
            lambda a: largest_round_mm(knife, a),
            derivation="edge minus the overhang that is struck" + why,
            inputs={"edge_mm": knife.blade.edge_length_mm},
            unit="mm",
        ),
    ]
