"""Splitting: a wedge driven by its own blow or by a baton, against a budget of work that each cleft takes.

Most of that budget goes into knots, friction and lost blows; the wood's fracture energy is only a floor under the work
of a single blow. Of a blow, the wedge passes on what friction leaves (`wedge.wedge_efficiency`), and nothing counts
that does not open the wood at all. A knife under a baton also keeps what its blade takes up as a spring, bent in its
plane, sideways and twisted; it is hit along the spine that still stands out of the wood, past the round as far as the
tip's spine does not shed the baton, and over the round until the blade is buried. A thicker spine drives the crack
further ahead: by the root of the opening, as for a wedge in a split beam (Ennos and Ventura Oliveira 2017).

A cleft under a baton takes the axe's budget through 100 mm, and through other wood that by `baton_exponent`, as in a
plan. The blade's work a minute is that in the middle of its reach, or in 100 mm where that is less. The exponent holds
that less spine stands out of a thicker round (`baton_spine_exponent`), so a blade reckoned in a thinner round than
100 mm has that taken off. No axe's root comes into it.
"""

from __future__ import annotations

from typing import Any

from catalog.drawings.axe_drawing import AxeDrawing, axe_body, hands_on
from catalog.drawings.blade import strikable_mm
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.reference_design import reference_axe
from catalog.drawings.rigid_body import RigidBody
from catalog.drawings.section import Section, each_section
from catalog.scores.arm import blow
from catalog.scores.chop_model import axe_blow_j, held_share
from catalog.scores.derived_figure import Derivation
from catalog.scores.plate import SHEAR_SHARE, borne_share, cantilever_mm_per_n, lesser, sideways_n
from catalog.scores.wedge import bluntness, wedge_efficiency
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, Truth, maximum, minimum, of_math, power, somewhere, where
from catalog.wood.cut import REFERENCE_MM

# Unit factor: standard gravity, exact by definition (CGPM 1901)
_G_M_S2 = 9.80665
_AXE = "10 x work of a blow past friction and the wood's floor, over the reference axe's"
_KNIFE = (
    "10 x work of baton blows a minute past the blade's spring, friction and the wood's floor, "
    "by root of spine and spine left to strike / the axe's work a minute"
)


def _opened_j(*, blow_j: N, slope: N, edge_angle_deg: float, ledger: Ledger[N]) -> N:
    """Work of a blow that opens the wood [J]."""
    friction = ledger("wood_friction")
    useful_j = blow_j * wedge_efficiency(slope=slope, friction=friction)
    start = bluntness(edge_angle_deg=edge_angle_deg, friction=friction)
    # Unit factor: mm2 to m2; what the crack takes to go one advance, across the reference round
    floor_j = ledger("split_fracture_j_m2") * ledger("split_advance_mm") * REFERENCE_MM / 1e6
    return power(useful_j, 2) / (useful_j + floor_j) / (1 + ledger("split_start_share") * (start - 1))


