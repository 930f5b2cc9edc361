"""Whether a crack runs: stress intensity of an assumed flaw, where the stress is raised, against fracture toughness.

A flaw lies on the surface at the worst point. Its stress intensity is that of a shallow crack in the raised stress,
and at most that of a crack as deep as flaw and notch together in the plain one. Small-scale yielding is taken for
granted: near the yield strength the figures compare designs, and no more.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy import ndarray

from catalog.bench.stress_raiser import (
    HOLE_IN_PLANE,
    hole_bent_across,
    step_bent_across,
    step_in_bending,
    step_in_tension,
)
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.section import slotted_bar
from catalog.drawings.steel import fracture_tests_of, toughness_of
from catalog.drawings.tang import TangSlot, rim_stress_mpa
from catalog.drawings.tempering import energy_left
from catalog.tables.ledger import Ledger
from catalog.tables.number import between

# from-memory: a shallow crack at a free surface (Tada, Paris and Irwin)
_SURFACE = 1.12
# roberts-newton-1981: K_IC [MPa m0.5] over the root of the Charpy V-notch energy [J]
_ROBERTS_NEWTON = 9.35
# from-memory: hardness of the line for a grade without a test
_LINE_HRC = 58.0
_NAMED_TEST = "charpy v-notch"


@dataclass(frozen=True, slots=True)
class FractureToughness:
    """Fracture toughness of a steel in a condition [MPa m0.5], and in words what it rests on."""

    k_ic_mpa_m: float
    basis: str


def roberts_newton(energy_j: float) -> float:
    """Fracture toughness [MPa m0.5] from the energy of a Charpy V-notch bar [J].

    Of another notch, or of none, the energy means something else and is not taken.

    Source: Roberts and Newton 1981, as printed at second hand.
    """
    return _ROBERTS_NEWTON * math.sqrt(energy_j)


def fracture_toughness(
    grade: str, *, hrc: float, temper_c: float | None = None, ledger: Ledger | None = None
) -> FractureToughness:
    """Fracture toughness of a steel at a hardness and, where it is known, a tempering temperature.

    From the fracture test of the grade at the nearest hardness; without one from its Charpy V-notch tests by the
    correlation of Roberts and Newton; without either from a line for hardened steels. From there it falls with
    hardness. A temper that embrittles takes the root of the energy that it leaves, since K2 goes with energy.

    Args:
        grade: AISI grade.
        hrc: Rockwell C hardness.
        temper_c: tempering temperature [C].
        ledger: reads and notes the assumptions, plain numbers.
    """
    ledger = ledger or Ledger()
    at_hrc, k_ic, basis = _nearest(grade, hrc, ledger)
    k_ic *= math.exp(-ledger("k_ic_loss_per_hrc") * (hrc - at_hrc)) * ledger("k_ic_share")
    left = 1.0 if temper_c is None else energy_left(grade, temper_c=temper_c)
    if left < 1:
        basis += f"; tempered at {temper_c:g} C it keeps {left:.0%} of its impact energy"
    return FractureToughness(k_ic * math.sqrt(left), basis)


def _nearest(grade: str, hrc: float, ledger: Ledger) -> tuple[float, float, str]:
    """Return a hardness, the fracture toughness there, and what that rests on."""
    tests = fracture_tests_of(grade)
    if tests:
        test = min(tests, key=lambda one: abs(one.hrc - hrc))
        return test.hrc, test.k_ic_mpa_m, f"fracture test of {grade} at {test.hrc:g} HRC ({test.source})"
    notched = sorted({one.hrc: one.energy_j for one in toughness_of(grade) if one.test == _NAMED_TEST}.items())
    if notched:
        held = min(max(hrc, notched[0][0]), notched[-1][0])
        energy = notched[0][1] if len(notched) == 1 else between(notched, held)
        return held, roberts_newton(energy), f"Charpy V-notch {energy:.0f} J of {grade}, by Roberts and Newton 1981"
    text = f"no fracture test is known for {grade}: a line for hardened steels"
    return _LINE_HRC, ledger("k_ic_at_58_hrc"), text


def flaw_intensity(*, plain_mpa: float, raised_mpa: float, flaw_mm: float, notch_mm: float = 0.0) -> float:
    """Stress intensity of a flaw at a notch [MPa m0.5].

    Args:
        plain_mpa: stress without the notch's rise [MPa].
        raised_mpa: stress at its root [MPa].
        flaw_mm: depth of the flaw [mm].
        notch_mm: depth of the notch [mm].

    Source: 1.12 s sqrt(pi a) (Tada, Paris and Irwin, from memory); short and long cracks at a notch as Smith and
    Miller 1977 join them (from memory).
    """
    short = raised_mpa * math.sqrt(math.pi * flaw_mm / 1000)  # Unit factor: mm in a metre
    long = plain_mpa * math.sqrt(math.pi * (flaw_mm + notch_mm) / 1000)  # Unit factor: as above
    return _SURFACE * (min(short, long) if notch_mm > 0 else short)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a blade may break: in words, its station [mm], and the stress intensity there by the assumptions."""

    name: str
    at_mm: float
    intensity: Callable[[Ledger], float]


