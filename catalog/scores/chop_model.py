"""Chopping: how deep a blow drives the edge across the grain, and what the chips of a notch then weigh up to.

Arms, hands and haft give a blow its energy; edge and cheeks spend it. A notch is cut by slanting blows, so its chips
grow with the length of edge in the wood and the square of the depth. Cheeks too steep crush the wood they should part;
cheeks flatter than friction stick, and freeing them takes time. The largest diameter goes with the chips of a blow,
from the one published limit: a hatchet is for wood under 100 mm.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from catalog.drawings.axe_drawing import AxeDrawing, axe_body, axe_grip_mm, hands_on
from catalog.drawings.handle import HandleDrawing
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.reference_design import reference_axe
from catalog.drawings.rigid_body import RigidBody
from catalog.scores.arm import blow
from catalog.scores.derived_figure import Derivation
from catalog.scores.plate import cantilever_mm_per_n, lesser
from catalog.scores.wedge import bite_mm, bluntness, grip_share
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, of_math, power

_SCORE = "10 x chips of a blow (edge length x depth2) x blows a minute, over the reference axe's, same arm model"
_LARGEST = "hatchet's limit x chips a minute / chips of the reference hatchet"


def haft_share(handle: HandleDrawing, *, blow_j: N, span_mm: N, ledger: Ledger[N]) -> N:
    """Share of a blow that the haft does not keep as a bent spring [-].

    The force that speeds the head up over its path bends the haft as a cantilever: U / E = E L3 / 6 E' I s2.

    Args:
        handle: the drawing.
        blow_j: energy of the blow [J].
        span_mm: from the hand to the head [mm].
        ledger: reads and notes the assumptions.

    Source: Roark, table 8.1 (from memory); work of the force that bends it.
    """
    path_mm = 1000 * ledger("swing_path_m")
    # Unit factor: J to N mm
    force_n = 1000 * blow_j / path_mm
    give = cantilever_mm_per_n(
        second_mm4=handle.swing_mm4, length_mm=span_mm, modulus_mpa=1000 * ledger("haft_modulus_gpa")
    )
    kept = power(force_n, 2) * give / 2
    # Unit factor: J to N mm
    return 1 / (1 + kept / (1000 * blow_j))


def held_share(diameter_mm: float, ledger: Ledger[N]) -> N:
    """Share of the hand's force that a handle of a diameter [mm] lets it use [-]."""
    return grip_share(diameter_mm=diameter_mm, best_mm=ledger("grip_best_mm"), width=ledger("grip_width"))


