"""Whether an edge rolls or chips: a hard knot presses on one of its faces, and the wedge bends as a short beam.

Under an even pressure the stress of a wedge is the same at every depth: moment and section both grow with the square
of it. Behind the final bevel the blade is thinner than that wedge, and the stress at the depth of the knot decides.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from catalog.bench.fracture import by_element, flaw_intensity, fracture_toughness
from catalog.bench.hardness import stresses
from catalog.drawings.blade import BladeDrawing
from catalog.tables.band import banded
from catalog.tables.ledger import Ledger
from catalog.tables.number import between


@dataclass(frozen=True, slots=True)
class EdgeStrength:
    """An edge under the sideways pressure of a knot.

    Attributes:
        hrc: hardness of the edge [HRC].
        stress_mpa: largest bending stress [MPa].
        roll_margin: yield strength, lower end of its band, over stress, less one [-]; below 0 the edge rolls.
        chip_margin: fracture toughness over the stress intensity of a flaw of the edge, less one [-]; below 0 it chips.
        chip_low: lower end of its interval from the bands of the assumptions.
        chip_high: upper end of it.
        k_ic_mpa_m: fracture toughness at the edge [MPa m0.5].
        fails_by: roll or chip, whichever margin is less.
    """

    hrc: float
    stress_mpa: float
    roll_margin: float
    chip_margin: float
    chip_low: float
    chip_high: float
    k_ic_mpa_m: float
    fails_by: str

    @property
    def margin(self) -> float:
        """The lesser of both margins [-]."""
        return min(self.roll_margin, self.chip_margin)


def wedge_stress_mpa(*, pressure_mpa: float, angle_deg: float) -> float:
    """Bending stress of a keen wedge under an even pressure on one face [MPa], the same at every depth.

    Args:
        pressure_mpa: pressure [MPa].
        angle_deg: included angle [degrees].

    Source: derived, p c2 / 2 over t2 / 6 with t = 2 c tan(angle / 2), beam theory.
    """
    # derived: 6 / 2 over the square of 2
    return 0.75 * pressure_mpa / math.tan(math.radians(angle_deg) / 2) ** 2


def _edge_stress_mpa(blade: BladeDrawing, ledger: Ledger) -> float:
    """Largest bending stress of a blade's edge under the pressure of a knot [MPa].

    Where no thickness behind the bevel is drawn, the bevel is taken to reach as deep as the knot.
    """
    pressure, depth_mm = ledger("knot_pressure_mpa"), ledger("edge_in_knot_mm")
    wedge = wedge_stress_mpa(pressure_mpa=pressure, angle_deg=blade.edge_angle_deg)
    bevel_mm = blade.edge_mm / 2 / math.tan(math.radians(blade.edge_angle_deg) / 2)
    if not 0 < bevel_mm < depth_mm:
        return wedge
    thick_mm = between(blade.profile_mm(blade.ricasso_mm), depth_mm - bevel_mm)
    # derived: 6 / 2 over the square of the thickness
    return max(wedge, 3 * pressure * depth_mm**2 / thick_mm**2)


def blade_edge_strength(
    blade: BladeDrawing, *, grade: str, hrc: float, temper_c: float | None, ledger: Ledger
) -> EdgeStrength:
    """Strength of a blade's edge.

    Args:
        blade: the drawing.
        grade: AISI grade.
        hrc: hardness of the edge [HRC].
        temper_c: tempering temperature [C], or None.
        ledger: reads and notes the assumptions, plain numbers.

    Raises:
        RangeError: a hardness outside the conversion table.
    """
    return _strength_of(_edge_stress_mpa(blade, ledger), grade=grade, hrc=hrc, temper_c=temper_c, ledger=ledger)


def axe_edge_strength(angle_deg: float, ledger: Ledger) -> EdgeStrength:
    """Strength of an axe's edge at its included angle [degrees], of a steel that the drawing does not state."""
    stress = wedge_stress_mpa(pressure_mpa=ledger("knot_pressure_mpa"), angle_deg=angle_deg)
    return _strength_of(stress, grade="axe steel", hrc=ledger("axe_edge_hrc"), temper_c=None, ledger=ledger)


def _strength_of(stress: float, *, grade: str, hrc: float, temper_c: float | None, ledger: Ledger) -> EdgeStrength:
    found = fracture_toughness(grade, hrc=hrc, temper_c=temper_c, ledger=ledger)

    def ratio(own: Ledger) -> float:
        intensity = flaw_intensity(plain_mpa=stress, raised_mpa=stress, flaw_mm=own("edge_flaw_mm"))
        return fracture_toughness(grade, hrc=hrc, temper_c=temper_c, ledger=own).k_ic_mpa_m / intensity

    chip = banded(by_element(ratio))
    ledger.note(chip.used)
    roll = stresses(ledger, grade=grade, hrc=hrc).yield_low_mpa / stress - 1
    return EdgeStrength(
        hrc=hrc,
        stress_mpa=stress,
        roll_margin=roll,
        chip_margin=chip.value - 1,
        chip_low=chip.low - 1,
        chip_high=chip.high - 1,
        k_ic_mpa_m=found.k_ic_mpa_m,
        fails_by="roll" if roll <= chip.value - 1 else "chip",
    )