def places(
    knife: KnifeDrawing,
    *,
    flat_n_mm: Callable[[float], float],
    edge_n_mm: Callable[[float], float],
    worst_mpa: float,
    worst_mm: float,
) -> list[Place]:
    """Return the places where a knife may break under two moments at once [N mm], and the largest stress elsewhere."""
    plain = Place(
        "blade" if worst_mm >= 0 else "tang",
        worst_mm,
        lambda a: flaw_intensity(plain_mpa=worst_mpa, raised_mpa=worst_mpa, flaw_mm=a("flaw_mm")),
    )
    found = [plain, *_holes(knife, flat_n_mm, edge_n_mm), *_slot_ends(knife, flat_n_mm, edge_n_mm)]
    if shoulder := _shoulder(knife, flat_n_mm(0.0), edge_n_mm(0.0)):
        found.append(shoulder)
    ricasso_mm = knife.blade.ricasso_mm
    if 0 < ricasso_mm < knife.blade.length_mm:
        found.append(_plunge(knife, flat_n_mm(ricasso_mm), edge_n_mm(ricasso_mm)))
    return found


def _shoulder(knife: KnifeDrawing, flat_n_mm: float, edge_n_mm: float) -> Place | None:
    """Return the step in width where blade and tang meet; None where there is none."""
    # judged: a hair to either side of the step
    sides = [knife.section_at(x) for x in (-1e-6, 1e-6)]
    wide_mm, narrow_mm = max(one.width_mm for one in sides), min(one.width_mm for one in sides)
    if wide_mm <= narrow_mm:
        return None
    narrow = min(sides, key=lambda one: one.width_mm)
    flat = narrow.stress_mpa(flat_n_mm=flat_n_mm, edge_n_mm=0.0)
    edge = narrow.stress_mpa(flat_n_mm=0.0, edge_n_mm=edge_n_mm)

    def intensity(ledger: Ledger) -> float:
        stated = knife.shoulder_radius_mm
        radius_mm = ledger("shoulder_radius_mm") if stated is None else stated
        across = step_bent_across(wide_mm=wide_mm, narrow_mm=narrow_mm, radius_mm=radius_mm)
        within = step_in_bending(wide_mm=wide_mm, narrow_mm=narrow_mm, radius_mm=radius_mm)
        return flaw_intensity(
            plain_mpa=flat + edge,
            raised_mpa=across * flat + within * edge,
            flaw_mm=ledger("flaw_mm"),
            notch_mm=(wide_mm - narrow_mm) / 2,
        )

    return Place("tang shoulder", 0.0, intensity)


def _plunge(knife: KnifeDrawing, flat_n_mm: float, edge_n_mm: float) -> Place:
    """Return the end of the grind: a step in thickness, deeper towards the edge, that both bendings meet."""
    blade, at_mm = knife.blade, knife.blade.ricasso_mm
    section, full_mm = blade.section_at(at_mm), blade.spine_at(at_mm)
    points = []
    # judged: heights of the grind that are tried
    for height_mm, thick_mm in blade.profile_mm(at_mm, points=9):
        flat = abs(flat_n_mm) * thick_mm / 2 / section.flat_mm4
        edge = abs(edge_n_mm) * abs(height_mm - section.centroid_mm) / section.edge_mm4
        # judged: a keen edge has no thickness to divide by
        points.append((max(thick_mm, 1e-9), flat, edge))

    def intensity(ledger: Ledger) -> float:
        stated = knife.plunge_radius_mm
        radius_mm = ledger("plunge_radius_mm") if stated is None else stated
        flaw_mm = ledger("flaw_mm")
        found = []
        for thick_mm, flat, edge in points:
            within = step_in_bending(wide_mm=full_mm, narrow_mm=thick_mm, radius_mm=radius_mm)
            along = step_in_tension(wide_mm=full_mm, narrow_mm=thick_mm, radius_mm=radius_mm)
            found.append(
                flaw_intensity(
                    plain_mpa=flat + edge,
                    raised_mpa=within * flat + along * edge,
                    flaw_mm=flaw_mm,
                    notch_mm=(full_mm - thick_mm) / 2,
                )
            )
        return max(found)

    return Place("plunge line", at_mm, intensity)


