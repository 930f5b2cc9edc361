"""Wood as fuel: the heat in a kilogram and in a stacked cord, and the wood that a heat takes."""

from collections.abc import Mapping

from catalog.tables.assumption import assumed
from catalog.tables.number import N
from catalog.tables.validity import require
from catalog.wood.species import WoodGroup

# Unit factor: cubic metres in a cubic foot (exact).
_M3_PER_FT3 = 0.028316846592


def dry_net_heat_mj_kg(group: WoodGroup, changed: Mapping[str, N] | None = None) -> N:
    """Return the net heat of oven-dry wood [MJ/kg]; resin puts conifers about 2 % above broadleaves.

    Args:
        group: ``conifer`` or ``broadleaf``.
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: A changed assumption is outside its band.
    """
    broadleaf = assumed("dry_net_heat_broadleaf", changed)
    if group == "broadleaf":
        return broadleaf
    return broadleaf * (1 + assumed("conifer_heat_gain", changed) / 100)


def net_heat_mj_kg(*, dry_net_mj_kg: N, moisture_wet_pct: N) -> N:
    """Return the net heat of a kilogram as it is burnt, its own water evaporated [MJ/kg].

    Form of EN ISO 17225-1: q = q_dry (100 - M)/100 - 0.02443 M.

    Args:
        dry_net_mj_kg: q_dry, net heat of oven-dry wood [MJ/kg].
        moisture_wet_pct: M [% of the total mass].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.fuel.net_heat_mj_kg", dry_net_mj_kg=dry_net_mj_kg, moisture_wet_pct=moisture_wet_pct)
    # en-iso-17225-1: 2.443 MJ evaporate a kilogram of water.
    return dry_net_mj_kg * (100 - moisture_wet_pct) / 100 - 0.02443 * moisture_wet_pct


def wood_kg(*, useful_mj: N, efficiency: N, net_mj_kg: N) -> N:
    """Return the wood that delivers a useful heat [kg]: heat / (efficiency x net heat) (derived).

    Args:
        useful_mj: Heat that must arrive in the pot, the clothes or the camp [MJ].
        efficiency: Share of the fire's heat that arrives [-].
        net_mj_kg: Net heat of the wood as burnt [MJ/kg].

    Raises:
        RangeError: Outside ranges.csv.
    """
    require("wood.fuel.wood_kg", useful_mj=useful_mj, efficiency=efficiency, net_mj_kg=net_mj_kg)
    return useful_mj / (efficiency * net_mj_kg)


def cord_oven_dry_kg(*, basic_sg: N, changed: Mapping[str, N] | None = None) -> N:
    """Return the oven-dry wood in a stacked cord of 128 cubic feet [kg] (derived).

    Args:
        basic_sg: Oven-dry mass over green volume [-].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv, or a changed assumption outside its band.
    """
    require("wood.fuel.cord_oven_dry_kg", basic_sg=basic_sg)
    return 1000 * basic_sg * assumed("cord_solid_volume", changed) * _M3_PER_FT3


def cord_mass_kg(*, basic_sg: N, moisture_pct: N, changed: Mapping[str, N] | None = None) -> N:
    """Return the mass of a stacked cord with its water [kg] (derived).

    Args:
        basic_sg: Oven-dry mass over green volume [-].
        moisture_pct: [% dry basis].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv, or a changed assumption outside its band.
    """
    require("wood.fuel.cord_mass_kg", moisture_pct=moisture_pct)
    return cord_oven_dry_kg(basic_sg=basic_sg, changed=changed) * (1 + moisture_pct / 100)


def cord_gross_heat_mj(*, basic_sg: N, changed: Mapping[str, N] | None = None) -> N:
    """Return the gross heat of a stacked cord [MJ], whatever its moisture (derived).

    Args:
        basic_sg: Oven-dry mass over green volume [-].
        changed: Assumptions tried instead of the table's, by id.

    Raises:
        RangeError: Outside ranges.csv, or a changed assumption outside its band.
    """
    return cord_oven_dry_kg(basic_sg=basic_sg, changed=changed) * assumed("gross_heat", changed)
