"""Wedges driven into wood: what friction leaves of the work, how deep an edge bites, what a hand holds.

Ennos and Ventura Oliveira 2017 (EXARC Journal 2017/4), tests on hazel poles: blunter and wider wedges need less energy,
since less is lost to friction.
"""

from __future__ import annotations

import math

from catalog.tables.number import N, maximum, power

# judged: steps of Newton's method after which no digit that is told changes
_STEPS = 20


def wedge_force(*, edge_angle_deg: float, friction: N) -> N:
    """Force to push a wedge, over the normal force on its faces / 2: sin(b/2) + f cos(b/2).

    Source: equilibrium of a symmetric wedge (standard mechanics).
    """
    half = math.radians(edge_angle_deg) / 2
    return math.sin(half) + friction * math.cos(half)


def bluntness(*, edge_angle_deg: float, friction: N) -> N:
    """Force to push a wedge over that of one of 30 degrees, the bevel for which forces of edges are stated [-]."""
    # judged: the usual bevel of an axe
    usual = wedge_force(edge_angle_deg=30, friction=friction)
    return wedge_force(edge_angle_deg=edge_angle_deg, friction=friction) / usual


def wedge_efficiency(*, slope: N, friction: N) -> N:
    """Share of the work put into a symmetric wedge that opens the wood: tan a / tan(a + atan f) [-].

    Args:
        slope: tangent of the half angle, tan a [-].
        friction: coefficient f between cheek and wood; from 1 / slope on nothing is left [-].

    Source: equilibrium of a symmetric wedge with friction (standard mechanics).
    """
    return slope * maximum(0.0, 1 - slope * friction) / (slope + friction)


def bite_mm(*, energy_j: N, contact_mm: N, edge_n_mm: N, cheek_mpa: N, give_mm: N, slope: N, friction: N) -> N:
    """Depth to which a blow drives an edge across the grain [mm].

    The edge takes R a millimetre of its length; each cheek feels a pressure p (1 + y / g), y how far it has pushed the
    wood aside: E / b = R x + p (s + f) x2 + p (s + f) s x3 / 3 g.

    Args:
        energy_j: energy E of the blow [J].
        contact_mm: length b of edge in the wood [mm].
        edge_n_mm: force R of the edge [N/mm].
        cheek_mpa: pressure p on the cheeks [MPa].
        give_mm: g, the shift that doubles the pressure [mm].
        slope: tangent s of the half angle of the cheeks [-].
        friction: f between cheek and wood [-].

    Source: derived (the force integrated over the depth); the law of the pressure is assumed.
    """
    # Unit factor: J to N mm
    given = 1000 * energy_j / contact_mm
    square = cheek_mpa * (slope + friction)
    # derived: integral of the pressure that grows with depth
    cube = square * slope / (3 * give_mm)
    # from above, the root of a convex function is met without overshoot
    depth = given / edge_n_mm
    for _ in range(_STEPS):
        work = depth * (edge_n_mm + depth * (square + depth * cube))
        # derived: the slope of that work
        depth = depth - (work - given) / (edge_n_mm + depth * (2 * square + 3 * depth * cube))
    return depth


def grip_share(*, diameter_mm: N, best_mm: N, width: N) -> N:
    """Share of a hand's force that a handle of a diameter [mm] takes up: 1 / (1 + ((r - 1/r) / 2 w)2), r over the best.

    Falls alike for a handle twice and for one half as thick (assumed form).
    """
    ratio = diameter_mm / best_mm
    return 1 / (1 + power((ratio - 1 / ratio) / (2 * width), 2))
