"""Bending: how strong a limb or pole is, and how thick a one a person breaks by hand or with a lever."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from catalog.tables.assumption import assumed
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, maximum, minimum, power
from catalog.tables.table import read_rows
from catalog.tables.validity import require
from catalog.wood.cold import change_pct
from catalog.wood.moisture import strength_at_moisture
from catalog.wood.species import Wood
from catalog.wood.work import WoodState, state_moisture_pct

_MM_PER_M = 1000
_KPA_PER_MPA = 1000
# usda-fpl-gtr-190-2010, Table 5-15: the ends between which it is read.
_COLDEST_C, _WARMEST_C = -50.0, 20.0


@dataclass(frozen=True)
class _Break:
    """A way of breaking wood: the assumptions of its force [N] and arm [m], and whether it breaks short pieces."""

    force: str
    arm: str
    short: bool


@cache
def breaks() -> dict[str, _Break]:
    """Return field method -> how it breaks wood; the methods that are not here do not break it."""
    rows = read_rows("wood/breaking.csv")
    return {row["method"]: _Break(row["force"], row["arm"], row["short"] == "yes") for row in rows}


@cache
def _printed_kpa() -> dict[str, float]:
    """Return species -> modulus of rupture at 12 % [kPa]."""
    return {row["id"]: float(row["rupture_12pct_kpa"]) for row in read_rows("wood/bending.csv")}


@cache
def _by_gravity() -> dict[tuple[str, str], tuple[float, float]]:
    """Return (state, group) -> scale [kPa] and exponent of the modulus of rupture in specific gravity."""
    rows = read_rows("wood/bending_by_gravity.csv")
    return {(row["state"], row["group"]): (float(row["scale_kpa"]), float(row["exponent"])) for row in rows}


def rupture_by_gravity_mpa(species: Wood, *, green: bool) -> float:
    """Return the modulus of rupture by its regression on specific gravity [MPa]; Table 5-11a, from memory.

    Args:
        species: The wood.
        green: True for the living tree, False for 12 %.
    """
    scale, exponent = _by_gravity()["green" if green else "12pct", species.group]
    return scale * power(species.sg_green if green else species.sg_12pct, exponent) / _KPA_PER_MPA


def rupture_at_12pct_mpa(species: Wood) -> float:
    """Return the modulus of rupture of sound wood at 12 % [MPa]: as printed, else by specific gravity."""
    printed = _printed_kpa().get(species.id)
    return rupture_by_gravity_mpa(species, green=False) if printed is None else printed / _KPA_PER_MPA


def dead_rupture_mpa(species: Wood, *, state: WoodState, air_c: N, changed: Mapping[str, N] | None = None) -> N:
    """Return the modulus of rupture of dead limbs and poles as they stand there [MPa].

    Sound wood at the moisture of its state (Eq. 5-3, the green end by specific gravity), stronger in the cold (Table
    5-15), of which decay leaves a share.

    Args:
        species: The wood.
        state: ``dead-dry`` or ``dead-wet``.
        air_c: Air temperature [C]; wood colder than -50 C or warmer than 20 C counts as at these.
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: A changed assumption is outside its band.
        ValueError: Living wood, which bends.
    """
    if state == "green":
        raise ValueError("green wood bends: state must be dead-dry or dead-wet")
    moisture_pct = state_moisture_pct(species, state, changed)
    sound = strength_at_moisture(
        green=rupture_by_gravity_mpa(species, green=True),
        air_dry=rupture_at_12pct_mpa(species),
        moisture_pct=moisture_pct,
        intersection_pct=species.intersection_mc_pct,
    )
    wood_c = minimum(maximum(air_c, _COLDEST_C), _WARMEST_C)
    colder_pct = change_pct("bending", wood_c=wood_c, moisture_pct=moisture_pct)
    return sound * (1 + colder_pct / 100) * assumed("dead_strength_share", changed)


def breaking_mm(*, moment_nm: N, rupture_mpa: N) -> N:
    """Return the thickest round that a bending moment breaks [mm]: M = pi d^3 R/32 (bending of a circle).

    Args:
        moment_nm: M, force times arm [N m].
        rupture_mpa: R, modulus of rupture [MPa].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.bending.breaking_mm", moment_nm=moment_nm, rupture_mpa=rupture_mpa)
    # derived: section modulus of a circle, pi d^3/32; N m over MPa is cm3.
    return 10 * power(32 * moment_nm / (math.pi * rupture_mpa), 1 / 3)


def broken_mm(method: str, *, rupture_mpa: N, ledger: Ledger[N], longest_mm: N | None = None) -> N:
    """Return the thickest round that a field method breaks [mm].

    Pieces stay as long as the arm that broke them. Where they must be shorter, the arm is half of the piece; a lever
    is none then.

    Args:
        method: Id of a field method of `breaks`.
        rupture_mpa: Modulus of rupture of the wood [MPa].
        ledger: Reads and notes the assumptions.
        longest_mm: Longest piece wanted [mm]; None where pieces may stay as they break.

    Raises:
        RangeError: Outside ranges.csv.
        KeyError: A method that does not break wood.
    """
    way = breaks()[method]
    if longest_mm is not None and not way.short:
        return 0.0
    arm_m = ledger(way.arm)
    if longest_mm is not None:
        arm_m = minimum(arm_m, longest_mm / 2 / _MM_PER_M)
    return breaking_mm(moment_nm=ledger(way.force) * arm_m, rupture_mpa=rupture_mpa)