def axe_blow_j(axe: AxeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Energy of one blow with an axe [J]."""
    grip_mm, hands = axe_grip_mm(axe, ledger), hands_on(axe, ledger)
    share = blow(body, grip_mm=grip_mm, strike_mm=axe.strike_mm, hands=hands, ledger=ledger)
    given_j = share * ledger("arm_work_j")
    bent = haft_share(axe.handle, blow_j=given_j, span_mm=axe.strike_mm - grip_mm, ledger=ledger)
    return given_j * bent * held_share(axe.handle.grip_diameter_mm, ledger)


def _chips_mm3(*, energy_j: N, edge_mm: float, edge_angle_deg: float, slope: N, ledger: Ledger[N]) -> N:
    """Chips of a blow over the time that freeing the edge adds to it, up to a factor [mm3]."""
    if edge_mm == 0:
        return 0.0
    friction = ledger("wood_friction")
    contact_mm = lesser(edge_mm, ledger("chop_contact_mm"))
    blunt = bluntness(edge_angle_deg=edge_angle_deg, friction=friction)
    depth = bite_mm(
        energy_j=energy_j,
        contact_mm=contact_mm,
        edge_n_mm=ledger("chop_edge_n_mm") * blunt,
        cheek_mpa=ledger("chop_cheek_mpa"),
        give_mm=ledger("chop_give_mm"),
        slope=slope,
        friction=friction,
    )
    return contact_mm * power(depth, 2) / (1 + ledger("stick_share") * _sticking(slope, friction))


def _sticking(slope: N, friction: N) -> N:
    """How much friction outweighs the slope of the cheeks, over friction [-]: above 0, near 0 for steep cheeks."""
    over = 1 - slope / friction
    # judged: how far around the slope of friction sticking sets in
    softness = 0.2
    # derived: a hyperbola with the two straight lines as its asymptotes
    return (over + of_math("hypot", over, softness)) / 2


def axe_chips_mm3(axe: AxeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Chips of a blow with an axe, up to a factor [mm3]."""
    return _chips_mm3(
        energy_j=axe_blow_j(axe, body, ledger),
        edge_mm=axe.bit_width_mm,
        edge_angle_deg=axe.edge_angle_deg,
        slope=axe.wedge_slope,
        ledger=ledger,
    )


def _reference_chips_mm3(ledger: Ledger[N], tool: str) -> N:
    axe = reference_axe(tool)
    # frozen: plain numbers serve where any may stand
    body: Any = axe_body(axe)
    chips: N = axe_chips_mm3(axe, body, ledger)
    return chips


def chop_score(chips_mm3: N, ledger: Ledger[N]) -> N:
    """Score for chips of a blow [mm3], as `axe_chips_mm3` and `knife_chips_mm3` have them."""
    return 10 * chips_mm3 / _reference_chips_mm3(ledger, "axe") * ledger("chop_model_ratio")  # 10 = reference tool


def largest_chopped_mm(chips_mm3: N, ledger: Ledger[N]) -> N:
    """Largest diameter for chips of a blow [mm]."""
    return ledger("hatchet_limit_mm") * chips_mm3 / _reference_chips_mm3(ledger, "hatchet")


def axe_chopping(axe: AxeDrawing, body: RigidBody) -> list[Derivation]:
    """Chopping score and largest diameter of an axe."""
    ledger = Ledger()
    grip_mm, hands = axe_grip_mm(axe, ledger), hands_on(axe, ledger)
    inputs = _inputs(body, strike_mm=axe.strike_mm, grip_mm=grip_mm, hands=hands)
    inputs |= {"edge_mm": axe.bit_width_mm, "edge_angle_deg": axe.edge_angle_deg, "wedge_slope": axe.wedge_slope}
    return _figures(lambda a: axe_chips_mm3(axe, body, a), inputs)


def knife_chips_mm3(knife: KnifeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Chips of one chop with a knife, struck at the stated share of the blade, up to a factor [mm3]."""
    strike_mm = ledger("knife_strike_share") * knife.blade.length_mm
    share = blow(body, grip_mm=knife.hand_mm, strike_mm=strike_mm, hands=1, ledger=ledger)
    return _chips_mm3(
        energy_j=share * ledger("arm_work_j") * held_share(knife.handle.grip_diameter_mm, ledger),
        edge_mm=knife.blade.edge_length_mm,
        edge_angle_deg=knife.blade.edge_angle_deg,
        slope=knife.blade.cheek_slope,
        ledger=ledger,
    )


def knife_chopping(knife: KnifeDrawing, body: RigidBody) -> list[Derivation]:
    """Chopping score and largest diameter of a knife."""
    strike_mm = Ledger()("knife_strike_share") * knife.blade.length_mm
    inputs = _inputs(body, strike_mm=strike_mm, grip_mm=knife.hand_mm, hands=1)
    blade = knife.blade
    inputs |= {
        "edge_mm": blade.edge_length_mm,
        "edge_angle_deg": blade.edge_angle_deg,
        "cheek_slope": blade.cheek_slope,
    }
    return _figures(lambda a: knife_chips_mm3(knife, body, a), inputs)


def _figures(chips_of: Callable[[Ledger], float], inputs: dict[str, float]) -> list[Derivation]:
    """Chopping score and largest diameter of a tool by the chips of its blow."""
    return [
        Derivation("chop_score", lambda a: chop_score(chips_of(a), a), words=_SCORE, inputs=inputs),
        Derivation(
            "chop_max_mm", lambda a: largest_chopped_mm(chips_of(a), a), words=_LARGEST, inputs=inputs, unit="mm"
        ),
    ]


def _inputs(body: RigidBody, *, strike_mm: float, grip_mm: float, hands: float) -> dict[str, float]:
    return {
        "mass_g": body.mass_g,
        "balance_mm": body.centre_mm,
        "strike_to_hand_mm": abs(strike_mm - grip_mm),
        "swing_inertia_g_mm2": body.about(grip_mm),
        "struck_mass_g": body.struck_mass_g(strike_mm),
        "hands": hands,
    }
