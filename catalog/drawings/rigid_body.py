from __future__ import annotations

from dataclasses import dataclass
from typing import Generic

from catalog.tables.number import N, lowest, power, somewhere, where

# Unit factor: kg/m3 as g/mm3
G_PER_MM3 = 1e-6


@dataclass(frozen=True, slots=True)
class RigidBody(Generic[N]):
    """A rigid part on one axis, x = 0 where blade or head side meets the handle, handle negative.

    Attributes:
        mass_g: mass [g].
        centre_mm: centre of mass on the axis [mm].
        inertia_g_mm2: moment of inertia about the part's own centre of mass, swing axis [g mm2].
    """

    mass_g: N
    centre_mm: N
    inertia_g_mm2: N

    def about(self, pivot_mm: N) -> N:
        """Moment of inertia about a parallel axis through ``pivot_mm`` [g mm2] (parallel-axis theorem)."""
        return self.inertia_g_mm2 + self.mass_g * power(self.centre_mm - pivot_mm, 2)

    def struck_mass_g(self, strike_mm: N) -> N:
        """Effective mass at a point struck across the axis, the body free [g].

        1 / (1/m + d2/I) with d the distance of the point from the centre of mass: the mass that a blow
        at that point feels before any hand can add to it. Source: impulse and momentum of a free rigid body.
        """
        distance_mm = strike_mm - self.centre_mm
        return where(
            distance_mm == 0,
            lambda: self.mass_g,
            lambda: 1 / (1 / self.mass_g + power(distance_mm, 2) / self.inertia_g_mm2),
        )


def prism(*, area_mm2: N, start_mm: N, end_mm: N, depth_mm: N, density_kg_m3: N) -> RigidBody[N]:
    """A part of constant section between two stations.

    Args:
        area_mm2: section area [mm2].
        start_mm: station of one end [mm].
        end_mm: station of the other end [mm], beyond the first.
        depth_mm: size of the section in the plane of the swing [mm], for its own small inertia.
        density_kg_m3: density [kg/m3].

    Source: uniform rectangular prism, m (l2 + d2) / 12.
    """
    length_mm = end_mm - start_mm
    mass_g = area_mm2 * length_mm * density_kg_m3 * G_PER_MM3
    # derived: second moment or inertia of a rectangle, prism or thin rod, from its integral
    inertia = mass_g * (power(length_mm, 2) + power(depth_mm, 2)) / 12  # prism formula of the docstring
    return RigidBody(mass_g=mass_g, centre_mm=(start_mm + end_mm) / 2, inertia_g_mm2=inertia)


def join(*parts: RigidBody[N]) -> RigidBody[N]:
    """One body from several on the same axis.

    Raises:
        ValueError: no part with mass.
    """
    mass_g: N = sum(part.mass_g for part in parts)
    if somewhere(mass_g <= 0):
        raise ValueError(f"the mass of a body is {lowest(mass_g):g} g; it must be above 0 g")
    centre_mm: N = sum(part.mass_g * part.centre_mm for part in parts) / mass_g
    inertia: N = sum(part.about(centre_mm) for part in parts)
    return RigidBody(mass_g=mass_g, centre_mm=centre_mm, inertia_g_mm2=inertia)
