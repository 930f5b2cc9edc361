"""Cleavage: how hard a species is to split, green, against the reference wood."""

from dataclasses import dataclass
from functools import cache
from typing import Literal

from catalog.tables.table import read_rows
from catalog.wood.regression import estimated_property
from catalog.wood.species import REFERENCE_WOOD, Wood, species_of

_Basis = Literal["measured cleavage", "printed tension", "tension estimated from specific gravity"]


@dataclass(frozen=True)
class _Cleavage:
    """Cleavage strength of small clear green pieces [lb/in2], by the plane in which they part."""

    wood_id: str
    name_in_source: str
    radial_psi: float
    tangential_psi: float
    source: str
    note: str

    @property
    def mean_psi(self) -> float:
        """The mean of both planes: a round is split into quarters, along both."""
        return (self.radial_psi + self.tangential_psi) / 2


@dataclass(frozen=True)
class SplittingRatio:
    """How hard a species is to split green, over the reference wood green [-], and what that rests on."""

    value: float
    basis: _Basis


@cache
def cleavages() -> dict[str, _Cleavage]:
    """Return id of a species -> its measured cleavage. Source: Record 1914, Table XIII."""
    return {
        row["wood_id"]: _Cleavage(
            wood_id=row["wood_id"],
            name_in_source=row["name_in_source"],
            radial_psi=float(row["radial_psi"]),
            tangential_psi=float(row["tangential_psi"]),
            source=row["source"],
            note=row["note"],
        )
        for row in read_rows("wood/cleavage.csv")
    }


def splitting_ratio(species: Wood) -> SplittingRatio:
    """Return how hard a species is to split green, over lodgepole pine green [-].

    The measured cleavage where there is one (Record 1914, Table XIII). Else tension across the grain, green too
    (Wood Handbook, Table 5-3), printed or by its regression on specific gravity: each over the same property of
    lodgepole pine, so that both ends of a ratio have one basis.
    """
    measured, pine = cleavages().get(species.id), species_of(REFERENCE_WOOD)
    if measured is not None:
        return SplittingRatio(measured.mean_psi / cleavages()[pine.id].mean_psi, "measured cleavage")
    assert pine.tension_perp_green_kpa is not None
    if species.tension_perp_green_kpa is not None:
        return SplittingRatio(species.tension_perp_green_kpa / pine.tension_perp_green_kpa, "printed tension")
    estimated = estimated_property("tension_perp_green_kpa", species)
    return SplittingRatio(estimated / pine.tension_perp_green_kpa, "tension estimated from specific gravity")
