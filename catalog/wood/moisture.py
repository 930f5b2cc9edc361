"""Moisture in wood: how much there is, what it weighs and what it does to strength.

Moisture is in % of the oven-dry mass (dry basis) unless a name says wet.
"""

from collections.abc import Mapping
from typing import Literal

from catalog.tables.assumption import assumed
from catalog.tables.number import N, maximum, minimum, power, spread, where
from catalog.tables.validity import require, validities
from catalog.wood.species import Wood

_PropertyName = Literal["side_hardness", "shear_par"]

# usda-fpl-gtr-190-2010, Table 5-3: the air-dry column is at 12 %.
AIR_DRY_PCT = 12.0
# usda-fpl-gtr-190-2010, p. 4-2: the average over species.
_FIBRE_SATURATION_PCT = 30.0


def strength_at_moisture(*, green: N, air_dry: N, moisture_pct: N, intersection_pct: N) -> N:
    """Return a strength property between green and air-dry, at about 21 C.

    Wood Handbook Eq. 5-3: P12 (P12/Pg)^((12 - M)/(Mp - 12)) below the intersection moisture Mp, the green
    value from there on. Not for tension perpendicular to grain, for which the handbook advises against it.

    Args:
        green: Property of green wood, any unit.
        air_dry: Property at 12 %, same unit.
        moisture_pct: M [% dry basis].
        intersection_pct: Mp [% dry basis], Table 5-13.

    Returns:
        The property, same unit.

    Raises:
        RangeError: Moisture or intersection outside ranges.csv. Below 5 % the rise is not established.
    """
    require("wood.moisture.strength_at_moisture", moisture_pct=moisture_pct, intersection_pct=intersection_pct)

    def below() -> N:
        exponent = (AIR_DRY_PCT - moisture_pct) / (intersection_pct - AIR_DRY_PCT)
        return air_dry * power(air_dry / green, exponent)

    return where(
        moisture_pct >= intersection_pct,
        lambda: spread(green, air_dry, moisture_pct, intersection_pct),
        below,
    )


def property_at(species: Wood, name: _PropertyName, *, moisture_pct: N) -> N | None:
    """Return a property of a species at a moisture content (Eq. 5-3), None where the handbook has a gap.

    Args:
        species: The wood.
        name: ``side_hardness`` [N] or ``shear_par`` [kPa].
        moisture_pct: M [% dry basis].

    Raises:
        RangeError: See strength_at_moisture.
        ValueError: Another property, tension perpendicular among them: Eq. 5-3 does not serve it.
    """
    if name == "side_hardness":
        green, air_dry = species.side_hardness_green_n, species.side_hardness_12pct_n
    elif name == "shear_par":
        green, air_dry = species.shear_par_green_kpa, species.shear_par_12pct_kpa
    else:
        raise ValueError(f"Wood Handbook Eq. 5-3 is not used for {name}: take the printed columns")
    if green is None or air_dry is None:
        return None
    return strength_at_moisture(
        green=green,
        air_dry=air_dry,
        moisture_pct=moisture_pct,
        intersection_pct=species.intersection_mc_pct,
    )


def wet_basis_pct(*, dry_basis_pct: N) -> N:
    """Turn moisture in % of dry mass into % of total mass: u/(1 + u) (derived).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.moisture.wet_basis_pct", dry_basis_pct=dry_basis_pct)
    return 100 * dry_basis_pct / (100 + dry_basis_pct)


def dry_basis_pct(*, wet_basis_pct: N) -> N:
    """Turn moisture in % of total mass into % of dry mass: w/(1 - w) (derived).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.moisture.dry_basis_pct", wet_basis_pct=wet_basis_pct)
    return 100 * wet_basis_pct / (100 - wet_basis_pct)


