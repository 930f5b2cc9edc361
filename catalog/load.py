"""Load cases for a knife, each with its stated figures; what is not stated is an assumption on file."""

from __future__ import annotations

from collections.abc import Callable

from pydantic import Field

from catalog.assumption import assumed
from catalog.blade import BladeDrawing
from catalog.drawing import Drawing

G_M_S2 = 9.80665  # standard gravity, exact by definition (CGPM 1901)


def _assumed(assumption_id: str) -> Callable[[], float]:
    return lambda: assumed(assumption_id)


class PryingLoad(Drawing):
    """The tip stuck in wood, the hand pushing sideways at the middle of the handle."""

    force_n: float = Field(default_factory=_assumed("pry_force_n"), ge=1, le=1500)
    tip_in_wood_mm: float = Field(default_factory=_assumed("pry_tip_in_wood_mm"), ge=3, le=200)


class BatonBlow(Drawing):
    """A blow on the tip that stands out of the wood, as a static force: weight of baton x impact factor."""

    baton_mass_g: float = Field(default_factory=_assumed("baton_mass_g"), ge=100, le=5000)
    impact_factor: float = Field(
        default_factory=_assumed("baton_impact_factor"),
        ge=1,
        le=2000,
        description="peak force over the baton's weight",
    )
    out_of_wood_mm: float = Field(
        default_factory=_assumed("baton_overhang_mm"), ge=5, le=300, description="tip beyond the wood"
    )
    lever_mm: float = Field(
        default_factory=_assumed("baton_lever_mm"), ge=1, le=300, description="wood to the point struck"
    )
    tilt_deg: float = Field(
        default_factory=_assumed("baton_tilt_deg"),
        ge=0,
        le=60,
        description="blow away from the plane of the blade",
    )

    @property
    def force_n(self) -> float:
        """Peak force [N]."""
        return self.baton_mass_g / 1000 * G_M_S2 * self.impact_factor


def fitted_prying(blade: BladeDrawing) -> PryingLoad:
    """The default prying load; a short blade has a quarter of its length in the wood."""
    default = PryingLoad()
    return PryingLoad(tip_in_wood_mm=min(default.tip_in_wood_mm, blade.length_mm / 4))


def fitted_blow(blade: BladeDrawing) -> BatonBlow:
    """The default baton blow; a short blade stands out by half its length, struck half way."""
    default = BatonBlow()
    out_mm = min(default.out_of_wood_mm, blade.length_mm / 2)
    return BatonBlow(out_of_wood_mm=out_mm, lever_mm=out_mm / 2)