def axe_opened_j(axe: AxeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Work of a blow with an axe that opens the wood [J]."""
    energy_j = axe_blow_j(axe, body, ledger)
    return _opened_j(blow_j=energy_j, slope=axe.wedge_slope, edge_angle_deg=axe.edge_angle_deg, ledger=ledger)


def _reference_j(ledger: Ledger[N], tool: str) -> N:
    axe = reference_axe(tool)
    # frozen: plain numbers serve where any may stand
    body: Any = axe_body(axe)
    opened: N = axe_opened_j(axe, body, ledger)
    return opened


def axe_splitting(axe: AxeDrawing, body: RigidBody) -> list[Derivation]:
    """Splitting score and largest diameter of an axe."""
    inputs = {
        "mass_g": body.mass_g,
        "struck_mass_g": body.struck_mass_g(axe.strike_mm),
        "hands": hands_on(axe, Ledger()),
        "wedge_slope": axe.wedge_slope,
        "edge_angle_deg": axe.edge_angle_deg,
    }
    return [
        Derivation("split_score", lambda a: axe_split_score(axe, body, a), words=_AXE, inputs=inputs),
        Derivation(
            "split_max_mm",
            lambda a: largest_split_mm(axe, body, a),
            words="largest round of the reference hatchet x (work of a blow / that of its blow)^exponent",
            inputs=inputs,
            unit="mm",
        ),
    ]


def axe_split_score(axe: AxeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Splitting score of an axe."""
    ratio = axe_opened_j(axe, body, ledger) / _reference_j(ledger, "axe")
    return 10 * ratio * ledger("split_model_ratio")  # 10 = reference axe


def largest_split_mm(axe: AxeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Largest diameter to split with an axe [mm]."""
    ratio = axe_opened_j(axe, body, ledger) / _reference_j(ledger, "hatchet")
    return ledger("hatchet_split_mm") * power(ratio, ledger("split_size_exponent"))


def can_be_batoned(knife: KnifeDrawing) -> bool:
    """Only a full tang is batoned; a through tang counts as the stick that it is."""
    return knife.tang.kind == "full"


def largest_round_mm(knife: KnifeDrawing, body: RigidBody[N], ledger: Ledger[N]) -> N:
    """Largest diameter to baton [mm]: by the spine left to strike past it, and by the work that opens it.

    0 for a tang that is not batoned, and where no more than a stick is left.
    """
    reach_mm, able = _reach_mm(knife, ledger)
    if not somewhere(able):
        return 0.0

    def largest() -> N:
        ratio = _baton_j(knife, body, reach_mm=reach_mm, ledger=ledger) / _reference_j(ledger, "hatchet")
        opened_mm = ledger("hatchet_split_mm") * ledger("baton_round_ratio")
        return lesser(reach_mm, opened_mm * power(ratio, ledger("split_size_exponent")))

    return where(able, largest, lambda: 0.0)


def _reach_mm(knife: KnifeDrawing, ledger: Ledger[N]) -> tuple[N, Truth]:
    """Diameter past which just enough spine stands out to be struck [mm], and whether that is more than a stick."""
    if not can_be_batoned(knife):
        return 0.0, False
    left_mm = strikable_mm(knife.blade, slip=ledger("baton_slip")) - ledger("baton_room_mm")
    stick_mm = ledger("least_round_mm")
    return maximum(left_mm, stick_mm), left_mm > stick_mm


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
    """Splitting score of a knife under a baton; 0 for one that is not batoned."""
    reach_mm, able = _reach_mm(knife, ledger)
    if not somewhere(able):
        return 0.0

    def score() -> N:
        ratio = _baton_j(knife, body, reach_mm=reach_mm, ledger=ledger) / _reference_j(ledger, "axe")
        # a score is of the reference round: baton_exponent gives the spine that stands out of a thinner one once more
        lost = power(_struck_round_mm(reach_mm) / REFERENCE_MM, ledger("baton_spine_exponent"))
        return 10 * ratio * lost  # 10 = axe

    return where(able, score, lambda: 0.0)


def _struck_round_mm(reach_mm: N) -> N:
    """Round in which a blade is reckoned [mm]: the reference, or half of what it reaches past where that is less."""
    return minimum(REFERENCE_MM, reach_mm / 2)


def _baton_j(knife: KnifeDrawing, body: RigidBody[N], *, reach_mm: N, ledger: Ledger[N]) -> N:
    """Work of baton blows that opens the wood, in the time of one blow with an axe and by its budget [J]."""
    stick = _stick(ledger)
    grip_mm = ledger("hand_breadth_mm") / 2
    strike_mm = ledger("baton_strike_share") * ledger("baton_length_mm")
    blow_j = blow(stick, grip_mm=grip_mm, strike_mm=strike_mm, hands=1, ledger=ledger) * ledger("arm_work_j")
    blow_j *= passed_on(striker_g=stick.struck_mass_g(strike_mm), struck_g=body.mass_g, rebound=ledger("baton_rebound"))
    round_mm = _struck_round_mm(reach_mm)
    out_mm = reach_mm + ledger("baton_room_mm") - round_mm
    unsprung = _unsprung_share(knife, round_mm=round_mm, out_mm=out_mm, ledger=ledger)
    blow_j *= unsprung * held_share(knife.handle.grip_diameter_mm, ledger)
    blade = knife.blade
    # what a flank above the grind rubs opens nothing
    slope = blade.buried_slope(rubbing=ledger("baton_flank_share"))
    opened_j = _opened_j(blow_j=blow_j, slope=slope, edge_angle_deg=blade.edge_angle_deg, ledger=ledger)
    pace = ledger("baton_blows_per_min") / ledger("axe_blows_per_min")
    lead = of_math("sqrt", blade.spine_mm / ledger("baton_spine_mm"))
    swing = out_mm / (out_mm + ledger("baton_target_mm"))
    # judged: how sharply; half where the blade is as wide as the depth at which the baton begins to hit wood
    over = 1 / (1 + power(ledger("baton_buried_mm") / blade.width_mm, 4))
    # a wedge steeper than friction is thrown out before the next blow
    # judged: how sharply, half at equality
    stays = 1 / (1 + power(slope / ledger("wood_friction"), 4))
    # an edge that is set before the blow misses nothing
    placed = 1 / (1 - ledger("lost_work_share"))
    return opened_j * placed * pace * lead * swing * over * stays * ledger("baton_model_ratio")


def _unsprung_share(knife: KnifeDrawing, *, round_mm: N, out_mm: N, ledger: Ledger[N]) -> N:
    """Share of a baton's blow that the blade passes on to the wood [-].

    The blow is spent on springs in series: wood and baton together, and the blade past the round, struck in the middle
    of what stands out: bent in its plane, bent sideways by the tilt of the blow, and twisted by its offset from the
    spine's middle. Thin blades lean over sideways first.
    """
    modulus_mpa = 1000 * ledger("steel_modulus_gpa")
    lever_mm = lesser(out_mm / 2, ledger("baton_reach_mm"))
    at_mm = minimum(knife.blade.ricasso_mm + round_mm, knife.blade.length_mm - knife.blade.point_mm / 2)
    section: Section[N] = each_section(knife.blade.section_at, at_mm)
    tilt = ledger("baton_tilt_deg")
    sideways = of_math("sin", of_math("radians", tilt))
    in_plane = cantilever_mm_per_n(second_mm4=section.edge_mm4, length_mm=lever_mm, modulus_mpa=modulus_mpa)
    across = cantilever_mm_per_n(second_mm4=section.flat_mm4, length_mm=lever_mm, modulus_mpa=modulus_mpa)
    # derived: twist of a bar, T L / G J, with J of a thin section four times its second moment about the flat
    twist = power(ledger("baton_offset_mm"), 2) * lever_mm / (4 * SHEAR_SHARE * modulus_mpa * section.flat_mm4)
    blade = in_plane + power(sideways, 2) * across + twist
    force_n = ledger("baton_mass_g") / 1000 * _G_M_S2 * ledger("baton_impact_factor")
    wood = ledger("baton_stop_mm") / force_n
    leaning_n = sideways_n(flat_mm4=section.flat_mm4, length_mm=lever_mm, modulus_mpa=modulus_mpa)
    return wood / (wood + blade) * borne_share(load_n=force_n, limit_n=leaning_n)


def knife_splitting(knife: KnifeDrawing, body: RigidBody) -> list[Derivation]:
    """Splitting score and largest diameter of a knife."""
    full = can_be_batoned(knife)
    why = "" if full else f": 0, a {knife.tang.kind} tang is not batoned"
    blade = knife.blade
    inputs = {
        "mass_g": body.mass_g,
        "spine_mm": blade.spine_mm,
        "width_mm": blade.width_mm,
        "cheek_slope": blade.cheek_slope,
        "edge_angle_deg": blade.edge_angle_deg,
        "edge_mm": blade.edge_length_mm,
        "strikable_mm": strikable_mm(blade, slip=Ledger()("baton_slip")),
    }
    return [
        Derivation("split_score", lambda a: baton_score(knife, body, a), words=_KNIFE + why, inputs=inputs),
        Derivation(
            "split_max_mm",
            lambda a: largest_round_mm(knife, body, a),
            words="spine to strike less the room for the baton, and what the work of the blows opens" + why,
            inputs=inputs,
            unit="mm",
        ),
    ]
