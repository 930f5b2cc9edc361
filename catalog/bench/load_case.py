"""Load cases for a knife, each with its stated figures; what is not stated is an assumption on file."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic

from pydantic import Field

from catalog.drawings.blade import BladeDrawing
from catalog.tables.assumption import assumed
from catalog.tables.errors import RangeError
from catalog.tables.ledger import Ledger
from catalog.tables.number import N, farthest_outside, minimum, of_math
from catalog.tables.strict_form import Drawing

# Unit factor: standard gravity, exact by definition (CGPM 1901)
_G_M_S2 = 9.80665


def _assumed(assumption_id: str) -> Callable[[], float]:
    return lambda: assumed(assumption_id)


class PryingLoad(Drawing):
    """The tip sticks in wood, and the hand pushes sideways at the middle of the handle."""

    force_n: float = Field(
        default_factory=_assumed("pry_force_n"),
        ge=1,
        le=1500,
        description="where it is not stated, less for an edge under 100 mm and for a blade that is slender",
    )
    tip_in_wood_mm: float = Field(default_factory=_assumed("pry_tip_in_wood_mm"), ge=3, le=200)


class BatonBlow(Drawing):
    """A blow on the tip that stands out of the wood, as a static force: weight of baton x impact factor."""

    baton_mass_g: float = Field(default_factory=_assumed("baton_mass_g"), ge=100, le=5000)
    impact_factor: float = Field(
        default_factory=_assumed("baton_impact_factor"),
        ge=1,
        le=2000,
        description="peak force divided by the weight of the baton",
    )
    out_of_wood_mm: float = Field(
        default_factory=_assumed("baton_overhang_mm"), ge=5, le=300, description="length of the tip outside the wood"
    )
    lever_mm: float = Field(
        default_factory=_assumed("baton_lever_mm"),
        ge=1,
        le=300,
        description="distance from the wood to the point that is struck",
    )
    tilt_deg: float = Field(
        default_factory=_assumed("baton_tilt_deg"),
        ge=0,
        le=60,
        description="angle between the blow and the plane of the blade",
    )


@dataclass(frozen=True, slots=True)
class FittedPrying(Generic[N]):
    """A prying load with nothing left unsaid: force at the hand [N], length of the tip in the wood [mm]."""

    force_n: N
    tip_in_wood_mm: N


@dataclass(frozen=True, slots=True)
class FittedBlow(Generic[N]):
    """A baton blow with nothing left unsaid: peak force [N]; lengths [mm] and tilt [degrees] as in its form."""

    force_n: N
    out_of_wood_mm: N
    lever_mm: N
    tilt_deg: N


_FIELDS = {
    "pry_force_n": "force_n",
    "pry_tip_in_wood_mm": "tip_in_wood_mm",
    "baton_mass_g": "baton_mass_g",
    "baton_impact_factor": "impact_factor",
    "baton_overhang_mm": "out_of_wood_mm",
    "baton_lever_mm": "lever_mm",
    "baton_tilt_deg": "tilt_deg",
}


# what fits the usual push to a blade
_FITTING = ("pry_full_edge_mm", "slenderness_limit")


def _stated_fields(load: PryingLoad | BatonBlow | None) -> set[str]:
    return set() if load is None else load.model_fields_set


def assumed_loads(prying: PryingLoad | None, baton: BatonBlow | None) -> tuple[str, ...]:
    """Return the assumptions that stand in for what two load cases leave unsaid."""
    stated = _stated_fields(prying) | _stated_fields(baton)
    found = tuple(name for name, field in _FIELDS.items() if field not in stated)
    return (*found, *_FITTING) if "pry_force_n" in found else found


def _figure(load: PryingLoad | BatonBlow | None, name: str, ledger: Ledger[N], *, most: N | None = None) -> N:
    """Return the stated figure that an assumption stands in for; else that assumption, and no more than ``most``."""
    field = _FIELDS[name]
    if field in _stated_fields(load):
        stated: float = getattr(load, field)
        return stated
    return ledger(name) if most is None else minimum(ledger(name), most)


def fitted_prying(blade: BladeDrawing, stated: PryingLoad | None, ledger: Ledger[N]) -> FittedPrying[N]:
    """Return the prying load; what is not stated has at most a quarter of the blade in the wood.

    A push that is not stated is the usual one, less in proportion where the edge is short of the length that takes it,
    and less by the root of the slenderness where that is above its limit: nobody levers a neck knife or a thin
    machete as hard as a camp knife (common practice, no source).
    """
    stated_force = "force_n" in _stated_fields(stated)
    return FittedPrying(
        force_n=_figure(stated, "pry_force_n", ledger) * (1.0 if stated_force else _usual_share(blade, ledger)),
        # judged: the longest tip held, a quarter of the blade
        tip_in_wood_mm=_figure(stated, "pry_tip_in_wood_mm", ledger, most=blade.length_mm / 4),
    )


def _usual_share(blade: BladeDrawing, ledger: Ledger[N]) -> N:
    """Return the share of the usual push that a blade of this length and slenderness is pried with."""
    short: N = minimum(1.0, blade.edge_length_mm / ledger("pry_full_edge_mm"))
    slender: N = minimum(1.0, ledger("slenderness_limit") * blade.spine_mm / blade.length_mm)
    return short * of_math("sqrt", slender)


def fitted_blow(blade: BladeDrawing, stated: BatonBlow | None, ledger: Ledger[N]) -> FittedBlow[N]:
    """Return the baton blow; unless stated, at most half the blade stands out, struck no further than half way."""
    mass_g = _figure(stated, "baton_mass_g", ledger)
    out_mm = _figure(stated, "baton_overhang_mm", ledger, most=blade.length_mm / 2)
    return FittedBlow(
        force_n=mass_g / 1000 * _G_M_S2 * _figure(stated, "baton_impact_factor", ledger),
        out_of_wood_mm=out_mm,
        lever_mm=_figure(stated, "baton_lever_mm", ledger, most=out_mm / 2),
        tilt_deg=_figure(stated, "baton_tilt_deg", ledger),
    )


def check_loads(blade: BladeDrawing, *, prying: FittedPrying[N], baton: FittedBlow[N]) -> None:
    """Refuse loads that the blade has no room for.

    Raises:
        RangeError: the tip deeper in the wood than half the blade, more blade out of the wood than there is,
            or a blow beyond the tip.
    """
    for quantity, value, high in (
        ("prying.tip_in_wood_mm", prying.tip_in_wood_mm, blade.length_mm / 2),
        ("baton.out_of_wood_mm", baton.out_of_wood_mm, blade.length_mm),
        ("baton.lever_mm", baton.lever_mm, baton.out_of_wood_mm),
    ):
        outside = farthest_outside(value, low=0, high=high)
        if outside is not None:
            worst, _, most = outside
            raise RangeError(quantity=quantity, value=worst, low=0, high=most, unit="mm", source="the drawing")
