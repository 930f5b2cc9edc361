"""Thin plates and bars under load: when a plate buckles, what a spring takes from a blow.

Timoshenko and Gere, Theory of Elastic Stability, 2nd edition 1961, and Young and Budynas, Roark's Formulas for Stress
and Strain, 7th edition (both from memory).
"""

from __future__ import annotations

import math

from catalog.tables.number import N, of_math, power

# from-memory: shear over Young's modulus of steel, 1 / 2 (1 + 0.3)
SHEAR_SHARE = 1 / 2.6


def euler_n(*, flat_mm4: N, length_mm: N, modulus_mpa: N) -> N:
    """Load that buckles a strip hinged at both ends [N]: pi2 E I / L2 (Euler's column).

    Args:
        flat_mm4: second moment I about the flat of the strip [mm4].
        length_mm: length L between the ends [mm].
        modulus_mpa: Young's modulus E [MPa].
    """
    return math.pi**2 * modulus_mpa * flat_mm4 / power(length_mm, 2)


def sideways_n(*, flat_mm4: N, length_mm: N, modulus_mpa: N) -> N:
    """Load on the end of a cantilever strip, in its plane, that makes it lean over sideways [N].

    4.013 sqrt(E I G J) / L2, with J = 4 I for a thin section. Timoshenko and Gere, art. 6.3 (from memory).

    Args:
        flat_mm4: second moment I about the flat of the strip [mm4].
        length_mm: length L from the clamp to the load [mm].
        modulus_mpa: Young's modulus E [MPa].
    """
    # from-memory: the first zero of the Bessel function of the buckled shape
    factor = 4.013
    # derived: torsion constant of a thin section, the integral of t3 / 3, is four times I, that of t3 / 12
    return factor * modulus_mpa * flat_mm4 * of_math("sqrt", 4 * SHEAR_SHARE) / power(length_mm, 2)


def cantilever_mm_per_n(*, second_mm4: N, length_mm: N, modulus_mpa: N) -> N:
    """Give of a cantilever at its end load [mm/N]: L3 / 3 E I (Roark, table 8.1)."""
    # derived: twice integrated curvature
    return power(length_mm, 3) / (3 * modulus_mpa * second_mm4)


def borne_share(*, load_n: N, limit_n: N) -> N:
    """Share of a load [N] borne by a plate that gives way at a limit [N]: 1 / (1 + (load / limit)2) (assumed form)."""
    return 1 / (1 + power(load_n / limit_n, 2))


def lesser(one: N, other: N) -> N:
    """Lesser of two positive figures of one unit without a corner: a b / (a4 + b4)^(1/4); 0 where one is 0."""
    # judged: within 16 % of the lesser where they are equal, within 2 % where one is half the other
    return one * other / power(power(one, 4) + power(other, 4), 1 / 4)
