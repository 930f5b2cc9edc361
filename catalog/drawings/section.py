"""Cross-sections of blades: area, centroid, second moments and section moduli.

A section is symmetric about the plane of the blade. ``y`` runs from the cutting edge (0) to the spine.
Closed forms: Young and Budynas, Roark's Formulas for Stress and Strain, 7th edition, table A.1 (from memory),
and the integral of a polynomial thickness where that table has no row.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, Literal

from catalog.maths.quadrature import simpson
from catalog.tables.errors import RangeError
from catalog.tables.number import N, absolute, each, maximum

Grind = Literal["full flat", "saber", "scandi", "convex", "hollow"]


@dataclass(frozen=True, slots=True)
class Section(Generic[N]):
    """One cross-section, uniform material; or one at each of an array of stations.

    Attributes:
        width_mm: edge to spine [mm].
        edge_mm: thickness at the cutting edge, behind any final bevel [mm].
        spine_mm: thickness at the spine, the largest [mm].
        area_mm2: area [mm2].
        centroid_mm: distance of the centroid from the cutting edge [mm].
        flat_mm4: second moment for sideways bending, as in prying [mm4].
        edge_mm4: second moment for bending in the plane of the blade, about the centroid [mm4].
    """

    width_mm: N
    edge_mm: N
    spine_mm: N
    area_mm2: N
    centroid_mm: N
    flat_mm4: N
    edge_mm4: N

    @property
    def flat_modulus_mm3(self) -> N:
        """Section modulus for sideways bending [mm3]."""
        return self.flat_mm4 / (self.spine_mm / 2)

    @property
    def edge_modulus_mm3(self) -> N:
        """Section modulus for bending in the plane of the blade, at the cutting edge [mm3]."""
        return self.edge_mm4 / self.centroid_mm

    @property
    def spine_modulus_mm3(self) -> N:
        """Section modulus for bending in the plane of the blade, at the spine [mm3]."""
        return self.edge_mm4 / (self.width_mm - self.centroid_mm)

    def stress_mpa(self, *, flat_n_mm: N, edge_n_mm: N) -> N:
        """Largest bending stress under two moments at once [MPa].

        Args:
            flat_n_mm: moment that bends the blade sideways [N mm].
            edge_n_mm: moment that bends it in its own plane [N mm].

        The larger of spine corner and edge corner: no point between them is worse for a face that is
        straight, saber or convex, and a hollow face lies inside the straight one.
        """
        flat_at_spine = absolute(flat_n_mm) / self.flat_modulus_mm3
        at_spine = flat_at_spine + absolute(edge_n_mm) / self.spine_modulus_mm3
        at_edge = flat_at_spine * self.edge_mm / self.spine_mm + absolute(edge_n_mm) / self.edge_modulus_mm3
        return maximum(at_spine, at_edge)


def each_section(section_at: Callable[[float], Section], x_mm: N) -> Section[N]:
    """Return the section at a station [mm]; of an array of stations, the arrays of their sections.

    Raises:
        RangeError: a station where there is no section.
    """
    found: Section[N] = each(section_at, x_mm)
    return found


def _from_moments(
    *,
    width_mm: float,
    edge_mm: float,
    spine_mm: float,
    zeroth: float,
    first: float,
    second: float,
    flat: float,
) -> Section:
    """Build a section from the integrals of t, y t, y2 t and t3/12 over y."""
    centroid_mm = first / zeroth if zeroth > 0 else 0.0
    return Section(
        width_mm=width_mm,
        edge_mm=edge_mm,
        spine_mm=spine_mm,
        area_mm2=zeroth,
        centroid_mm=centroid_mm,
        flat_mm4=flat,
        edge_mm4=second - zeroth * centroid_mm**2,
    )


def _check(*, width_mm: float, edge_mm: float, spine_mm: float) -> None:
    if not (math.isfinite(width_mm) and width_mm >= 0):
        raise RangeError(quantity="width_mm", value=width_mm, low=0, high=math.inf, unit="mm", source="geometry")
    if not (math.isfinite(spine_mm) and spine_mm > 0):
        raise RangeError(quantity="spine_mm", value=spine_mm, low=0, high=math.inf, unit="mm", source="geometry")
    if not 0 <= edge_mm <= spine_mm:
        raise RangeError(quantity="edge_mm", value=edge_mm, low=0, high=spine_mm, unit="mm", source="geometry")


def rectangle(*, width_mm: float, thickness_mm: float) -> Section:
    """Section of a bar, a ricasso or a full tang; inputs in mm.

    Raises:
        RangeError: a negative width or a thickness that is not positive.

    Source: Roark, table A.1, rectangle (from memory).
    """
    _check(width_mm=width_mm, edge_mm=thickness_mm, spine_mm=thickness_mm)
    return slotted_bar(width_mm=width_mm, slot_mm=0.0, thickness_mm=thickness_mm)


def slotted_bar(*, width_mm: float, slot_mm: float, thickness_mm: float) -> Section:
    """Section of a bar with a slot in the middle of its width: two rims, each side of it [mm].

    Args:
        width_mm: width of the bar [mm].
        slot_mm: width of the slot, less than the bar's, 0 where there is none [mm].
        thickness_mm: thickness of the bar [mm].

    Source: derived, a rectangle less a rectangle round the same centre.
    """
    steel_mm = width_mm - slot_mm
    return Section(
        width_mm=width_mm,
        edge_mm=thickness_mm,
        spine_mm=thickness_mm,
        area_mm2=steel_mm * thickness_mm,
        centroid_mm=width_mm / 2,
        # derived: second moment or inertia of a rectangle, prism or thin rod, from its integral
        flat_mm4=steel_mm * thickness_mm**3 / 12,
        # derived: second moment or inertia of a rectangle, prism or thin rod, from its integral
        edge_mm4=thickness_mm * (width_mm**3 - slot_mm**3) / 12,
    )


def triangle(*, width_mm: float, spine_mm: float) -> Section:
    """Section of a full flat grind that ends in a keen edge; inputs in mm.

    Raises:
        RangeError: a negative width or a thickness that is not positive.

    Source: Roark, table A.1, isosceles triangle (from memory).
    """
    _check(width_mm=width_mm, edge_mm=0, spine_mm=spine_mm)
    return Section(
        width_mm=width_mm,
        edge_mm=0,
        spine_mm=spine_mm,
        area_mm2=width_mm * spine_mm / 2,
        # derived: a third, by integration of a straight line
        centroid_mm=2 * width_mm / 3,  # centroid at a third of the height from the base
        # derived: second moment of a wedge, from its integral
        flat_mm4=width_mm * spine_mm**3 / 48,  # d b3 / 48, Roark table A.1
        # derived: second moment of a triangle, from its integral
        edge_mm4=spine_mm * width_mm**3 / 36,  # b d3 / 36, Roark table A.1
    )


def trapezoid(*, width_mm: float, edge_mm: float, spine_mm: float) -> Section:
    """Section of a flat grind that leaves ``edge_mm`` behind the final bevel; inputs in mm.

    Raises:
        RangeError: a negative width, or an edge thicker than the spine.

    Source: Roark, table A.1, isosceles trapezoid (from memory).
    """
    _check(width_mm=width_mm, edge_mm=edge_mm, spine_mm=spine_mm)
    both = edge_mm + spine_mm
    # Roark table A.1: d3 (b2 + 4 b c + c2) / 36 (b + c); d (b + c)(b2 + c2) / 48
    # derived: second moment of a trapezoid, from its integral
    edge_mm4 = width_mm**3 * (edge_mm**2 + 4 * edge_mm * spine_mm + spine_mm**2) / (36 * both)
    # derived: second moment of a wedge, from its integral
    flat_mm4 = width_mm * both * (edge_mm**2 + spine_mm**2) / 48
    return Section(
        width_mm=width_mm,
        edge_mm=edge_mm,
        spine_mm=spine_mm,
        area_mm2=width_mm * both / 2,
        # derived: centroid of a trapezoid
        centroid_mm=width_mm * (edge_mm + 2 * spine_mm) / (3 * both),  # Roark table A.1
        flat_mm4=flat_mm4,
        edge_mm4=edge_mm4,
    )


def stack(lower: Section, upper: Section) -> Section:
    """Join a section (edge side) and one above it (spine side) by the parallel-axis theorem."""
    rise_mm = lower.width_mm + upper.centroid_mm
    second = lower.edge_mm4 + lower.area_mm2 * lower.centroid_mm**2 + upper.edge_mm4 + upper.area_mm2 * rise_mm**2
    return _from_moments(
        width_mm=lower.width_mm + upper.width_mm,
        edge_mm=lower.edge_mm,
        spine_mm=upper.spine_mm,
        zeroth=lower.area_mm2 + upper.area_mm2,
        first=lower.area_mm2 * lower.centroid_mm + upper.area_mm2 * rise_mm,
        second=second,
        flat=lower.flat_mm4 + upper.flat_mm4,
    )


def convex(*, width_mm: float, edge_mm: float, spine_mm: float) -> Section:
    """Section whose faces are parabolas that meet the flats without a corner; inputs in mm.

    The thickness is e + (s - e) p with p = 2u - u2 and u = y / width; the fractions below are the
    integrals over u from 0 to 1 of p, p2, p3 (2/3, 8/15, 16/35), u p (5/12) and u2 p (3/10).

    Raises:
        RangeError: a negative width, or an edge thicker than the spine.

    Source: derived; with e = 0 it is the half parabola of Roark's table A.1 (from memory).
    """
    _check(width_mm=width_mm, edge_mm=edge_mm, spine_mm=spine_mm)
    rise = spine_mm - edge_mm
    # derived: integrals of the parabola
    cube = edge_mm**3 + 2 * edge_mm**2 * rise + 24 / 15 * edge_mm * rise**2 + 16 / 35 * rise**3  # 3 x 8/15
    return _from_moments(
        width_mm=width_mm,
        edge_mm=edge_mm,
        spine_mm=spine_mm,
        # derived: integrals of the parabola
        zeroth=width_mm * (edge_mm + 2 / 3 * rise),  # integrals named in the docstring, here and below
        # derived: integrals of the parabola
        first=width_mm**2 * (edge_mm / 2 + 5 / 12 * rise),
        # derived: integrals of the parabola
        second=width_mm**3 * (edge_mm / 3 + 3 / 10 * rise),
        # derived: second moment or inertia of a rectangle, prism or thin rod, from its integral
        flat=width_mm * cube / 12,
    )


def integrated(thickness_mm: Callable[[float], float], *, width_mm: float) -> Section:
    """Section of any smooth symmetric profile by numerical integration.

    Args:
        thickness_mm: full thickness at a distance y from the edge [mm], largest at the spine.
        width_mm: edge to spine [mm].
    """

    def moment(power: int) -> float:
        return simpson(lambda y: y**power * thickness_mm(y), low=0, high=width_mm)

    return _from_moments(
        width_mm=width_mm,
        edge_mm=thickness_mm(0),
        spine_mm=thickness_mm(width_mm),
        zeroth=moment(0),
        first=moment(1),
        second=moment(2),
        # derived: second moment or inertia of a rectangle, prism or thin rod, from its integral
        flat=simpson(lambda y: thickness_mm(y) ** 3 / 12, low=0, high=width_mm),  # strip of width dy
    )


Thickness = Callable[[float], float]


def hollow_thickness(*, width_mm: float, edge_mm: float, spine_mm: float, wheel_diameter_mm: float) -> Thickness:
    """Return the thickness [mm] at a height above the edge [mm] of faces that are arcs left by a wheel.

    Raises:
        RangeError: a wheel so small that its arc would cut below the thickness at the edge.

    Source: derived (circle through the edge corner and the spine corner of each face).
    """
    slope = math.atan2((spine_mm - edge_mm) / 2, width_mm)
    radius_mm = wheel_diameter_mm / 2
    # the arc is lowest at the edge only when its centre lies on the edge's side: R >= w / sin 2a
    least_mm = width_mm / math.sin(2 * slope) if slope > 0 else math.inf
    if radius_mm < least_mm:
        raise RangeError(
            quantity="wheel_diameter_mm",
            value=wheel_diameter_mm,
            low=2 * least_mm,
            high=math.inf,
            unit="mm",
            source="geometry of a hollow grind",
        )
    chord_mm = width_mm / math.cos(slope)
    reach_mm = math.sqrt(radius_mm**2 - (chord_mm / 2) ** 2)
    centre_y = width_mm / 2 - reach_mm * math.sin(slope)
    # derived: mean of the two half thicknesses
    centre_z = (edge_mm + spine_mm) / 4 + reach_mm * math.cos(slope)

    def thickness(y: float) -> float:
        return 2 * (centre_z - math.sqrt(radius_mm**2 - (y - centre_y) ** 2))

    return thickness


def hollow(*, width_mm: float, edge_mm: float, spine_mm: float, wheel_diameter_mm: float) -> Section:
    """Section whose faces are arcs left by a wheel, cornered at the spine; inputs in mm.

    Raises:
        RangeError: dimensions that do not make a section, or too small a wheel.
    """
    _check(width_mm=width_mm, edge_mm=edge_mm, spine_mm=spine_mm)
    thickness = hollow_thickness(
        width_mm=width_mm, edge_mm=edge_mm, spine_mm=spine_mm, wheel_diameter_mm=wheel_diameter_mm
    )
    return integrated(thickness, width_mm=width_mm)


def ground(
    grind: Grind,
    *,
    width_mm: float,
    edge_mm: float,
    spine_mm: float,
    grind_height_mm: float,
    wheel_diameter_mm: float | None = None,
) -> Section:
    """Section of a blade ground to ``grind_height_mm`` above the edge, flat above that; inputs in mm.

    Saber and scandi are one shape (a wedge under a bar); they differ in how high the wedge goes.

    Raises:
        RangeError: dimensions that do not make a section.
        ValueError: a hollow grind without its wheel.
    """
    height_mm = min(grind_height_mm, width_mm)
    if grind == "convex":
        lower = convex(width_mm=height_mm, edge_mm=edge_mm, spine_mm=spine_mm)
    elif grind == "hollow":
        if wheel_diameter_mm is None:
            raise ValueError("a hollow grind needs wheel_diameter_mm")
        lower = hollow(width_mm=height_mm, edge_mm=edge_mm, spine_mm=spine_mm, wheel_diameter_mm=wheel_diameter_mm)
    else:
        lower = trapezoid(width_mm=height_mm, edge_mm=edge_mm, spine_mm=spine_mm)
    if width_mm <= height_mm:
        return lower
    return stack(lower, rectangle(width_mm=width_mm - height_mm, thickness_mm=spine_mm))
