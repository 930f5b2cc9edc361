"""Wood work: how much longer a cut takes in this wood than in the reference wood.

The reference is straight, air-dry lodgepole pine (specific gravity 0.41). A time factor above 1 is slower.
That hardness governs sawing and chopping and green cleavage splitting is an assumption, as is each exponent;
only the properties themselves are published.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Generic, Literal

from catalog.tables.assumption import assumed
from catalog.tables.number import N, Truth, minimum, power, somewhere, where
from catalog.tables.remembered import tabled
from catalog.tables.validity import require
from catalog.wood.cleavage import SplittingRatio, splitting_ratio
from catalog.wood.cold import change_pct
from catalog.wood.moisture import AIR_DRY_PCT, green_moisture_pct, property_at, strength_at_moisture
from catalog.wood.regression import estimated_property
from catalog.wood.species import REFERENCE_WOOD, Wood, WoodGroup, species_of

CuttingTask = Literal["saw", "chop", "split"]
WoodState = Literal["dead-dry", "dead-wet", "green"]
_Basis = Literal["printed", "estimated from specific gravity"]


@dataclass(frozen=True)
class _WoodStrength(Generic[N]):
    """A property of the wood as it stands there, and whether the handbook prints it."""

    value: N
    basis: _Basis


@dataclass(frozen=True)
class _TimeFactor(Generic[N]):
    """A time factor [-], its parts, the property behind it and the assumptions it rests on."""

    factor: N
    material: N
    frost: N
    knots: N
    strength: _WoodStrength[N] | SplittingRatio
    assumptions: tuple[str, ...]


def state_moisture_pct(species: Wood, state: WoodState, changed: Mapping[str, N] | None = None) -> N:
    """Return the moisture at which a state is worked [% dry basis].

    dead-dry is the handbook's 12 %, the condition of the reference wood; dead-wet an assumed value between
    that and fibre saturation; green the living tree's.

    Raises:
        RangeError: A changed assumption is outside its band.
        ValueError: Another state.
    """
    if state == "dead-dry":
        return AIR_DRY_PCT
    if state == "dead-wet":
        return assumed("dead_wet_moisture", changed)
    if state == "green":
        return green_moisture_pct(species, changed)
    raise ValueError(f"state {state!r} must be one of dead-dry, dead-wet, green")


def side_hardness(species: Wood, *, moisture_pct: N) -> _WoodStrength[N]:
    """Return the side hardness of a species at a moisture content [N].

    Printed values by Eq. 5-3; where the handbook has a gap, both ends come from the regression of
    hardness on specific gravity over the other species of the group.

    Raises:
        RangeError: Moisture outside ranges.csv.
    """
    printed = property_at(species, "side_hardness", moisture_pct=moisture_pct)
    if printed is not None:
        return _WoodStrength(printed, "printed")
    estimated = strength_at_moisture(
        green=estimated_property("side_hardness_green_n", species),
        air_dry=estimated_property("side_hardness_12pct_n", species),
        moisture_pct=moisture_pct,
        intersection_pct=species.intersection_mc_pct,
    )
    return _WoodStrength(estimated, "estimated from specific gravity")


def frozen_hardness_ratio(*, air_c: N, moisture_pct: N, changed: Mapping[str, N] | None = None) -> N:
    """Return the hardness of frozen wood against unfrozen [-].

    The handbook is silent on hardness in the cold. It is assumed to rise by a share of the rise in bending
    strength (Table 5-15): with that share frozen green maple comes near dry maple, as measured cutting
    forces do (Vazquez-Cooz and Meyer 2003). Frozen wood is no warmer than 0 C.

    Args:
        air_c: Air temperature [C].
        moisture_pct: [% dry basis].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Colder than the table, or a changed assumption outside its band.
    """
    wood_c = minimum(air_c, 0.0)
    bending = change_pct("bending", wood_c=wood_c, moisture_pct=moisture_pct)
    return 1 + assumed("frozen_hardness_share", changed) * bending / 100


def sawing_time(*, hardness_n: N, changed: Mapping[str, N] | None = None) -> N:
    """Return the sawing time against the reference wood [-]: (hardness / reference)^exponent.

    Assumption; never falls as hardness rises.

    Args:
        hardness_n: Side hardness of the wood as it stands there [N].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv, or a changed assumption outside its band.
    """
    require("wood.work.sawing_time", hardness_n=hardness_n)
    return power(hardness_n / _reference_hardness_n(), assumed("saw_hardness_exponent", changed))


def chopping_time(*, hardness_n: N, changed: Mapping[str, N] | None = None) -> N:
    """Return the chopping time against the reference wood [-]: (hardness / reference)^exponent.

    Assumption; never falls as hardness rises.

    Args:
        hardness_n: Side hardness of the wood as it stands there [N].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv, or a changed assumption outside its band.
    """
    require("wood.work.chopping_time", hardness_n=hardness_n)
    return power(hardness_n / _reference_hardness_n(), assumed("chop_hardness_exponent", changed))


def splitting_time(*, strength_ratio: N, changed: Mapping[str, N] | None = None) -> N:
    """Return the splitting time of green wood against green reference wood [-]: ratio^exponent.

    Assumption; never falls as the ratio rises. The exponent is well below 1 because the crack surface
    takes less than one axe blow: knots, friction and missed blows are the work.

    Args:
        strength_ratio: How hard the wood is to split green, over the reference wood green [-].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv, or a changed assumption outside its band.
    """
    require("wood.work.splitting_time", strength_ratio=strength_ratio)
    return power(strength_ratio, assumed("split_tension_exponent", changed))


def splitting_moisture(group: WoodGroup, state: WoodState, changed: Mapping[str, N] | None = None) -> N:
    """Return the splitting time in a state over that of a dry conifer as hard to split when green [-].

    Trade: conifers split easier dry, broadleaves fresh; the fracture energy of a conifer is greater moist than dry
    (Forsman 2021, abstract). The sizes are assumptions. Dead wood that is wet outside is dry within.

    Raises:
        RangeError: A changed assumption is outside its band.
    """
    green = assumed("split_green_conifer", changed)
    if state == "green":
        return green
    return 1.0 if group == "conifer" else green / assumed("split_green_broadleaf", changed)


def splitting_frost(*, knotty: bool, changed: Mapping[str, N] | None = None) -> N:
    """Return the splitting time of frozen wet wood against unfrozen [-].

    Hand-splitting trials quoted second-hand (Tresemer): straight grain a little faster, knotty a little
    slower, no difference overall; the size is an assumption.

    Raises:
        RangeError: A changed assumption is outside its band.
    """
    return assumed("split_frozen_knotty" if knotty else "split_frozen_straight", changed)


def knot_time(task: CuttingTask, *, knotty: bool, changed: Mapping[str, N] | None = None) -> N:
    """Return the time in knotty wood against straight wood [-] (assumption).

    Raises:
        RangeError: A changed assumption is outside its band.
    """
    return assumed(f"{task}_knots", changed) if knotty else 1.0


@tabled
def time_factor(
    species: Wood,
    task: CuttingTask,
    *,
    state: WoodState,
    air_c: N,
    frozen: Truth = False,
    knotty: bool = False,
    changed: Mapping[str, N] | None = None,
) -> _TimeFactor[N]:
    """Return how much longer a task takes in this wood than in straight air-dry lodgepole pine.

    Args:
        species: The wood.
        task: ``saw``, ``chop`` or ``split``.
        state: ``dead-dry``, ``dead-wet`` or ``green``.
        air_c: Air temperature [C]; it matters only where frozen.
        frozen: The wood is frozen, in all draws or in each.
        knotty: The wood has knots where it is worked.
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: A quantity or a changed assumption outside its range.
        ValueError: Another task or state.
    """
    if task == "split":
        parts: _Parts[N] = _splitting(species, state=state, frozen=frozen, knotty=knotty, changed=changed)
    elif task in ("saw", "chop"):
        parts = _cutting(species, task, state=state, air_c=air_c, frozen=frozen, changed=changed)
    else:
        raise ValueError(f"task {task!r} must be one of saw, chop, split")
    material, frost, strength, used = parts
    knots = knot_time(task, knotty=knotty, changed=changed)
    used += [f"{task}_knots"] if knotty else []
    return _TimeFactor(material * frost * knots, material, frost, knots, strength, tuple(used))


_Parts = tuple[N, N, _WoodStrength[N] | SplittingRatio, list[str]]


def _splitting(
    species: Wood, *, state: WoodState, frozen: Truth, knotty: bool, changed: Mapping[str, N] | None
) -> _Parts[N]:
    strength = splitting_ratio(species)
    moisture = splitting_moisture(species.group, state, changed)
    material = splitting_time(strength_ratio=strength.value, changed=changed) * moisture
    used = ["split_tension_exponent"]
    used += ["split_green_conifer"] if state == "green" or species.group == "broadleaf" else []
    used += ["split_green_broadleaf"] if state != "green" and species.group == "broadleaf" else []
    if state == "dead-dry" or not somewhere(frozen):
        return material, 1.0, strength, used
    used.append("split_frozen_knotty" if knotty else "split_frozen_straight")
    frost = where(frozen, lambda: splitting_frost(knotty=knotty, changed=changed), lambda: 1.0)
    return material, frost, strength, used


def _cutting(
    species: Wood,
    task: Literal["saw", "chop"],
    *,
    state: WoodState,
    air_c: N,
    frozen: Truth,
    changed: Mapping[str, N] | None,
) -> _Parts[N]:
    law = sawing_time if task == "saw" else chopping_time
    moisture_pct = state_moisture_pct(species, state, changed)
    strength = side_hardness(species, moisture_pct=moisture_pct)
    material = law(hardness_n=strength.value, changed=changed)
    used: list[str] = [f"{task}_hardness_exponent"]
    used += ["dead_wet_moisture"] if state == "dead-wet" else []
    if not somewhere(frozen):
        return material, 1.0, strength, used
    # elsewhere the air may be warm, or colder than the table
    wood_c = where(frozen, lambda: air_c, lambda: 0.0)
    ratio = frozen_hardness_ratio(air_c=wood_c, moisture_pct=moisture_pct, changed=changed)
    cold = law(hardness_n=strength.value * ratio, changed=changed) / material
    frost = where(frozen, lambda: cold, lambda: 1.0)
    used.append("frozen_hardness_share")
    return material, frost, strength, used


def _reference_hardness_n() -> float:
    return side_hardness(species_of(REFERENCE_WOOD), moisture_pct=AIR_DRY_PCT).value
