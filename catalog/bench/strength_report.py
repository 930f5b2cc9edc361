"""What a strength check tells of a drawn blade, and what it warns of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from catalog.bench.edge_strength import EdgeStrength
from catalog.bench.hardness import Strength
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.steel import steels
from catalog.drawings.tempering import energy_left
from catalog.tables.ledger import Ledger

# judged: with more of its impact energy left, nobody calls a steel embrittled
_EMBRITTLED = 0.95
# judged: turned farther, no hand keeps pushing the way it began, as the model has it
_FARTHEST_DEG = 60.0


@dataclass(frozen=True, slots=True)
class Bending:
    """The weakest section under one load. A margin is yield / stress - 1; below 0 the blade stays bent.

    Attributes:
        load: the load in words.
        stress_mpa: largest bending stress, away from what raises it [MPa].
        at_mm: its station [mm].
        margin_low: against the lower end of the yield band [-].
        margin: against its middle [-].
        deflection_mm: how far the hand moves, the beam bent as far as it bends; None for a blow.
        turned_deg: how far the blade has turned at the hand [degrees]; None for a blow.
        breaks_at: where a crack runs first: blade, tang, tang shoulder, plunge line, pin hole or cutout.
        breaks_at_mm: its station [mm].
        intensity_mpa_m: stress intensity of the assumed flaw there [MPa m0.5]; None where a hole leaves no steel.
        k_ic_mpa_m: fracture toughness [MPa m0.5].
        break_margin: fracture toughness over stress intensity, less one [-]; below 0 the blade snaps.
        break_low: lower end of its interval from the bands of the assumptions.
        break_high: upper end of it.
    """

    load: str
    stress_mpa: float
    at_mm: float
    margin_low: float
    margin: float
    deflection_mm: float | None
    turned_deg: float | None
    breaks_at: str
    breaks_at_mm: float
    intensity_mpa_m: float | None
    k_ic_mpa_m: float
    break_margin: float
    break_low: float
    break_high: float

    @property
    def least_margin(self) -> float:
        """The lesser of the margins against bending, at the lower yield, and against breaking [-]."""
        return min(self.margin_low, self.break_margin)


@dataclass(frozen=True, slots=True)
class StrengthReport:
    """Strength of a drawn blade, or why there is no figure.

    Attributes:
        edge: its edge in a knot; None without a figure.
        toughness_basis: what the fracture toughness rests on, in words; empty without a figure.
    """

    status: Literal["computed", "no data"]
    why: str
    steel: Strength | None
    loads: tuple[Bending, ...]
    tip_deflection_mm: float
    slenderness: float
    warnings: tuple[str, ...]
    assumptions: tuple[str, ...]
    edge: EdgeStrength | None
    toughness_basis: str


def strength_warnings(
    knife: KnifeDrawing,
    steel: Strength | None,
    bendings: tuple[Bending, ...],
    edge: EdgeStrength | None,
    ledger: Ledger,
) -> list[str]:
    """Return what a maker should know of a blade's strength, with figures."""
    found = []
    slender = knife.blade.length_mm / knife.blade.spine_mm
    limit = ledger("slenderness_limit")
    if slender > limit:
        found.append(
            f"slender blade: it is {slender:.0f} times as long as its spine is thick; the limit is {limit:.0f} (judged)"
        )
    if steel is not None and steel.extrapolated:
        found.append(f"strength at {round(steel.hrc, 1):g} HRC is extrapolated: {steel.note}")
    for bending in bendings:
        found += _bending_warnings(bending, knife.overall_mm, ledger)
    if edge is not None and edge.margin < 0:
        found.append(f"the edge may {edge.fails_by} in a knot: {edge.stress_mpa:.0f} MPa at its included angle")
    return found + _steel_warnings(knife)


def _bending_warnings(bending: Bending, span_mm: float, ledger: Ledger) -> list[str]:
    """Return what a load may do to a blade of a length over all [mm]."""
    found = []
    if bending.margin_low < 0:
        found.append(
            f"{bending.load}: {bending.stress_mpa:.0f} MPa may exceed the yield strength at {bending.at_mm:.0f} mm"
        )
    if bending.break_margin < 0:
        what = "no steel is left" if bending.intensity_mpa_m is None else f"{bending.intensity_mpa_m:.0f} MPa m0.5"
        found.append(f"{bending.load}: it may snap at the {bending.breaks_at}: {what} of {bending.k_ic_mpa_m:.0f}")
    large = ledger("small_deflection_share")
    if bending.turned_deg is not None and bending.turned_deg > _FARTHEST_DEG:
        found.append(f"{bending.load}: it bends through {bending.turned_deg:.0f} degrees, which is beyond the model")
    elif bending.deflection_mm is not None and bending.deflection_mm > large * span_mm:
        found.append(f"{bending.load}: a deflection of {bending.deflection_mm:.0f} mm is large; computed as such")
    return found


def _steel_warnings(knife: KnifeDrawing) -> list[str]:
    """Return what is known, or not, against a steel in its condition."""
    steel = steels().get(knife.steel)
    if steel is None:
        return []
    found = []
    low, high = steel.hardness_low_hrc, steel.hardness_high_hrc
    if low is not None and high is not None:
        found += [
            f"{round(hrc, 1):g} HRC is outside the usual {low:g}-{high:g} HRC of {steel.grade}"
            for hrc in dict.fromkeys((knife.edge_hrc, knife.spine_hrc))
            if hrc > high or (hrc < low and hrc == knife.edge_hrc)
        ]
    if not steel.toughness:
        found.append(f"no impact test is known for {steel.grade}; its fracture toughness is remembered, not measured")
    left = 1.0 if knife.temper_c is None else energy_left(steel.grade, temper_c=knife.temper_c)
    if left < _EMBRITTLED:
        found.append(
            f"tempering at {knife.temper_c:g} C embrittles {steel.grade}: {left:.0%} of the impact energy is left"
        )
    return found