def _holes(
    knife: KnifeDrawing, flat_n_mm: Callable[[float], float], edge_n_mm: Callable[[float], float]
) -> list[Place]:
    """Return the pin holes before the hand, on the middle of the tang."""
    thick_mm, width_mm = knife.blade.spine_mm, knife.tang_width_mm
    found = []
    for at_mm, across_mm in knife.pins_mm:
        if at_mm < knife.hand_mm:
            continue
        if width_mm <= across_mm:
            found.append(Place("pin hole", at_mm, lambda _: math.inf))
            continue
        # derived: section moduli of a bar with a hole in its middle
        flat = abs(flat_n_mm(at_mm)) * 6 / (thick_mm**2 * (width_mm - across_mm))
        # derived: second moment of a bar with a hole in its middle
        inertia = thick_mm * (width_mm**3 - across_mm**3) / 12
        edge = abs(edge_n_mm(at_mm)) / inertia
        found.append(_hole(at_mm, flat, edge, width_mm, across_mm, thick_mm))
    return found


def _hole(at_mm: float, flat: float, edge: float, width_mm: float, hole_mm: float, thick_mm: float) -> Place:
    """Return a hole with the stress of bending across [MPa] and the slope of that in the plane [MPa/mm]."""
    across = hole_bent_across(width_mm=width_mm, hole_mm=hole_mm, thickness_mm=thick_mm)
    beside = edge * hole_mm / 2

    def intensity(ledger: Ledger) -> float:
        flaw_mm = ledger("flaw_mm")
        at_hole = flaw_intensity(
            plain_mpa=flat + beside,
            raised_mpa=across * flat + HOLE_IN_PLANE * beside,
            flaw_mm=flaw_mm,
            notch_mm=hole_mm / 2,
        )
        rim = flat + edge * width_mm / 2
        return max(at_hole, flaw_intensity(plain_mpa=rim, raised_mpa=rim, flaw_mm=flaw_mm))

    return Place("pin hole", at_mm, intensity)


def _slot_ends(
    knife: KnifeDrawing, flat_n_mm: Callable[[float], float], edge_n_mm: Callable[[float], float]
) -> list[Place]:
    """Return the ends of the cutouts before the hand, at the blade's side, where the moments are greater."""
    thick_mm, width_mm = knife.blade.spine_mm, knife.tang_width_mm
    found = []
    for slot in knife.slots:
        at_mm = slot.right_mm
        if at_mm <= knife.hand_mm:
            continue
        section = slotted_bar(width_mm=width_mm, slot_mm=slot.width_mm, thickness_mm=thick_mm)
        step = edge_n_mm(at_mm) - edge_n_mm(max(slot.left_mm, knife.hand_mm))
        rims = rim_stress_mpa(rim_mm=knife.rim_mm, thickness_mm=thick_mm, moment_step_n_mm=step)
        flat = abs(flat_n_mm(at_mm)) / section.flat_modulus_mm3
        beside = abs(edge_n_mm(at_mm)) * slot.width_mm / 2 / section.edge_mm4 + rims
        found.append(_slot_end(slot, flat, beside, width_mm))
    return found


def _slot_end(slot: TangSlot, flat: float, beside: float, width_mm: float) -> Place:
    """Return the corners at an end of a cutout with the stresses there of bending across and in the plane [MPa].

    Each rim widens to half the tang by a fillet, as one half of a stepped bar does: the charts of that are taken.
    """
    sizes = {"wide_mm": width_mm, "narrow_mm": width_mm - slot.width_mm, "radius_mm": slot.corner_mm}
    raised_mpa = step_bent_across(**sizes) * flat + step_in_bending(**sizes) * beside

    def intensity(ledger: Ledger) -> float:
        return flaw_intensity(
            plain_mpa=flat + beside,
            raised_mpa=raised_mpa,
            flaw_mm=ledger("flaw_mm"),
            notch_mm=slot.width_mm / 2,
        )

    return Place("cutout", slot.right_mm, intensity)


def by_element(formula: Callable[[Ledger], float]) -> Callable[[Ledger[Any]], Any]:
    """Return a formula of plain numbers that also takes a ledger of arrays, one call for each of their elements."""

    def reckon(ledger: Ledger[Any]) -> Any:
        arrays = {name: value for name, value in ledger.changed.items() if isinstance(value, ndarray)}
        if not arrays:
            return formula(ledger)
        spread_out = np.broadcast_arrays(*arrays.values())
        found = []
        for one in zip(*(each.flat for each in spread_out), strict=True):
            own: Ledger[Any] = Ledger(ledger.changed | dict(zip(arrays, map(float, one), strict=True)))
            found.append(formula(own))
            ledger.note(own.used)
        return np.reshape(np.array(found), spread_out[0].shape)

    return reckon
