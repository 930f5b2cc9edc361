"""Chopping: energy per blow against the reference axe, all tools at one pace.

Notch volume is taken in proportion to the energy that reaches the wood. The largest diameter is in the
same proportion, from the one published limit: a hatchet is for wood under 100 mm.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from catalog.drawings.axe_drawing import AxeDrawing, axe_body, axe_grip_mm, hands_on
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.reference_design import reference_axe
from catalog.drawings.rigid_body import RigidBody
from catalog.scores.arm import blow
from catalog.scores.derived_figure import Figure, figure, score_figure
from catalog.tables.ledger import Ledger
from catalog.tables.number import N

_SCORE = "10 x energy of a blow / energy of the reference axe's blow, same arm model, equal blow rate"
_LARGEST = "hatchet's limit x energy of a blow / energy of the reference hatchet's blow"


def axe_blow(axe: AxeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Energy of one blow with an axe, as a share of one arm's work."""
    grip_mm, hands = axe_grip_mm(axe, ledger), hands_on(axe, ledger)
    return blow(body, grip_mm=grip_mm, strike_mm=axe.strike_mm, hands=hands, ledger=ledger)


def reference_blow(ledger: Ledger[N], tool: str = "axe") -> N:
    """Energy of one blow with a reference axe, as a share of one arm's work."""
    axe = reference_axe(tool)
    # frozen: plain numbers serve where any may stand
    body: Any = axe_body(axe)
    energy: N = axe_blow(axe, body, ledger)
    return energy


def chop_score(energy: N, ledger: Ledger[N]) -> N:
    """Score for an energy per blow, before the hold to the range of scores."""
    return 10 * energy / reference_blow(ledger) * ledger("chop_model_ratio")  # 10 = reference tool


def largest_chopped_mm(energy: N, ledger: Ledger[N]) -> N:
    """Largest diameter for an energy per blow [mm]."""
    return ledger("hatchet_limit_mm") * energy / reference_blow(ledger, "hatchet")


def axe_chopping(axe: AxeDrawing, body: RigidBody) -> list[Figure]:
    """Chopping score and largest diameter of an axe."""
    ledger = Ledger()
    grip_mm, hands = axe_grip_mm(axe, ledger), int(hands_on(axe, ledger))
    inputs = _inputs(body, strike_mm=axe.strike_mm, grip_mm=grip_mm, hands=hands)
    return _figures(lambda a: axe_blow(axe, body, a), inputs)


def knife_blow(knife: KnifeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Energy of one chop with a knife, struck at the stated share of the blade."""
    strike_mm = ledger("knife_strike_share") * knife.blade.length_mm
    return blow(body, grip_mm=knife.hand_mm, strike_mm=strike_mm, hands=1, ledger=ledger)


def knife_chopping(knife: KnifeDrawing, body: RigidBody) -> list[Figure]:
    """Chopping score and largest diameter of a knife."""
    strike_mm = Ledger()("knife_strike_share") * knife.blade.length_mm
    inputs = _inputs(body, strike_mm=strike_mm, grip_mm=knife.hand_mm, hands=1)
    return _figures(lambda a: knife_blow(knife, body, a), inputs)


def _figures(blow_of: Callable[[Ledger], float], inputs: dict[str, float]) -> list[Figure]:
    """Chopping score and largest diameter of a tool by the energy of its blow."""
    return [
        score_figure("chop_score", lambda a: chop_score(blow_of(a), a), derivation=_SCORE, inputs=inputs),
        figure(
            "chop_max_mm", lambda a: largest_chopped_mm(blow_of(a), a), derivation=_LARGEST, inputs=inputs, unit="mm"
        ),
    ]


def _inputs(body: RigidBody, *, strike_mm: float, grip_mm: float, hands: int) -> dict[str, float]:
    return {
        "mass_g": body.mass_g,
        "balance_mm": body.centre_mm,
        "strike_to_hand_mm": abs(strike_mm - grip_mm),
        "swing_inertia_g_mm2": body.about(grip_mm),
        "struck_mass_g": body.struck_mass_g(strike_mm),
        "hands": hands,
    }