def maximum_moisture_pct(*, basic_sg: N) -> N:
    """Return the moisture that fills every void [% dry basis]; Wood Handbook ch. 4.

    Args:
        basic_sg: Oven-dry mass over green volume [-].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.moisture.maximum_moisture_pct", basic_sg=basic_sg)
    # usda-fpl-gtr-190-2010, ch. 4: 1.54 is the specific gravity of the cell wall.
    wall_sg = 1.54
    return 100 * (wall_sg - basic_sg) / (wall_sg * basic_sg)


def equilibrium_moisture_pct(*, air_c: N, humidity_pct: N) -> N:
    """Return the moisture that wood takes on in still air [% dry basis]; Wood Handbook Eq. 4-5.

    Args:
        air_c: Air temperature [C].
        humidity_pct: Relative humidity [%].

    Raises:
        RangeError: Outside ranges.csv: the printed Table 4-2 starts at -1.1 C, and colder the fitted
            parabolas bend the wrong way.
    """
    require("wood.moisture.equilibrium_moisture_pct", air_c=air_c, humidity_pct=humidity_pct)
    h, t = humidity_pct / 100, air_c
    # usda-fpl-gtr-190-2010, Eq. 4-5, parameters for degrees Celsius.
    w = 349 + 1.29 * t + 0.0135 * power(t, 2)
    # usda-fpl-gtr-190-2010, Eq. 4-5.
    kh = h * (0.805 + 0.000736 * t - 0.00000273 * power(t, 2))
    # usda-fpl-gtr-190-2010, Eq. 4-5.
    k1 = 6.27 - 0.00938 * t - 0.000303 * power(t, 2)
    # usda-fpl-gtr-190-2010, Eq. 4-5.
    k2 = 1.91 + 0.0407 * t - 0.000293 * power(t, 2)
    monolayer = k1 * kh
    multilayer = k1 * k2 * power(kh, 2)
    hydrate = (monolayer + 2 * multilayer) / (1 + monolayer + multilayer)
    # usda-fpl-gtr-190-2010, Eq. 4-5.
    return 1800 / w * (kh / (1 - kh) + hydrate)


def dead_standing_moisture_pct(*, air_c: N, humidity_pct: N) -> N:
    """Return the equilibrium moisture of dead standing wood in the open [% dry basis].

    Eq. 4-5; air colder than its table is taken at the table's coldest row, because the two coldest rows
    (-1.1 and 4.4 C) already agree within 0.1 point.

    Args:
        air_c: Air temperature [C].
        humidity_pct: Relative humidity [%].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.moisture.dead_standing_moisture_pct", air_c=air_c, humidity_pct=humidity_pct)
    coldest_c = validities()["wood.moisture.equilibrium_moisture_pct"]["air_c"].low
    return equilibrium_moisture_pct(air_c=maximum(air_c, coldest_c), humidity_pct=humidity_pct)


def green_moisture_pct(species: Wood, changed: Mapping[str, N] | None = None) -> N:
    """Return the moisture of the living tree [% dry basis]: the mean of heartwood and sapwood.

    Wood Handbook Table 4-1; with one figure printed that one, with none the group's assumed value.

    Args:
        species: The wood.
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: A changed assumption is outside its band.
    """
    printed = [value for value in (species.green_mc_heartwood_pct, species.green_mc_sapwood_pct) if value is not None]
    if printed:
        return sum(printed) / len(printed)
    return assumed(f"green_moisture_{species.group}", changed)


def green_moisture_assumptions(species: Wood) -> tuple[str, ...]:
    """Return the assumption that green_moisture_pct takes for a species, none where Table 4-1 prints it."""
    printed = species.green_mc_heartwood_pct is not None or species.green_mc_sapwood_pct is not None
    return () if printed else (f"green_moisture_{species.group}",)


def specific_gravity_at(species: Wood, *, moisture_pct: N) -> N:
    """Return oven-dry mass over volume at a moisture content [-].

    Straight line through the printed values at 12 % and at fibre saturation (30 %), where swelling ends;
    the same line on the dry side (derived).

    Raises:
        RangeError: Moisture outside ranges.csv.
    """
    require("wood.moisture.specific_gravity_at", moisture_pct=moisture_pct)
    dry_side = _FIBRE_SATURATION_PCT - minimum(moisture_pct, _FIBRE_SATURATION_PCT)
    slope = (species.sg_12pct - species.sg_green) / (_FIBRE_SATURATION_PCT - AIR_DRY_PCT)
    return species.sg_green + slope * dry_side


def density_kg_m3(*, specific_gravity: N, moisture_pct: N) -> N:
    """Return the mass of a cubic metre with its water [kg/m3]: 1000 G (1 + M/100) (derived).

    Args:
        specific_gravity: G, oven-dry mass over the volume at this same moisture [-].
        moisture_pct: M [% dry basis].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.moisture.density_kg_m3", specific_gravity=specific_gravity, moisture_pct=moisture_pct)
    return 1000 * specific_gravity * (1 + moisture_pct / 100)


def moist_mass_kg(*, oven_dry_kg: N, moisture_pct: N) -> N:
    """Return the mass with its water [kg]: dry mass (1 + M/100) (derived).

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.moisture.moist_mass_kg", oven_dry_kg=oven_dry_kg, moisture_pct=moisture_pct)
    return oven_dry_kg * (1 + moisture_pct / 100)
