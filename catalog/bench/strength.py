"""Whether a knife bends or breaks: prying with the tip, and a baton blow beside the middle.

Beam theory along the real sections, steel alone (handle material, twist about the blade's own length and shear are
left out); prying bends the beam as far as it bends. It is a comparison between designs, not a licence.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise

from catalog.bench.edge_strength import EdgeStrength, blade_edge_strength
from catalog.bench.fracture import FractureToughness, by_element, fracture_toughness, places
from catalog.bench.hardness import Strength, strength
from catalog.bench.load_case import (
    BatonBlow,
    FittedBlow,
    FittedPrying,
    PryingLoad,
    assumed_loads,
    check_loads,
    fitted_blow,
    fitted_prying,
)
from catalog.bench.strength_report import Bending, StrengthReport, strength_warnings
from catalog.drawings.elastica import BentBeam, bent_beam
from catalog.drawings.knife import KnifeDrawing
from catalog.drawings.section import Section, each_section
from catalog.drawings.steel import steels
from catalog.drawings.tang import rim_stress_mpa
from catalog.maths.quadrature import simpson
from catalog.tables.band import banded
from catalog.tables.errors import RangeError
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, between, largest, maximum, minimum, of_math, power, somewhere, where

# stations searched for the largest stress; 1,600 move it by under 0.5 % (tests/catalog/bench/test_strength.py)
_STATIONS = 100
_ALWAYS = ("steel_modulus_gpa", "stiffness_force_n", "slenderness_limit", "small_deflection_share")


def deflection_mm(
    section_at: Callable[[float], Section],
    *,
    force_n: N,
    clamp_mm: N,
    load_mm: N,
    joints_mm: list[float],
    modulus_mpa: N,
) -> N:
    """Sideways deflection of a cantilever at its load [mm].

    Args:
        section_at: section at a station, a plain number.
        force_n: force across the flat [N].
        clamp_mm: station held fast [mm].
        load_mm: station of the force, where the deflection is taken [mm].
        joints_mm: stations where the section changes abruptly [mm].
        modulus_mpa: Young's modulus [MPa].

    Source: unit-load theorem, integral of F (x - load)2 / E I; Roark, table 8.1 for its closed cases
        (from memory).
    """
    low: N = minimum(clamp_mm, load_mm)
    high: N = maximum(clamp_mm, load_mm)
    inner: list[float] = [x for x in sorted(joints_mm) if somewhere((low < x) & (x < high))]
    # where a joint lies outside, the piece up to it has no length
    cuts: list[N] = [low]
    cuts += [_held(x, low=low, high=high) for x in inner]
    cuts.append(high)

    def curvature(x: N) -> N:
        arm = x - load_mm
        return where(arm == 0, lambda: 0.0, lambda: power(arm, 2) / each_section(section_at, x).flat_mm4)

    parts: N = sum(_open_ended(curvature, low=a, high=b) for a, b in pairwise(cuts))
    return force_n / modulus_mpa * parts


def _held(x_mm: float, *, low: N, high: N) -> N:
    """Return a station held between two others [mm]."""
    return minimum(maximum(low, x_mm), high)


def _open_ended(integrand: Callable[[N], N], *, low: N, high: N) -> N:
    # a hair inside each piece, so that a step is seen from its own side
    # judged: a hair, so that no section is taken at a step of the outline
    hair = (high - low) * 1e-9  # rounding guard, not a dimension
    # judged: panels after which a halving changes no digit that is told
    return simpson(integrand, low=low + hair, high=high - hair, panels=64)  # tests/catalog/bench/test_strength.py


def _worst(
    knife: KnifeDrawing,
    *,
    low_mm: float,
    high_mm: N,
    flat_n_mm: Callable[[N], N],
    edge_n_mm: Callable[[N], N],
    corner_mm: N,
) -> tuple[N, N]:
    """Largest stress [MPa] and its station [mm] between two stations, one more at a corner of the moment.

    At the ends of cutouts the rims bend one beside the other too.
    """
    step: N = (high_mm - low_mm) / _STATIONS
    # judged: a hair, so that no section is taken at a step of the outline
    hair = step * 1e-6  # either side of the handle's front and the ricasso's end, where sections step
    stations: list[N] = [corner_mm]
    stations += [low_mm + step * i for i in range(_STATIONS + 1)]
    for joint in (0.0, knife.blade.ricasso_mm):
        stations += [_or_low(x, low_mm=low_mm, high_mm=high_mm) for x in (joint - hair, joint + hair)]

    def stress(x: N) -> N:
        return each_section(knife.section_at, x).stress_mpa(flat_n_mm=flat_n_mm(x), edge_n_mm=edge_n_mm(x))

    found = [(stress(x), x) for x in stations]
    for slot in knife.slots:
        if slot.right_mm <= low_mm:
            continue
        # judged: a hair inside, as above
        at_mm, other_mm = slot.right_mm - 1e-6, max(slot.left_mm + 1e-6, low_mm)
        rims = rim_stress_mpa(
            rim_mm=knife.rim_mm,
            thickness_mm=knife.blade.spine_mm,
            moment_step_n_mm=edge_n_mm(at_mm) - edge_n_mm(other_mm),
        )
        found += [(stress(x) + rims, x) for x in (at_mm, other_mm)]
    return largest(found)


def _or_low(x_mm: N, *, low_mm: float, high_mm: N) -> N:
    """Return a station between two others, and in place of one outside the lower of them [mm]."""
    return where((low_mm <= x_mm) & (x_mm <= high_mm), lambda: x_mm, lambda: low_mm)


def _steel_end_mm(knife: KnifeDrawing) -> float:
    """Station nearest the hand that still has steel [mm]."""
    return max(knife.hand_mm, -knife.tang_length_mm)


def pry(knife: KnifeDrawing, load: FittedPrying, ledger: Ledger) -> tuple[float, float, BentBeam]:
    """Largest stress [MPa], its station [mm], and the blade, bent as far as it bends; all plain numbers."""
    clamp_mm = knife.blade.length_mm - load.tip_in_wood_mm
    bent = bent_beam(
        # behind a short hidden tang the handle is taken to be as stiff as the tang
        lambda x: knife.section_at(max(x, _steel_end_mm(knife))),
        force_n=load.force_n,
        clamp_mm=clamp_mm,
        load_mm=knife.hand_mm,
        joints_mm=[*(x for one in knife.slots for x in (one.left_mm, one.right_mm)), 0.0, *knife.blade.joints_mm()],
        modulus_mpa=_modulus_mpa(ledger),
    )
    stress, at_mm = _worst(
        knife,
        low_mm=_steel_end_mm(knife),
        high_mm=clamp_mm,
        flat_n_mm=_moment_of(bent, load.force_n),
        edge_n_mm=lambda _: 0.0,
        corner_mm=clamp_mm,
    )
    return stress, at_mm, bent


def _moment_of(bent: BentBeam, force_n: float) -> Callable[[float], float]:
    """Return the moment of a force on a bent beam [N mm] by station [mm]."""
    arms = list(zip(reversed(bent.places_mm), reversed(bent.arms_mm), strict=True))
    return lambda x: force_n * between(arms, x)


def baton(knife: KnifeDrawing, blow: FittedBlow[N]) -> tuple[N, N]:
    """Largest stress [MPa] and its station [mm] under a blow on the tip.

    The blade pivots on the near edge of the wood and the hand holds the handle down, so the moment is
    greatest at the wood and falls evenly to the hand: no help from the wood along the blade is counted.
    """
    tip_mm = knife.blade.length_mm
    wood_mm = tip_mm - blow.out_of_wood_mm
    sideways, downwards = _components(blow)
    lever = _lever_of(knife, blow)
    return _worst(
        knife,
        low_mm=_steel_end_mm(knife),
        # judged: a hair, so that no section is taken at a step of the outline
        high_mm=minimum(wood_mm + blow.lever_mm, tip_mm * (1 - 1e-9)),  # the point itself has no section
        flat_n_mm=lambda x: sideways * lever(x),
        edge_n_mm=lambda x: downwards * lever(x),
        corner_mm=wood_mm,
    )


def _lever_of(knife: KnifeDrawing, blow: FittedBlow[N]) -> Callable[[N], N]:
    """Return the lever of a blow on the tip [mm] by station [mm]."""
    wood_mm = knife.blade.length_mm - blow.out_of_wood_mm

    def lever(x: N) -> N:
        return where(
            x >= wood_mm,
            lambda: maximum(0.0, wood_mm + blow.lever_mm - x),
            lambda: blow.lever_mm * (x - knife.hand_mm) / (wood_mm - knife.hand_mm),
        )

    return lever


def _components(blow: FittedBlow[N]) -> tuple[N, N]:
    tilt = of_math("radians", blow.tilt_deg)
    return blow.force_n * of_math("sin", tilt), blow.force_n * of_math("cos", tilt)


def _modulus_mpa(ledger: Ledger[N]) -> N:
    return ledger("steel_modulus_gpa") * 1000


def margin(*, yield_mpa: N, stress_mpa: N) -> N:
    """Return the share by which a stress may rise to the yield strength [-]; below 0 the blade stays bent."""
    return yield_mpa / stress_mpa - 1


def tip_deflection_mm(knife: KnifeDrawing, ledger: Ledger[N], *, force_n: N) -> N:
    """Deflection of the tip, blade held at the handle, force across the flat at the tip [mm]."""
    return deflection_mm(
        knife.blade.section_at,
        force_n=force_n,
        clamp_mm=0.0,
        load_mm=knife.blade.length_mm,
        joints_mm=knife.blade.joints_mm(),
        modulus_mpa=_modulus_mpa(ledger),
    )


def _why_no_strength(knife: KnifeDrawing) -> str:
    """Reason why a steel gets no strength figure; empty when it gets one."""
    steel = steels().get(knife.steel)
    if steel is None:
        return f"no data for the grade {knife.steel!r}: no strength figure; known: {', '.join(steels())}"
    if steel.hardness_low_hrc is None or steel.hardness_high_hrc is None:
        return f"no working hardness is known for {steel.grade}: no strength figure"
    return ""


def assess(
    knife: KnifeDrawing,
    *,
    prying: PryingLoad | None = None,
    blow: BatonBlow | None = None,
    ledger: Ledger | None = None,
    intervals: bool = True,
) -> StrengthReport:
    """Strength of a knife under a prying load and a baton blow, with the margin against the lower yield.

    Args:
        knife: the drawing.
        prying: load case; what it leaves open is fitted to the blade.
        blow: load case; what it leaves open is fitted to the blade.
        ledger: reads and notes the assumptions; plain numbers, since loads and warnings are told in words.
        intervals: whether the interval of the margin against snapping is reckoned; else it ends at the margin.

    Raises:
        RangeError: a load case that does not fit the drawing.
    """
    ledger = ledger or Ledger()
    loads = fitted_prying(knife.blade, prying, ledger), fitted_blow(knife.blade, blow, ledger)
    check_loads(knife.blade, prying=loads[0], baton=loads[1])
    why = _why_no_strength(knife)
    steel_strength: Strength | None = None
    edge: EdgeStrength | None = None
    basis = ""
    if not why:
        try:
            steel_strength = strength(grade=knife.steel, hrc=knife.spine_hrc, ledger=ledger)
            edge = blade_edge_strength(
                knife.blade, grade=knife.steel, hrc=knife.edge_hrc, temper_c=knife.temper_c, ledger=ledger
            )
            basis = _toughness(knife, ledger).basis
        except RangeError as error:
            why, steel_strength = f"no strength figure: {error}", None
    bendings = () if steel_strength is None else _bendings(knife, steel_strength, *loads, ledger, intervals=intervals)
    return StrengthReport(
        status="no data" if steel_strength is None else "computed",
        why=why,
        steel=steel_strength,
        loads=bendings,
        tip_deflection_mm=tip_deflection_mm(knife, ledger, force_n=ledger("stiffness_force_n")),
        slenderness=knife.blade.length_mm / knife.blade.spine_mm,
        warnings=tuple(strength_warnings(knife, steel_strength, bendings, edge, ledger)),
        assumptions=tuple(dict.fromkeys((*_ALWAYS, *assumed_loads(prying, blow), *_of_yield(steel_strength)))),
        edge=edge,
        toughness_basis=basis,
    )


def _toughness(knife: KnifeDrawing, ledger: Ledger) -> FractureToughness:
    """Return the fracture toughness of spine and tang."""
    return fracture_toughness(knife.steel, hrc=knife.spine_hrc, temper_c=knife.temper_c, ledger=ledger)


def _of_yield(steel: Strength | None) -> tuple[str, ...]:
    if steel is None:
        return ()
    return ("yield_share_of_tensile", *(("tensile_mpa_per_hv",) if steel.extrapolated else ()))


def _bendings(
    knife: KnifeDrawing, steel: Strength, prying: FittedPrying, blow: FittedBlow, ledger: Ledger, *, intervals: bool
) -> tuple[Bending, ...]:
    pry_mpa, pry_at, bent = pry(knife, prying, ledger)
    blow_mpa, blow_at = baton(knife, blow)
    (sideways, downwards), lever = _components(blow), _lever_of(knife, blow)

    def bending(
        load: str,
        worst: tuple[float, float],
        flat_n_mm: Callable[[float], float],
        edge_n_mm: Callable[[float], float],
        bent: BentBeam | None,
    ) -> Bending:
        stress, at_mm = worst
        weak = places(knife, flat_n_mm=flat_n_mm, edge_n_mm=edge_n_mm, worst_mpa=stress, worst_mm=at_mm)
        first = max(weak, key=lambda one: one.intensity(ledger))
        intensity = first.intensity(ledger)
        ratio = banded(
            by_element(lambda own: _toughness(knife, own).k_ic_mpa_m / first.intensity(own)), intervals=intervals
        )
        ledger.note(ratio.used)
        return Bending(
            load=load,
            stress_mpa=stress,
            at_mm=at_mm,
            margin_low=margin(yield_mpa=steel.yield_low_mpa, stress_mpa=stress),
            margin=margin(yield_mpa=steel.yield_mpa, stress_mpa=stress),
            deflection_mm=None if bent is None else bent.moved_mm,
            turned_deg=None if bent is None else bent.turned_deg,
            breaks_at=first.name,
            breaks_at_mm=first.at_mm,
            intensity_mpa_m=intensity if math.isfinite(intensity) else None,
            k_ic_mpa_m=_toughness(knife, ledger).k_ic_mpa_m,
            break_margin=ratio.value - 1,
            break_low=ratio.low - 1,
            break_high=ratio.high - 1,
        )

    return (
        bending(
            f"prying, {round(prying.force_n, 1):g} N at the hand",
            (pry_mpa, pry_at),
            _moment_of(bent, prying.force_n),
            lambda _: 0.0,
            bent,
        ),
        bending(
            f"baton blow, {blow.force_n:.0f} N at the tip",
            (blow_mpa, blow_at),
            lambda x: sideways * lever(x),
            lambda x: downwards * lever(x),
            None,
        ),
    )
